"""A ruling: what is said of one field of a method on two instruments, and by which rule.

`cannot decide` and `not allowed` each keep a transfer from being accepted, so a field is ruled
so only where the transfer rests on it; what differs and does not matter is `information`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date
from fractions import Fraction
from typing import Any, Literal, NamedTuple, TypeAlias

from ..policy import DEFAULT_POLICY, Policy
from ..profile.model import Conditions, Profile
from ..profile.table import FormatTable
from ..units import plain_or_rounded

Word = Literal["same", "allowed", "not allowed", "cannot decide", "information"]
NOT_GIVEN = "not given"
OWN = "common practice, no source"
EQUAL = "both sides state the same"
CORE: Mapping[str, str] = {
    "id": "it says which method is moved",
    "revision": "it says which text of the method is moved",
    "high": "nothing stops the pump, or no band says where it runs",
    "low": "no band says where the pump runs",
    "flow": "pressure and retention go with it",
    "temperature": "viscosity and retention go with it",
    "solvent_a": "pressure and separation go with the mobile phase",
    "solvent_b": "pressure and separation go with the mobile phase",
    "percent_b": "pressure and separation go with the composition",
    "gradient": "pressure and separation go with the composition",
    "injection_volume": "it says what the column is loaded with",
    "dwell_volume": "a gradient reaches the column later by it over the flow",
    "chemistry": "the separation rests on it",
    "particle": "pressure and plates go with it",
    "length": "pressure and plates go with it, and nothing can be scaled without it",
    "bore": "pressure goes with it, and nothing can be scaled without it",
    "particle_size": "pressure and plates go with it, and nothing can be scaled without it",
    "rating": "nothing says what it holds",
}
"""What a transfer rests on, and why: where a side does not give it, nothing is accepted.

`dwell_volume` is asked for by gradients only, sizes of columns, ratings of pump and column.
"""


class Ruling(NamedTuple):
    """What is said of one field.

    `rule` says which rule and range was applied, or what is missing; `source` where the rule is
    published, empty where it is our own. `condition` is what has to be done for it to hold.
    """

    field: str
    sending: str
    receiving: str
    ruling: Word
    rule: str
    source: str = ""
    condition: str = ""


def level(side: Conditions) -> bool:
    """Whether a programme stays at one composition: isocratic, written as a gradient."""
    return side.gradient is not None and len({point.percent_b for point in side.gradient}) == 1


class Pair(NamedTuple):
    """A method on two instruments; `policy` is that of the receiving side."""

    sending: Profile
    receiving: Profile
    policy: Policy = DEFAULT_POLICY
    today: date = date.max
    """An acceptance holds until its day; where none is given, only one without an end does."""

    @property
    def sides(self) -> tuple[Profile, Profile]:
        """The sending and the receiving profile."""
        return self.sending, self.receiving

    @property
    def conditions(self) -> tuple[Conditions, Conditions]:
        """The conditions of both sides; empty ones where a side has none."""
        return self.sending.conditions or Conditions(), self.receiving.conditions or Conditions()

    @property
    def gradient(self) -> bool:
        """Whether either side runs a gradient: then the rules for gradients hold."""
        return any(side.gradient is not None and not level(side) for side in self.conditions)


class Field(NamedTuple):
    """One field on both sides: how people call it, its values (None where not given), its key."""

    name: str
    sending: Any
    receiving: Any
    pair: Pair
    key: str

    def ruled(self, ruling: Word, rule: str, source: str = "", condition: str = "") -> Ruling:
        """The ruling on this field."""
        shown = shown_value(self.sending), shown_value(self.receiving)
        return Ruling(self.name, *shown, ruling, rule, source, condition)

    @property
    def missing(self) -> Ruling | None:
        """That it cannot be decided, where a side lacks it: for what the transfer rests on."""
        sides = ("sending", self.sending), ("receiving", self.receiving)
        lacking = [side for side, value in sides if not is_given(value)]
        if not lacking:
            return None
        told = "neither profile gives it"
        if len(lacking) == 1:
            told = f"the {lacking[0]} profile does not give it"
        why = CORE.get(self.key)
        return self.ruled("cannot decide", f"{told}{f': {why}' if why else ''}")


Ruler: TypeAlias = Callable[[Field], Iterable[Ruling]]


def is_given(value: object) -> bool:
    """Whether a value was given: an empty table or list was not."""
    return value is not None and value != ()


def same(first: object, second: object) -> bool:
    """Whether two values of the format are the same amount, text or table."""
    if isinstance(first, FormatTable) and type(first) is type(second):
        return all(same(getattr(first, n), getattr(second, n)) for n in type(first).model_fields)
    if isinstance(first, tuple) and isinstance(second, tuple):
        return len(first) == len(second) and all(map(same, first, second))
    return first == second


def shown_value(value: object) -> str:
    """A value of the format as it stands in a record.

    >>> shown_value(Fraction(25, 2)), shown_value(None)
    ('12.5', 'not given')
    """
    if not is_given(value):
        return NOT_GIVEN
    if isinstance(value, tuple):
        return "; ".join(map(shown_value, value))
    if isinstance(value, FormatTable):
        given = ((name, getattr(value, name)) for name in type(value).model_fields)
        return ", ".join(f"{name} {shown_value(item)}" for name, item in given if is_given(item))
    return plain_or_rounded(value) if isinstance(value, Fraction) else str(value)


# ---- rulers that several fields share


def for_information(field: Field) -> Iterable[Ruling]:
    """A field on which nothing in the transfer rests."""
    return information(field, "nothing in the transfer rests on it")


def checked(field: Field) -> Iterable[Ruling]:
    """A field that the checks of its own profile look at."""
    return information(field, "the checks of each profile look at it")


def information(field: Field, rule: str) -> Iterable[Ruling]:
    """A field that may differ; nothing where neither side gives it."""
    if is_given(field.sending) or is_given(field.receiving):
        equal = same(field.sending, field.receiving)
        yield field.ruled("same", EQUAL) if equal else field.ruled("information", rule)


def must_be_same(field: Field) -> Iterable[Ruling]:
    """A field that has to be given and to be the same on both sides."""
    if missing := field.missing:
        yield missing
    elif same(field.sending, field.receiving):
        yield field.ruled("same", EQUAL)
    else:
        yield field.ruled("not allowed", "it has to be the same")


def reference(field: Field) -> Iterable[Ruling]:
    """A reference to a shared description, by the file's name: its values are ruled one by one."""
    names = (
        str(text).rpartition("/")[2].partition("#")[0] if text is not None else None
        for text in (field.sending, field.receiving)
    )
    for item in for_information(field):
        sending, receiving = map(shown_value, names)
        rule = item.rule if item.ruling == "same" else "its values are ruled one by one"
        yield item._replace(sending=sending, receiving=receiving, rule=rule)


def measured(field: Field) -> Iterable[Ruling]:
    """Pairs of flow and pressure, which hold for the instrument they were read on."""
    count = tuple(
        f"{len(side)} pairs" if side else None for side in (field.sending, field.receiving)
    )
    if any(count):
        counted = field._replace(sending=count[0], receiving=count[1])
        yield counted.ruled("information", "each holds for the instrument it was read on")


def made_from(field: Field) -> Iterable[Ruling]:
    """The files that each profile was made from, by name."""
    names = tuple(
        tuple(item.path.rpartition("/")[2] for item in side) if side else None
        for side in (field.sending, field.receiving)
    )
    yield from information(
        field._replace(sending=names[0], receiving=names[1]),
        "the check source-changed compares them with today's files",
    )

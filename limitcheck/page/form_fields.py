"""The fields of a form: how a key of the format is asked for."""

from __future__ import annotations

from datetime import date
from typing import Any, Literal, NamedTuple, get_args, get_origin

from markupsafe import Markup, escape
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from ..checking.typed import OFF, read
from ..findings import KeyPath
from ..profile.described import DESCRIBED
from ..profile.fields import (
    CutoffField,
    ExpectedField,
    NumberField,
    ProfileField,
    QuantityField,
    TruthField,
    UnitField,
)
from ..profile.usual_ranges import usual
from ..render.lines import safe
from ..units import TRADE_UNITS, Pressure, UnitError
from .arranging import Button
from .draft import BESIDE, DAY, NUMBER, TEXT, TRUTH, named
from .words import label


class Field(NamedTuple):
    """One value of the profile: how it is asked for, and what the text holds."""

    path: KeyPath
    label: str
    kind: str
    """How its value is written: TEXT, NUMBER, TRUTH or DAY."""
    value: str
    required: bool = False
    options: tuple[str, ...] = ()
    """The only values it may have; empty for any."""
    beside: str = ""
    """Its unit, or the units it may be given in."""
    help: str = ""
    held: str = ""
    """What holds while it is empty, from a shared description."""
    alone: bool = False
    """Whether its table may be left out, and says nothing when it is empty."""
    may_be_off: bool = False
    """Whether it is a cutoff, which OFF turns off: 0 in the text."""

    @property
    def name(self) -> str:
        """Its name in the form."""
        return named(self.path)

    @property
    def unseen(self) -> str:
        """The value with what cannot be seen in a field written out; empty where all is seen."""
        visible = safe(self.value)
        return "" if visible == self.value else visible


def as_it_is(value: str) -> Markup:
    """A text for an attribute, escaped as HTML and not otherwise."""
    return Markup(escape(value))


class Group(NamedTuple):
    """A table of the profile, as a part of the form."""

    path: KeyPath
    heading: str
    help: str
    fields: tuple[Field, ...]
    """Those that are given or needed."""
    further: tuple[Field, ...] = ()
    """Those that may be given."""
    buttons: tuple[Button, ...] = ()
    """What can be done with it as an element of a list."""
    first: tuple[Button, ...] = ()
    """What begins the lists within it that are empty."""
    within: bool = False
    """Whether it is of a list within the group before."""
    what: str = ""
    """Its name as such an element, as in "column, part 4 of 7"."""
    held: tuple[str, ...] = ()
    """What else a shared description gives here."""

    @property
    def name(self) -> str:
        """What leads to it."""
        return named(self.path)

    @property
    def all(self) -> tuple[Field, ...]:
        """Every field."""
        return (*self.fields, *self.further)


def field_of(
    path: KeyPath,
    marks: Any,
    value: str,
    *,
    table: str,
    required: bool,
    part: str,
    unit: str,
    held: str,
) -> Field:
    """The field of a key of a model, `table`, that is read by `marks`, of a kind of part."""
    key = str(path[-1])
    help, example = DESCRIBED[table][key]
    kind, beside, off = TEXT, "", False
    options: tuple[str, ...] = ()
    if isinstance(marks, TruthField):
        kind, options = TRUTH, ("true", "false")
    elif isinstance(marks, UnitField):
        options = TRADE_UNITS
    elif isinstance(marks, QuantityField):
        units = TRADE_UNITS if marks.kind is Pressure else tuple(marks.kind.UNITS)
        beside = " ".join(units)
        help += " With its unit, as in {}.".format(example.strip('"'))
    elif isinstance(marks, CutoffField):
        kind, beside, off = NUMBER, unit, True
        help, value = f"{help} Or: {OFF}.", _or_off(value, unit)
    elif isinstance(marks, ExpectedField):
        kind, beside = NUMBER, unit
        help = f"{help} Or with a unit of its own, as in 120 bar."
    elif isinstance(marks, NumberField):
        kind, beside = NUMBER, BESIDE.get(key, "")
        if path[0] == "instrument":
            beside = unit
    elif isinstance(marks, tuple):
        options = marks
    elif marks == DAY:
        kind, help = DAY, f"{help} As in {example}."
    if range_ := usual(table, key, part, unit):
        help = f"{help} Usual: {range_}."
    options = with_own(options, value)
    return Field(
        path, label(key), kind, value, required, options, beside, help, held, may_be_off=off
    )


def _or_off(value: str, unit: str) -> str:
    """A cutoff as a field shows it: zero, in the unit of the instrument, is off."""
    shown = unit if unit in TRADE_UNITS else "bar"
    try:
        found = read(value, shown).pressure
    except UnitError:
        return value
    return OFF if found.unit == shown and not found.value else value


def with_own(options: tuple[str, ...], value: str) -> tuple[str, ...]:
    """The options with what the text has, which a choice without it would take out."""
    return (value, *options) if options and value and value not in options else options


def marks_of(info: FieldInfo) -> Any:
    """What reads a key: a field type, the choices, or the model of a table; None for others."""
    own = next((mark for mark in info.metadata if isinstance(mark, ProfileField)), None)
    return own or _marks(info.annotation)


def goes_when_empty(info: FieldInfo, model: type[BaseModel]) -> bool:
    """Whether a table of a model, the value of a key, may be left out, but not be empty."""
    return not info.is_required() and any(key.is_required() for key in model.model_fields.values())


def _marks(annotation: Any) -> Any:
    if annotation is date:
        return DAY
    if get_origin(annotation) is Literal:
        return tuple(map(str, get_args(annotation)))
    if _is_model(annotation):
        return annotation
    for inner in (*getattr(annotation, "__metadata__", ()), *get_args(annotation)):
        if isinstance(inner, ProfileField):
            return inner
        found = _marks(inner)
        if found is not None:
            return found
    return None


def _is_model(annotation: Any) -> bool:
    return isinstance(annotation, type) and issubclass(annotation, BaseModel)


def is_list(annotation: Any) -> bool:
    """Whether a key holds a list."""
    return get_origin(annotation) is tuple or any(map(is_list, get_args(annotation)))

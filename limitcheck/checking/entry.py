"""One number about to be typed as a cutoff: the same checks as for a profile, on that field."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any, Literal

from pydantic import ValidationError

from ..checks.engine import check_profile
from ..checks.required import CORE
from ..errors import LimitcheckError
from ..findings import Finding, KeyPath, Recommendation, Severity, of_place, path_text
from ..policy import DEFAULT_POLICY, Policy
from ..profile.hardware import under_pressure
from ..profile.model import Profile, validate_profile
from ..profile.problems import explain
from ..units import Pressure, UnitError, exact, find_unit, split_quantity
from .recommendations import CUTOFFS, doubt, recommend

Field = Literal["high", "low"]


class UnusableEntry(LimitcheckError):
    """A value or option that cannot be used."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What to tell the analyst: `enter` is what to type instead; None where nothing is known."""

    field: Field
    pressure: Pressure
    profile: Profile
    findings: tuple[Finding, ...]
    enter: Recommendation | None
    undecided: str = ""
    """What else in the profile is in doubt, so that nothing can be said of this number."""
    withheld: str = ""
    """Why nothing can be recommended instead."""
    policy: Policy = DEFAULT_POLICY

    @property
    def may_be_typed(self) -> bool:
        """Whether nothing is against the number beyond notes, whatever a policy makes of them."""
        settled = all(f.worst is Severity.NOTE for f in self.findings if f.accepted is None)
        return settled and not self.undecided

    @property
    def not_compared(self) -> str:
        """What the number could not be compared with, because the profile gives none."""
        missing = [] if self.profile.expected is not None else ["a normal pressure"]
        if self.field == "high" and not under_pressure(self.profile):
            missing.append("a rating")
        return " or ".join(missing)


def ask(
    profile: Profile, value: str, field: Field, policy: Policy, today: date, *, only: bool = False
) -> Answer:
    """What the checks say of a number typed into the high or low field of this method.

    It is judged as if it stood in the profile, beside the other cutoff; what somebody accepted
    for another number is not accepted for this one. With `only`, the rest was stated just now and
    only this number is in question. Raises UnusableEntry for a value that is no number.
    """
    entered, path = _entered(value, profile), ("cutoffs", field)
    cutoffs = profile.cutoffs.model_copy(update={field: entered})
    asked = profile
    if getattr(profile.cutoffs, field) != entered:
        asked = profile.model_copy(update={"cutoffs": cutoffs, "accepted": ()})
    examined = check_profile(asked, policy, today, asked=path if only else None)
    advised = recommend(examined)
    mine = tuple(f for f in advised.findings if path in (f.path, *f.doubts) or _is_about(f, path))
    others = [item for item in advised.recommendations if item.path not in CUTOFFS]
    if others:
        undecided = f"{path_text(others[0].path)} is in doubt as well"
    else:
        undecided = doubt(examined) or _needs(asked, field) or _turned_off(policy, field)
    enter = None if undecided else of_place(advised.recommendations, path)
    withheld = of_place(advised.withheld, path)
    reason = "" if withheld is None else withheld.reason
    return Answer(field, entered, asked, mine, enter, undecided, reason, policy)


def _is_about(finding: Finding, path: KeyPath) -> bool:
    meant = (finding.suggestion, *finding.also)
    return any(item is not None and item.path == path for item in meant)


def _needs(profile: Profile, field: Field) -> str:
    """What must be known to say anything of a cutoff; empty where it is."""
    if field == "low" and profile.expected is None:
        return "the normal pressure is not given, and a low cutoff is judged by that"
    if field == "high" and not under_pressure(profile):
        return "no part up to the column has a rating, and a high cutoff protects the weakest"
    return ""


def _turned_off(policy: Policy, field: Field) -> str:
    """The first check of this cutoff that may not be left open and is turned off."""
    off = [name for name in sorted(CORE) if name.startswith(field) and policy.turned_off(name)]
    return f"{off[0]} is turned off {policy.turned_off(off[0])}" if off else ""


def _entered(value: str, profile: Profile) -> Pressure:
    """The value in the instrument's unit; a value with that unit written out is taken, too."""
    unit = profile.instrument.pressure_unit
    text = value.strip()
    try:
        number, spelling = split_quantity(f"{text} {unit}" if _is_bare(text) else text, Pressure)
        if find_unit(spelling, Pressure) != unit:
            pressure = Pressure.parse(text)
            raise UnitError(
                f'"{text}" on an instrument that shows {unit}',
                f"convert it first: limitcheck convert {pressure} --to {unit}",
            )
        return Pressure.of(number, unit)
    except UnitError as error:
        raise UnusableEntry(error.message, error.advice) from None


def _is_bare(text: str) -> bool:
    return not any(character.isalpha() for character in text.replace("e", "").replace("E", ""))


def described(
    unit: str | None, low: str | None, high: str | None, ratings: Iterable[str]
) -> Profile:
    """A profile of what the command line says; raises UnusableEntry naming the option."""
    if unit is None:
        raise UnusableEntry("without --profile the instrument's unit is needed", "add --unit bar")
    if (low is None) != (high is None):
        raise UnusableEntry(
            "only one of --expected-low and --expected-high is given", "give both, or neither"
        )
    stated = list(ratings)
    if not stated and high is None:
        raise UnusableEntry(
            "there is nothing to compare the number with",
            'add --rating "400 bar", or --expected-low and --expected-high',
        )
    parts: list[dict[str, Any]] = [{"part": "pump"}, {"part": "column"}]
    if stated:
        parts = [
            {"part": "pump", "rating": stated[0]},
            *({"part": "fitting", "rating": rating} for rating in stated[1:]),
            {"part": "column"},
        ]
    data: dict[str, Any] = {
        "format": 1,
        "method": {"id": "entry"},
        "instrument": {"id": "entry", "pressure_unit": unit},
        "flow_path": parts,
    }
    if low is not None and high is not None:
        data["expected"] = {"low": _bare_or_text(low), "high": _bare_or_text(high)}
    try:
        profile = validate_profile(data)
    except ValidationError as error:
        problems = list(explain(error))
        first = problems[0]
        message = first.message.rpartition(": ")[2]
        raise UnusableEntry(f"{_option(first.path)}: {message}", first.advice) from None
    expected = profile.expected
    if expected is not None and expected.low > expected.high:
        raise UnusableEntry(
            f"--expected-low {expected.low} is above --expected-high {expected.high}",
            "exchange the two, or correct the one that is wrong",
        )
    return profile


def _bare_or_text(text: str) -> Decimal | str:
    try:
        exact(text)
    except (UnitError, ArithmeticError):
        return text
    return Decimal(text)


def _option(path: KeyPath) -> str:
    if path[:1] == ("flow_path",):
        return "--rating"
    return {"expected": f"--expected-{path[-1]}", "instrument": "--unit"}.get(str(path[0]), "VALUE")

"""One number about to be typed as a cutoff: the same checks as for a profile, on that field."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any, Literal

from pydantic import ValidationError

from ..checks.acceptances import ABOUT_ACCEPTANCES
from ..checks.engine import Examined, check_profile
from ..checks.required import CORE
from ..errors import LimitcheckError
from ..findings import Finding, KeyPath, Recommendation, Severity, of_place, path_text
from ..policy import DEFAULT_POLICY, Policy
from ..profile.hardware import under_pressure
from ..profile.model import Profile, validate_profile
from ..profile.problems import explain
from ..profile.unrated import unrated
from ..units import Pressure, UnitError, find_unit
from .doubts import CUTOFFS, band_doubt, doubt
from .file import left_open
from .from_another_unit import as_stored, stored, without_slips
from .recommendations import recommend
from .typed import OFF, Typed, is_bare, read

Field = Literal["high", "low"]
_SLIP = "the number or its unit may be a slip: look where it comes from"
_EXPOSED = "part-exposed-downstream"
_ABOUT_CUTOFFS = CORE | {
    "mistyped-number",
    "entry-not-storable",
    "entry-beyond-field",
    "rounded-over-rating",
    "rule-of-thumb-conversion",
    "high-cutoff-margin-thin",
    "high-cutoff-margin-wide",
    "high-cutoff-untouched",
    "low-cutoff-margin-thin",
    "low-cutoff-margin-wide",
    "rating-derated",
    _EXPOSED,
}
"""The checks that ask something of a cutoff; others are about the rest of the profile."""


class UnusableEntry(LimitcheckError):
    """A value or option that cannot be used."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What to tell the analyst: `enter` is what to type instead; None where nothing is known."""

    field: Field
    pressure: Pressure
    """What is judged: a number in the instrument's unit, as it stores it."""
    profile: Profile
    findings: tuple[Finding, ...]
    enter: Recommendation | None
    undecided: str = ""
    """What else in the profile is in doubt, so that nothing can be said of this number."""
    withheld: str = ""
    """Why nothing can be recommended instead."""
    policy: Policy = DEFAULT_POLICY
    typed: Typed | None = None
    """What was typed and how it was read; None for "off"."""
    doubted: str = ""
    """Why the number as typed may be a slip, where it came from another unit."""
    not_decided: tuple[Finding, ...] = ()
    """What `check` would say of this number that it may not leave open, and does."""
    exposes: tuple[Finding, ...] = ()
    """That parts after the column hold less than this high cutoff, as `check` would say it."""
    band_doubt: str = ""
    """What speaks against the expected band, in a few words."""
    stated: bool = False
    """Whether ratings and normal pressure were stated just now, without a profile."""

    @property
    def converted(self) -> Pressure | None:
        """What was typed, where that was in another unit than the instrument shows."""
        if self.typed is None or self.typed.pressure.unit == self.pressure.unit:
            return None
        return self.typed.pressure

    @property
    def shown(self) -> str:
        """What was typed, for people."""
        return OFF if self.typed is None else str(self.typed.pressure)

    @property
    def may_be_typed(self) -> bool:
        """Whether nothing is against the number beyond notes, whatever a policy makes of them."""
        settled = all(f.worst is Severity.NOTE for f in self.findings if f.accepted is None)
        return settled and not (self.undecided or self.doubted or self.not_decided)

    @property
    def not_compared(self) -> tuple[str, ...]:
        """What the number could not be compared with, because the profile gives none."""
        missing = () if self.profile.expected is not None else ("a normal pressure",)
        if self.field == "low":
            return missing
        if not under_pressure(self.profile):
            return (*missing, "a rating")
        if self.stated:  # which parts there are nobody said
            return missing
        return (*missing, *(f"the rating of the {part}" for part in unrated(self.profile)))


def ask(
    profile: Profile, value: str, field: Field, policy: Policy, today: date, *, only: bool = False
) -> Answer:
    """What the checks say of a number typed into the high or low field of this method.

    It is judged as if it stood in the profile, beside the other cutoff; what somebody accepted
    for another number is not accepted for this one, but a protected part is protected. What a run
    may not leave open may not be left open here. With `only`, the rest was stated just now and
    only this number is in question.
    Raises UnusableEntry for a value that is no number.
    """
    given, path = _given(value, profile), ("cutoffs", field)
    converted = given is not None and given.pressure.unit != profile.instrument.pressure_unit
    entered = Pressure.of(0, profile.instrument.pressure_unit) if given is None else given.pressure
    if converted:
        entered = stored(path, entered, profile.instrument)
    cutoffs = profile.cutoffs.model_copy(update={field: entered})
    asked = profile
    if getattr(profile.cutoffs, field) != entered:
        kept = tuple(item for item in profile.accepted if item.check == _EXPOSED)
        asked = profile.model_copy(update={"cutoffs": cutoffs, "accepted": kept})
    judged = check_profile(
        asked, policy, today, asked=path if only else None, converted=path if converted else None
    )
    examined = without_slips(judged, path) if converted else judged
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
    doubted = _SLIP if len(examined.findings) != len(judged.findings) else ""
    exposed = tuple(f for f in judged.findings if _is_of_exposed(f))
    asked_open = () if undecided else tuple(_left_open(judged, field, stated=only))
    answer = Answer(
        field,
        entered,
        asked,
        mine,
        enter,
        undecided,
        reason,
        policy,
        given,
        doubted,
        asked_open,
        exposed if field == "high" else (),
        band_doubt(judged),
        stated=only,
    )
    if converted and answer.may_be_typed:
        return replace(answer, enter=as_stored(path, entered))
    return answer


def _left_open(examined: Examined, field: Field, *, stated: bool) -> Iterator[Finding]:
    """What a run would say of this cutoff that is required and not decided, and not accepted.

    Ratings that were stated just now are all that there is to compare with.
    """
    other = "low-cutoff" if field == "high" else "high-cutoff"
    for finding in left_open(examined):
        of_parts = stated and finding.path[:1] == ("flow_path",)
        about = [name for name in finding.data["checks"] if name in _ABOUT_CUTOFFS]
        if finding.accepted is None and not of_parts and any(other not in name for name in about):
            yield finding


def _is_of_exposed(finding: Finding) -> bool:
    """Whether a finding is of a part after the column, or says that its acceptance is void."""
    void = finding.check in ABOUT_ACCEPTANCES and f"[{_EXPOSED} at" in finding.place
    return (finding.check == _EXPOSED or void) and finding.accepted is None


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


def _given(value: str, profile: Profile) -> Typed | None:
    """What was typed, a bare number in the instrument's unit; None for "off"."""
    if value.strip().casefold() == OFF:
        return None
    try:
        given = read(value, profile.instrument.pressure_unit)
    except UnitError as error:
        raise UnusableEntry(error.message, error.advice) from None
    return given


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
    stated = [_stated(rating, "--rating") for rating in ratings]
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
        try:
            shown = find_unit(unit, Pressure)
        except UnitError:  # refused below, as what it is
            shown = "bar"
        data["expected"] = {
            end: _stated(text, f"--expected-{end}", shown)
            for end, text in (("low", low), ("high", high))
        }
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


def _stated(text: str, option: str, unit: str = "") -> Decimal | str:
    """A pressure of an option as a profile has it; a bare number, where one may be, in `unit`."""
    try:
        given = read(text, unit).pressure
    except UnitError as error:
        raise UnusableEntry(f"{option}: {error.message}", error.advice) from None
    return Decimal(given.number) if unit and is_bare(text) else str(given)


def _option(path: KeyPath) -> str:
    if path[:1] == ("flow_path",):
        return "--rating"
    return {"expected": f"--expected-{path[-1]}", "instrument": "--unit"}.get(str(path[0]), "VALUE")

"""The cutoffs as they were typed: into which field, and converted from a rating or not."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from ..findings import Confidence, Finding, KeyPath, Related, Severity, Suggestion
from ..meant.evidence import HIGH
from ..profile.hardware import RatedPart
from ..units import Pressure, is_in, plain, plain_or_rounded, round_down, round_up
from ..units.numbers import is_multiple
from ..units.rules_of_thumb import by_rule_of_thumb, rounded_over
from .identity import above, by_part, changed
from .subject import Skip, Subject, gap, typed

NEAR_ENOUGH = Fraction(2, 100)
"""A number rounded by more is another number (common practice, no source)."""


def entry_not_storable(subject: Subject) -> Iterator[Finding]:
    """A cutoff is finer than the smallest step the entry field takes.

    At the bench: the instrument keeps another number than the method says; which one
    depends on its firmware.
    Do: enter a whole number of steps, rounded the safe way: the high cutoff down, the low up.
    Source: the instrument's own display.
    """
    step = subject.profile.instrument.display_step
    if step is None:
        raise Skip("no display_step", "display_step in [instrument]", ("instrument",))
    for path, entered in _cutoffs(subject):
        number = entered.to(subject.unit)
        if is_multiple(number, step):
            continue
        below, above = round_down(number, step), round_up(number, step)
        way = "up" if path[-1] == "low" else "down"
        safe = below if way == "down" else above
        zero = below == 0 and path[-1] == "high"
        near = abs(safe - number) <= NEAR_ENOUGH * number
        yield Finding(
            Severity.WARNING,
            f"The {path[-1]} cutoff {entered} is finer than the display step "
            f"{plain_or_rounded(step)} {subject.unit}: the instrument will keep {plain(below)} or "
            f"{plain(above)}.",
            "Do not enter 0, which switches it off." if zero else f"Round it {way} to a full step.",
            path,
            compared=changed(entered, Pressure.of(step, subject.unit)),
            related=(Related(("instrument", "display_step"), "the display step"),),
            suggestion=Suggestion(path, plain(safe), subject.unit, kind="step") if near else None,
        )


def entry_beyond_field(subject: Subject) -> Iterator[Finding]:
    """A cutoff is larger than the largest value the entry field takes.

    At the bench: the instrument refuses the number or cuts it off, and another value than
    the method's is in force.
    Do: enter a value the field takes; look at the unit, too.
    Source: the instrument's own display.
    """
    most = subject.profile.instrument.entry_max
    if most is None:
        raise Skip("no entry_max", "entry_max in [instrument]", ("instrument",))
    for path, entered in _cutoffs(subject):
        if entered.to(subject.unit) <= most:
            continue
        yield Finding(
            Severity.ERROR,
            f"The {path[-1]} cutoff {entered} is more than the field takes: "
            f"{plain_or_rounded(most)} {subject.unit}.",
            "Look at the unit, and enter a value that the field takes.",
            path,
            compared=above(entered, Pressure.of(most, subject.unit)),
            related=(Related(("instrument", "entry_max"), "the largest value it takes"),),
        )


def _cutoffs(subject: Subject) -> Iterator[tuple[KeyPath, Pressure]]:
    cutoffs = subject.profile.cutoffs
    for name, entered in (("high", cutoffs.high), ("low", cutoffs.low)):
        if entered is not None:
            yield ("cutoffs", name), entered


def rule_of_thumb_conversion(subject: Subject) -> Iterator[Finding]:
    """A cutoff is a rating times a rule of thumb, such as 15 psi to the bar.

    At the bench: 15 psi to the bar is 3.4 % too high, enough to pass a rating: 400 bar
    becomes 6000 psi, which is 413.7 bar.
    Do: convert exactly (`limitcheck convert`) and round down.
    Source: the rule is common practice, no source; the exact factors are NIST SP 811's.
    """
    high, step = subject.high, subject.profile.instrument.step
    for rated in subject.loaded:
        thumb = by_rule_of_thumb(high, rated.pressure, step)
        if thumb is None:
            continue
        over = high > rated.pressure
        if not over and subject.evidence.declared.untouched:
            continue  # the same number stands on another label
        exact = is_in(thumb.exact, subject.unit, apart=[high])
        effect = (
            f"{gap(high, rated.pressure, subject.unit)} above the rating"
            if over
            else f"{gap(rated.pressure, high, subject.unit)} under it"
        )
        yield Finding(
            Severity.ERROR if over else Severity.NOTE,
            f"The high cutoff {high} is the rating of the {rated.name}, {rated.pressure}, by the "
            f"rule {thumb.rule}. By the exact factor it {exact}: the cutoff is {effect}.",
            "Convert exactly and round down.",
            HIGH,
            compared=(above if over else changed)(high, by_part([rated])),
            confidence=Confidence.LIKELY,
            related=(Related(rated.path, f"{rated.name} is rated {rated.pressure}"),),
            suggestion=_rating_rounded_down(subject, rated) if over else None,
        )
        return
    subject.all_rated()


def rounded_over_rating(subject: Subject) -> Iterator[Finding]:
    """A cutoff is a rating rounded up past it, mostly after a conversion.

    At the bench: the cutoff is above the rating by less than a display step, or at most 0.5 %.
    Little, but a record that says "not above the rating" is then wrong.
    Do: round high cutoffs down.
    Source: arithmetic; 400 bar is 5801.5 psi (NIST SP 811), not 5802.
    """
    high, step = subject.high, subject.profile.instrument.step
    for rated in subject.loaded:
        if not rounded_over(high, rated.pressure, step):
            continue
        how = "converted and " if high.unit != rated.pressure.unit else ""
        yield Finding(
            Severity.ERROR,
            f"The high cutoff {typed(high, rated.pressure)} is the rating of the {rated.name}, "
            f"{rated.pressure}, {how}rounded up: by the exact factor it "
            f"{is_in(rated.pressure, subject.unit, apart=[high])}.",
            "Round high cutoffs down.",
            HIGH,
            compared=above(high, by_part([rated])),
            related=(Related(rated.path, f"{rated.name} is rated {rated.pressure}"),),
            suggestion=_rating_rounded_down(subject, rated),
        )
        return
    subject.all_rated()


def _rating_rounded_down(subject: Subject, rated: RatedPart) -> Suggestion | None:
    """The largest number the field stores that is not above a rating, if no part is weaker."""
    step = subject.profile.instrument.step
    number = round_down(rated.pressure.to(subject.unit), step)
    if number <= 0 or subject.weakest is not rated:
        return None
    return Suggestion(HIGH, plain(number), subject.unit, kind="rounding")

"""Ratings converted to another unit: by a rule of thumb, or rounded past what the part holds."""

from __future__ import annotations

from collections.abc import Iterator

from ..findings import Confidence, Finding, Related, Severity, Suggestion
from ..meant.numbers import HIGH
from ..profile.hardware import RatedPart
from ..units import plain, round_down, show
from ..units.rules_of_thumb import by_rule_of_thumb, rounded_over
from .subject import Subject, gap, typed


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
        over = high.value > rated.pressure.value
        if not over and subject.evidence.declared.untouched:
            continue  # the same number stands on another label
        exact = show(thumb.exact, subject.unit, apart=[high])
        effect = (
            f"{gap(high, rated.pressure, subject.unit)} above the rating"
            if over
            else f"{gap(rated.pressure, high, subject.unit)} under it"
        )
        yield Finding(
            Severity.ERROR if over else Severity.NOTE,
            f"The high cutoff {high} is the rating of the {rated.name}, {rated.pressure}, by the "
            f"rule {thumb.rule}. Exactly it is {exact}: the cutoff is {effect}.",
            "Convert exactly and round down.",
            HIGH,
            confidence=Confidence.LIKELY,
            related=(Related(rated.path, f"{rated.name} is rated {rated.pressure}"),),
            suggestion=_rating_rounded_down(subject, rated) if over else None,
        )
        return


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
            f"{rated.pressure}, {how}rounded up: exactly it is "
            f"{show(rated.pressure, subject.unit, apart=[high])}.",
            "Round high cutoffs down.",
            HIGH,
            related=(Related(rated.path, f"{rated.name} is rated {rated.pressure}"),),
            suggestion=_rating_rounded_down(subject, rated),
        )
        return


def _rating_rounded_down(subject: Subject, rated: RatedPart) -> Suggestion | None:
    """The largest number the field stores that is not above a rating, if no part is weaker."""
    step = subject.profile.instrument.step
    number = round_down(rated.pressure.to(subject.unit), step)
    if number <= 0 or subject.weakest is not rated:
        return None
    return Suggestion(HIGH, plain(number), subject.unit, kind="rounding")

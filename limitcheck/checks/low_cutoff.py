"""The low cutoff against the expected pressure and the high cutoff."""

from __future__ import annotations

from collections.abc import Iterator

from ..findings import Confidence, Finding, Related, Severity
from ..physics.predict import Prediction
from ..units import Pressure, percent
from .high_cutoff import HIGH, share_text
from .identity import above, below, changed
from .subject import ADD_BAND, MEASURE, Skip, Subject, typed
from .usual_units import usual_low

LOW = ("cutoffs", "low")


def low_cutoff_off(subject: Subject) -> Iterator[Finding]:
    """There is no low cutoff, or it is zero.

    At the bench: the pump runs on through a leak or an empty bottle. Solvent collects, the
    column runs dry, and nobody is told.
    Do: set a low cutoff, or accept this finding with a reason (a leak sensor, for example).
    Source: common practice, no source.
    """
    low = subject.profile.cutoffs.low
    if low is not None and low.value > 0:
        return
    yield Finding(
        Severity.WARNING,
        "The low cutoff is off: a leak or an empty bottle stops nothing.",
        "Set one, or accept this with a reason (a leak sensor, for example).",
        LOW,
        compared=changed("off"),
    )


def low_cutoff_above_expected(subject: Subject) -> Iterator[Finding]:
    """The low cutoff is not under the expected minimum.

    At the bench: the pump stops for a leak that is not there, as soon as the pressure is at
    the low end of normal.
    Do: set it well under the expected minimum.
    Source: arithmetic on the profile's own numbers.
    """
    low, expected = subject.low, subject.expected_or_predicted()
    if low is None:
        return
    if isinstance(expected, Prediction):
        yield from _above_predicted(subject, low, expected)
        return
    if low < expected.low:
        _ = subject.band  # above both ends it is above the minimum, however they are meant
        if (lowest := subject.at_lowest) is not None and lowest.least <= float(low):
            raise Skip(f"the lowest pressure is only predicted, {lowest.told}", MEASURE, LOW)
        return
    if (lowest := subject.at_lowest) is not None and float(low) < lowest.most:
        raise Skip(f"the lowest pressure is only predicted, {lowest.told}", MEASURE, LOW)
    yield Finding(
        Severity.ERROR,
        f"The low cutoff {typed(low, expected.low)} is not under the expected minimum "
        f"{typed(expected.low, low)}: normal runs stop as if there were a leak.",
        "Set it well under the expected minimum.",
        LOW,
        compared=above(low, expected.low),
        related=(Related(("expected", "low"), f"expected from {expected.low}"),),
    )


def _above_predicted(subject: Subject, low: Pressure, predicted: Prediction) -> Iterator[Finding]:
    """Against the lowest predicted pressure, where no band is given."""
    if float(low) < predicted.lowest.low:  # that of the run is no less
        return
    bottom, _ = subject.run_ends
    if float(low) < bottom.low:
        return
    normal = subject.between(bottom)
    if float(low) < normal.most:
        raise Skip(f"the lowest pressure is only predicted, {normal.told}", ADD_BAND, LOW)
    yield Finding(
        Severity.ERROR,
        f"The low cutoff {typed(low)} is above the lowest pressure predicted for this method, "
        f"{normal.told}: normal runs stop as if there were a leak.",
        "Measure the normal pressure and give it in [expected]; then set the cutoff under it.",
        LOW,
        Confidence.POSSIBLE if predicted.extrapolated else Confidence.LIKELY,
    )


def low_cutoff_margin_thin(subject: Subject) -> Iterator[Finding]:
    """The low cutoff is just under the expected minimum (over 85 % of it by default).

    At the bench: the ordinary variation of pressure, about 10 % from run to run, stops good
    runs.
    Do: lower it.
    Source: common practice, no source.
    """
    low = subject.low
    if low is None:
        return
    expected = subject.band.low
    share = low.value / expected.value
    if not subject.margins.low_thin < share < 1:
        return
    yield Finding(
        Severity.WARNING,
        f"The low cutoff {typed(low, expected)} is {share_text(share)} of the expected minimum "
        f"{expected}; over {percent(subject.margins.low_thin)} stops good runs.",
        "Lower it.",
        LOW,
        compared=above(low, expected),
        related=(Related(("expected", "low"), f"expected from {expected}"),),
    )


def low_cutoff_margin_wide(subject: Subject) -> Iterator[Finding]:
    """The low cutoff is a very small part of the expected minimum (under 5 % by default).

    At the bench: it stops the pump only when a line is open, not at a leak that takes most of
    the flow.
    A weak low cutoff of 5 to 20 bar is common; where another unit would make the number
    usual, that unit is named, as a possibility only.
    Do: raise it, or leave it knowingly.
    Source: common practice, no source.
    """
    low = subject.low
    if low is None:
        return
    expected = subject.band.low
    if low.value >= expected.value * subject.margins.low_wide:
        return
    hint = usual_low(subject)
    yield Finding(
        Severity.WARNING,
        f"The low cutoff {typed(low)} is {share_text(low.value / expected.value)} of the expected "
        f"minimum {expected}: it stops the pump only when a line is open.{hint.text}",
        "Raise it, or leave it knowingly.",
        LOW,
        compared=below(low, expected),
        confidence=hint.confidence,
        related=(Related(("expected", "low"), f"expected from {expected}"),),
        suggestion=next(iter(hint.suggestions), None),
        doubts=hint.doubts,
        data=hint.data,
    )


def low_cutoff_not_below_high(subject: Subject) -> Iterator[Finding]:
    """The low cutoff is not under the high cutoff.

    At the bench: there is no pressure at which the pump may run.
    Do: correct the one that is wrong.
    Source: arithmetic on the profile's own numbers.
    """
    low = subject.low
    if low is None:
        return
    high = subject.high
    if low < high or high.value == 0:
        return
    yield Finding(
        Severity.ERROR,
        f"The low cutoff {typed(low, high)} is not under the high cutoff {typed(high, low)}: "
        "the pump may run at no pressure at all.",
        "Correct the one that is wrong.",
        LOW,
        compared=above(low, high),
        related=(Related(HIGH, f"high cutoff {high}"),),
    )

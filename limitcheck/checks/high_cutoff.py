"""The high cutoff against the hardware and the expected pressure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from ..findings import Confidence, Finding, Related, Severity, path_text
from ..physics.predict import Prediction
from ..profile.hardware import RatedPart
from ..units import Pressure, percent
from .expected_and_predicted import unless_mixed_past_cutoff
from .identity import above, below, by_part, changed
from .subject import ADD_BAND, MEASURE, Skip, Subject, gap, typed
from .usual_units import usual_high

HIGH = ("cutoffs", "high")


def high_cutoff_missing(subject: Subject) -> Iterator[Finding]:
    """There is no high cutoff, or it is zero.

    At the bench: nothing stops the pump when the flow path blocks. It drives on to its own
    limit, and the weakest part gives way first.
    Do: set a high cutoff above the normal pressure and under the weakest rating
    (`limitcheck propose` works it out).
    Source: common practice, no source.
    """
    high = subject.profile.cutoffs.high
    if high is not None and high.value > 0:
        return
    seen = "There is no high cutoff" if high is None else f"The high cutoff is {high}"
    yield Finding(
        Severity.ERROR,
        f"{seen}: nothing stops the pump when the flow path blocks.",
        "Set one above the normal pressure and under the weakest rating.",
        HIGH,
        compared=above("off", by_part([subject.weakest] if subject.weakest else [])),
    )


def high_cutoff_above_rating(subject: Subject) -> Iterator[Finding]:
    """The high cutoff is above what a part between pump and column holds.

    At the bench: when something blocks, the part gives way before the pump stops. Fittings
    spray, a column bed collapses, a pump seal fails.
    Do: lower the cutoff under the weakest rating, with headroom. Never raise a cutoff above
    a rating to get past a blockage.
    Ratings are compared exactly, at the method's own flow and temperature where the profile
    has a derating table.
    Source: the parts' own ratings; the comparison is arithmetic.
    """
    high = subject.high
    passed = sorted(
        (part for part in subject.loaded if high > part.pressure),
        key=lambda part: part.pressure.value,
    )
    if passed:
        yield _above(subject, high, passed)
    subject.all_rated()


def _above(subject: Subject, high: Pressure, passed: Sequence[RatedPart]) -> Finding:
    first = passed[0]
    limit, unit = first.pressure, subject.unit
    more = f" It is above {len(passed) - 1} more ratings." if len(passed) > 2 else ""
    if len(passed) == 2:
        more = f" It is above the rating of the {passed[1].name}, {passed[1].pressure}, too."
    return Finding(
        Severity.ERROR,
        f"The high cutoff {typed(high, limit)} is {gap(high, limit, unit)} above the rating of "
        f"the {first.name}, {typed(limit, high)}.{more}",
        "Lower it under the weakest rating.",
        HIGH,
        compared=above(high, by_part(passed)),
        related=tuple(Related(p.path, f"{p.name} is rated {p.pressure}") for p in passed),
        data={"parts": [path_text(p.path) for p in passed]},
    )


def high_cutoff_below_expected(subject: Subject) -> Iterator[Finding]:
    """The high cutoff is not above the expected maximum.

    At the bench: the pump stops during a normal run, or as soon as it starts.
    Where only how a gradient is mixed on the way decides whether a run passes, it is not decided.
    Do: set it above the expected maximum with margin, or correct the expected pressure.
    Source: arithmetic on the profile's own numbers.
    """
    high, expected = subject.high, subject.expected_or_predicted()
    if high.value == 0:
        return
    if isinstance(expected, Prediction):
        yield from _below_predicted(subject, high, expected)
        return
    if high > expected.high:
        _ = subject.band  # below both ends it is below the band, however they are meant
        if not subject.only_predicted:
            unless_mixed_past_cutoff(subject)
        if subject.is_out_of_reach(high):
            return
        if (reached := subject.reached) is not None and float(high) <= reached.most:
            raise Skip(f"the highest pressure is only predicted, {reached.told}", MEASURE, HIGH)
        return
    if (reached := subject.reached) is not None and float(high) > reached.least:
        raise Skip(f"the highest pressure is only predicted, {reached.told}", MEASURE, HIGH)
    when = (
        "stops the run as soon as the pump builds up pressure"
        if high <= expected.low
        else "stops normal runs"
    )
    yield Finding(
        Severity.ERROR,
        f"The high cutoff {typed(high, expected.high)} is not above the expected maximum "
        f"{typed(expected.high, high)}: it {when}.",
        "Set it above the expected maximum, as far as the weakest rating allows.",
        HIGH,
        compared=below(high, expected.high),
        related=(Related(("expected", "high"), f"expected up to {expected.high}"),),
    )


def _below_predicted(subject: Subject, high: Pressure, predicted: Prediction) -> Iterator[Finding]:
    """Against the highest predicted pressure, where no band is given."""
    most = predicted.highest.high + subject.left_out  # of the run too
    if float(high) > most:
        return
    reached = subject.between(subject.run_ends[1])
    if float(high) > reached.least:
        raise Skip(f"the highest pressure is only predicted, {reached.told}", ADD_BAND, HIGH)
    advice = "Measure the normal pressure and give it in [expected]; then set the cutoff above it."
    bounds = subject.proposal.high_bounds
    if subject.weakest is not None and any(
        float(bound.pressure) <= reached.least for bound in bounds
    ):
        advice = (
            "Check the unit, the geometry and the flow; if they are right, no cutoff under the "
            "weakest rating lets these runs pass."
        )
    yield Finding(
        Severity.ERROR,
        f"The high cutoff {typed(high)} is not above the highest pressure predicted for this "
        f"method, {reached.told}: it stops normal runs.",
        advice,
        HIGH,
        Confidence.POSSIBLE if predicted.extrapolated else Confidence.LIKELY,
    )


def high_cutoff_margin_thin(subject: Subject) -> Iterator[Finding]:
    """The high cutoff is hardly above the expected maximum (under 10 % by default).

    At the bench: pressure varies by about 10 % from run to run and rises as a column ages;
    good runs will be stopped.
    Do: widen the margin, as far as the weakest rating allows.
    Source: common practice, no source.
    """
    high, expected = subject.high, subject.band.high
    margin = high.value / expected.value - 1
    if not 0 < margin < subject.margins.high_thin:
        return
    yield Finding(
        Severity.WARNING,
        f"The high cutoff {typed(high, expected)} is only {share_text(margin)} above the expected "
        f"maximum {expected}; under {percent(subject.margins.high_thin)} stops good runs.",
        "Raise it, as far as the weakest rating allows.",
        HIGH,
        compared=below(high, expected),
        related=(Related(("expected", "high"), f"expected up to {expected}"),),
    )


def high_cutoff_margin_wide(subject: Subject) -> Iterator[Finding]:
    """The high cutoff is far above the expected maximum (over 100 % by default).

    At the bench: a blockage can more than double the pressure before the pump stops; the
    column takes the shock and the cause has had time to get worse.
    Past six times normal, a unit in which cutoff and band would go together is named, as a
    possibility only.
    Do: lower the cutoff towards the normal pressure.
    Source: common practice, no source.
    """
    high, expected = subject.high, subject.band.high
    margin = high.value / expected.value - 1
    if margin <= subject.margins.high_wide:
        return
    hint = usual_high(subject)
    yield Finding(
        Severity.WARNING,
        f"The high cutoff {typed(high)} is {share_text(margin)} above the expected maximum "
        f"{expected}: pressure must rise to {float(margin) + 1:.1f} times normal before the pump "
        f"stops.{hint.text}",
        "Lower it towards the normal pressure.",
        HIGH,
        compared=above(high, expected),
        confidence=hint.confidence,
        related=(Related(("expected", "high"), f"expected up to {expected}"),),
        suggestion=next(iter(hint.suggestions), None),
        also=hint.suggestions[1:],
        doubts=hint.doubts,
        data=hint.data,
    )


def high_cutoff_untouched(subject: Subject) -> Iterator[Finding]:
    """The high cutoff equals a rating or the largest value the field takes.

    At the bench: it is likely the value the instrument was delivered with, and nobody has
    set it for this method. It leaves no headroom and says nothing about this method.
    Do: set it for the method.
    Source: common practice, no source.
    """
    high, instrument = subject.high, subject.profile.instrument
    same = next((p for p in subject.rated if p.part.rating == high), None)
    if same is not None:
        what, path = f"the rating of the {same.name}", same.path
        limit: object = by_part([same])
    elif instrument.entry_max is not None and high.to(subject.unit) == instrument.entry_max:
        what, path = "the largest value the entry field takes", ("instrument", "entry_max")
        limit = high
    else:
        subject.all_rated()
        return
    proposed = subject.proposal.high
    if proposed is not None and proposed.pressure == high:
        return  # set or not, it is what would be set
    yield Finding(
        Severity.NOTE,
        f"The high cutoff {typed(high)} equals {what}: an untouched default, not set for this "
        "method.",
        "Set it for this method.",
        HIGH,
        compared=changed(high, limit),
        related=(Related(path, what),),
    )


def share_text(share: Fraction) -> str:
    """A share in per cent, with three digits where it is small."""
    return percent(float(share), 0 if share >= 1 else 3)

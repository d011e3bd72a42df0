"""The expected pressure against what the method should make."""

from __future__ import annotations

from collections.abc import Iterator
from math import sqrt

from ..findings import (
    NOT_DECIDED,
    Compared,
    Confidence,
    Finding,
    KeyPath,
    Related,
    Severity,
    path_text,
)
from ..physics.course import course, course_ends
from ..physics.flow_path import first_column
from ..physics.predict import Prediction
from ..physics.ratio import RatioInterval, between
from ..profile.model import Expected
from ..units.printing import as_read, pressure_of
from .expected import HIGH, LOW
from .identity import above, below
from .subject import ROUNDED, Skip, Subject


def expected_against_prediction(subject: Subject) -> Iterator[Finding]:
    """The expected pressure is not that of the prediction: wholly outside, or by its own words.

    A band that says it is predicted must hold the most likely pressures of the run. A band from
    zero is none of normal runs, whatever is predicted: a flow always takes some pressure.

    At the bench: either the band is in the wrong unit or from another method, or
    the geometry or conditions in the profile are not those of the column that runs,
    or the pressure was read with something blocked. Limits drawn from it are then
    wrong too.
    Do: check unit, particle size, bore, flow and solvents; then read the pressure
    of a clean column and narrow the interval with `limitcheck predict --calibrate`.
    Source: Kozeny-Carman and Hagen-Poiseuille with measured viscosities; the
    interval's parts are listed by `limitcheck predict`. The confidence is lower
    outside their range. Parts that the profile does not list are allowed 10 bar
    together (common practice, no source); 50 bar where no tubing has a length and
    a bore (assumed, no source); 69 bar where the pump is rated over 400 bar and
    injector, detector cell or tubing is without a resistance (Dolan, LCGC N. Am.
    29(9) (2011) 818); a restrictor of unknown resistance, anything. With measured
    pairs nothing: they hold all parts.
    """
    if subject.expected.low.value == 0:
        yield _from_zero(subject.expected)
        return
    expected, predicted = _both(subject)
    unseen = predicted.left_out
    unit = subject.unit
    top = predicted.highest.high + subject.left_out
    if float(expected.low) > top:
        path, word, compared = LOW, "above", above(expected.low, f"{as_read(top, unit)} {unit}")
    elif _below(expected, predicted):
        least = f"{as_read(predicted.lowest.low, unit)} {unit}"
        path, word, compared = HIGH, "below", below(expected.high, least)
    else:
        yield from _no_longer_predicted(subject, expected, predicted)
        return
    why = [*predicted.reasons, *([f"not counted: {', '.join(unseen)}"] if unseen else [])]
    yield _unlike(
        subject,
        predicted,
        f"is {word} what this flow path should make: {_interval(predicted, unit)}"
        + (f". That interval rests on: {'; '.join(why)}." if why else "."),
        "Check the unit, particle size, bore, flow and solvents; then read a clean column and "
        "use limitcheck predict --calibrate.",
        path,
        compared,
    )


def _from_zero(expected: Expected) -> Finding:
    return Finding(
        Severity.ERROR,
        f"The expected minimum is {expected.low}: no run reads that, so this is no band of normal "
        "runs, and nothing is compared with it.",
        "Give the lowest and the highest pressure of a normal run; without a reading, take "
        "[expected] out.",
        LOW,
        compared=below(expected.low, "any run"),
        data={"explains": [(NOT_DECIDED, path_text(LOW))]},
    )


def _below(expected: Expected, predicted: Prediction) -> bool:
    """Whether the band ends under all that is predicted; mostly without the interval's work."""
    most = float(expected.high)
    return most < predicted.lowest_central and most < predicted.lowest.low


def _no_longer_predicted(
    subject: Subject, expected: Expected, predicted: Prediction
) -> Iterator[Finding]:
    """A band that says it is predicted, and is not what is predicted of the profile as it is."""
    if not subject.only_predicted or subject.profile.source:
        return  # of a transfer: the sender's band times a ratio, not what is predicted here
    unit = subject.unit
    least, most = predicted.lowest_central, predicted.highest.central
    off = (1.0 - ROUNDED) * float(expected.low), (1.0 + ROUNDED) * float(expected.high)
    if most > off[1] or least < off[0]:  # then as ``limitcheck predict`` gives it
        least, most = course(subject.profile, predicted.ready).ends
    if most > off[1]:
        path, compared = HIGH, below(expected.high, f"{as_read(most, unit)} {unit}")
    elif least < off[0]:
        path, compared = LOW, above(expected.low, f"{as_read(least, unit)} {unit}")
    else:
        return
    told = " to ".join(dict.fromkeys(as_read(pascal, unit) for pascal in (least, most)))
    yield _unlike(
        subject,
        predicted,
        f"says that it is predicted, but of this profile {_interval(predicted, unit)} is "
        f"predicted, most likely {told} {unit}.",
        "Predict it again (limitcheck predict), and the cutoffs with it (limitcheck propose); "
        "better, read a clean column.",
        path,
        compared,
    )


def _unlike(
    subject: Subject,
    predicted: Prediction,
    said: str,
    advice: str,
    path: KeyPath,
    compared: Compared,
) -> Finding:
    expected = subject.expected
    return Finding(
        Severity.WARNING,
        f"The expected pressure, {expected.low} to {expected.high}, {said}",
        advice,
        path,
        _confidence(predicted),
        (_column(subject),),
        compared=compared,
        data=_data(predicted, subject.unit),
    )


def _interval(predicted: Prediction, unit: str) -> str:
    """From the low end at the lowest point of the run to the high end at its highest."""
    low, high = as_read(predicted.lowest.low, unit), as_read(predicted.highest.high, unit)
    return f"{low} to {high} {unit}"


def gradient_peak_outside_expected(subject: Subject) -> Iterator[Finding]:
    """The expected band is too narrow or too low for the gradient's pressure peak.

    At the bench: a gradient's pressure follows the viscosity of the mixture and
    often peaks inside a step, not at its ends. A high cutoff drawn from the start
    pressure stops good runs at the peak.
    Do: give the band over the whole run, lowest to highest pressure.
    Source: viscosity of mixtures, doi 10.1016/j.jct.2005.08.009 and
    10.1016/j.jct.2007.05.004. The ratio of highest to lowest pressure is
    much more certain than the pressure.
    """
    conditions = subject.profile.conditions
    one_bottle = (
        conditions is not None and conditions.solvent_a is not None and conditions.solvent_b is None
    )
    if conditions is None or (
        conditions.gradient is None and conditions.percent_b is None and not one_bottle
    ):
        raise Skip("no composition", "percent_b or gradient in [conditions]", ("conditions",))
    if conditions.gradient is None:
        return
    expected, predicted = _both(subject)
    swing = _swing(predicted, expected)
    above = predicted.low > float(expected.high) >= predicted.lowest.low
    if swing is None and not above:
        return
    mixed = course_ends(subject.profile, predicted)
    if swing is None:
        # lower than of one composition in the whole flow path, and by how it is mixed
        highest = [high for _, high in mixed]
        peak = course(subject.profile, predicted.ready).highest
        sure = peak.low / peak.central
        if sure * min(highest) <= float(expected.high):
            if sure * max(highest) > float(expected.high):
                most = peak.high / peak.central * max(highest)
                _unless_measured(subject, "peak", min(highest), max(highest), most)
            return
    else:
        # as the column sees it, late and smoothed, it need not swing so far
        swings = [high / low for low, high in mixed]
        down, up = swing.low / swing.central, swing.high / swing.central
        band = float(expected.high) / float(expected.low)
        if down * min(swings) <= band:
            if down * max(swings) > band:
                most = float(expected.low) * up * max(swings)
                _unless_measured(subject, "swing", min(swings), max(swings), most)
            return
        seen = sqrt(min(swings) * max(swings))
        swing = RatioInterval(down * min(swings), seen, up * max(swings))
        peak = course(subject.profile, predicted.ready).highest
    unit = subject.unit
    place = f"{peak.minute:.3g} min ({peak.percent_b:.3g} % B)"
    if swing is None:
        text = f"{as_read(peak.low, unit)} to {as_read(peak.high, unit)} {unit} at {place}, above"
        message = f"The pressure is predicted to peak at {text} the expected maximum."
        reached = peak.low
    else:
        band = float(expected.high) / float(expected.low)
        message = (
            f"Over this gradient the pressure swings by a factor {swing.central:.2f} "
            f"({swing.low:.2f} to {swing.high:.2f}) and is highest at {place}; the expected "
            f"band, {expected.low} to {expected.high}, spans only {band:.2f}."
        )
        reached = float(expected.low) * swing.central
        message += (
            f" If {expected.low} is the lowest pressure, the highest is near "
            f"{as_read(reached, unit)} {unit}."
        )
    yield Finding(
        Severity.WARNING,
        message,
        "Give [expected] over the whole run: the lowest and the highest normal pressure.",
        HIGH,
        _confidence(predicted),
        (Related(("conditions", "gradient"), f"highest pressure at {place}"),),
        compared=below(expected.high, f"{as_read(reached, unit)} {unit}"),
        data=_data(predicted, unit),
    )


def _unless_measured(subject: Subject, what: str, least: float, most: float, top: float) -> None:
    """Skips the check where it rests on how much is mixed on the way; a measured band holds it.

    But where mixing may take the peak past the high cutoff, to ``top`` [Pa], a measured band too
    must be of a whole run, and nothing in the profile shows that. The peak is in [Pa], the swing a
    ratio [-].
    """
    unit, high = subject.unit, subject.profile.cutoffs.high
    if high is None and subject.proposal.high is not None:
        high = subject.proposal.high.pressure
    measured = subject.expected.basis == "measured"
    past = high is not None and top > float(high)
    if measured and not past:
        return
    told = (
        f"the peak of this gradient lies between {as_read(least, unit)} and "
        f"{as_read(most, unit)} {unit}"
        if what == "peak"
        else f"the pressure of this gradient swings by a factor of {least:.2f} to {most:.2f}"
    )
    told += ", by how much it is mixed on the way to the column"
    add = 'the pressures measured over a whole run in [expected], with basis = "measured"'
    if measured:
        add = "the highest pressure of a run that was watched to its end, as high in [expected]"
    if past:
        told += (
            f". Unless {subject.expected.high} was the highest of a whole run, one may reach "
            f"{as_read(top, unit)} {unit}, past the high cutoff, {high}"
        )
        raise PeakPastCutoff(told, add, HIGH)
    raise Skip(told, add, HIGH)


class PeakPastCutoff(Skip):
    """That mixing alone may take the peak of a gradient past the high cutoff."""


def unless_mixed_past_cutoff(subject: Subject) -> None:
    """Skips a check of the high cutoff where how a gradient is mixed decides whether runs pass."""
    try:
        for _ in gradient_peak_outside_expected(subject):
            return
    except PeakPastCutoff:
        raise
    except Skip:
        return


def _both(subject: Subject) -> tuple[Expected, Prediction]:
    predicted = subject.predicted()
    return subject.band, predicted


def _swing(predicted: Prediction, expected: Expected) -> RatioInterval | None:
    """Highest over lowest pressure of the run, where the band is surely too narrow for it."""
    band = float(expected.high) / float(expected.low)
    if predicted.highest.central <= band * predicted.lowest_central:
        return None
    ready = predicted.ready
    low, high = (ready.at(percent_b) for percent_b in predicted.ends)
    swing = between(ready.path.segments, low, ready.path.segments, high)
    return swing if swing.low > band else None


def _confidence(predicted: Prediction) -> Confidence:
    return Confidence.POSSIBLE if predicted.extrapolated else Confidence.LIKELY


def _column(subject: Subject) -> Related:
    place, _ = first_column(subject.profile)
    return Related(("flow_path", place), "the column it was predicted for")


def _data(predicted: Prediction, unit: str) -> dict[str, object]:
    pascals = (predicted.lowest.low, predicted.central, predicted.highest.high)
    low, central, high = (pressure_of(pascal, unit) for pascal in pascals)
    return {
        "predicted": {"low": low, "central": central, "high": high},
        "extrapolated": predicted.extrapolated,
        "reasons": list(predicted.reasons),
    }

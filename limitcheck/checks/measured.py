"""Measured pairs of flow and pressure against the geometry, and against each other."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ..findings import Confidence, Finding, KeyPath, Related, Severity
from ..physics.flow_path import first_column
from ..physics.pairs import Estimate, Factor, Fit, Oddity, Pair
from ..physics.slips import explanations
from ..units.printing import as_read
from .identity import above, below, changed
from .subject import Skip, Subject

_PLAIN = 1.5
"""Times what the geometry allows, in ln: from here on the contradiction is likely, not possible."""
_CAUSES: Mapping[Oddity, str] = {
    "falls": "two pressures exchanged, a leak at the higher flow, a pump that did not deliver",
    "apart": "one was read before pressure and temperature were steady, a bubble, a blockage that "
    "grew between them",
    "offset": "a sensor that does not show zero without flow, a device that opens at a pressure "
    "(back-pressure valve), pressures read before they were steady",
    "no scale": "a number written at the wrong pair, a leak or a bubble at one of them, another "
    "temperature or mobile phase than is written",
}
"""What may be behind it (common practice, no source)."""


def measured_against_geometry(subject: Subject) -> Iterator[Finding]:
    """Measured pairs of flow and pressure contradict the geometry, or each other.

    At the bench: a size in the profile is not that of the column or tube that runs, something is
    partly blocked, or a pair was misread. Where the pairs agree among themselves, the prediction
    rests on them and not on the geometry, unless they are very far from it.
    A blocked column that is measured so becomes the new normal.
    Do: look at label, tubing and unit; read the pressure at zero flow; read the pairs again at
    steady pressure, one with a union in place of the column (`column = false`), which tells
    column and tubing apart.
    Source: Kozeny-Carman and Hagen-Poiseuille with their stated errors; pairs beside each other
    within 4 %, days within 7 % (common practice, no source). What would explain it is arithmetic
    on sizes that are sold: possible, never certain.
    """
    if not subject.profile.measured:
        return
    predicted = subject.prediction
    fit = predicted.ready.path.fit if predicted is not None else None
    if predicted is None or fit is None:
        raise Skip(subject.no_prediction_reason, subject.for_prediction, ("measured",))
    if fit.estimate is None:
        raise Skip(fit.unused, "a [[measured]] pair at another flow", ("measured",))
    if fit.odd:
        yield _contradiction(subject, fit, fit.estimate)
    else:
        outside = [item for item in fit.groups if item[1].outside]
        if outside:
            yield _outside(subject, fit, fit.estimate, *max(outside, key=_distance))
    if fit.skipped:
        number, why = fit.skipped[0]
        raise Skip(f"pair {number} cannot be used: {why}", "", ("measured", number - 1))


def _distance(item: tuple[str, Factor]) -> float:
    return item[1].distance


def _contradiction(subject: Subject, fit: Fit, found: Estimate) -> Finding:
    numbers = {pair.reading.number: pair for pair in found.pairs}
    last = fit.between[-1]
    others = tuple(
        Related(_place(numbers[n]), f"pair {n}") for n in fit.between[:-1] if n in numbers
    )
    typed = subject.profile.measured
    return Finding(
        Severity.WARNING,
        f"The measured pairs contradict each other: {fit.odd}. The prediction does not use them.",
        f"Read them again at steady pressure. Possible: {_CAUSES[fit.oddity]}.",
        _place(numbers[last]),
        Confidence.LIKELY,
        others,
        compared=changed(typed[last - 1].pressure, f"{fit.oddity} of {len(typed)} pairs"),
    )


def _outside(subject: Subject, fit: Fit, found: Estimate, name: str, factor: Factor) -> Finding:
    unit, (place, _) = subject.unit, first_column(subject.profile)
    own = [p for p in found.pairs if p.reading.column is (name != "other parts")]
    pair = max(own or found.pairs, key=lambda item: item.reading.pressure)
    typed = subject.profile.measured[pair.reading.number - 1].pressure
    higher = factor.central > 1.0
    least, most = (f"{as_read(p, unit)} {unit}" for p in (pair.least, pair.most))
    rests = "the geometry alone" if fit.unused else "the pairs"
    slips = "; ".join(explanations(subject.profile, found, name))
    return Finding(
        Severity.WARNING,
        f"By the measured pairs {name} take {factor.central:.2f} times what the geometry makes; "
        f"it allows {factor.least:.2f} to {factor.most:.2f}. Pair {pair.reading.number}, {typed}, "
        f"would be {least} to {most}. The prediction rests on {rests}.",
        f"Possible, each by itself: {slips}.",
        _place(pair),
        Confidence.LIKELY if factor.distance > _PLAIN else Confidence.POSSIBLE,
        (Related(("flow_path", place), "the column it was predicted for"),),
        compared=above(typed, most) if higher else below(typed, least),
        data={"factor": float(f"{factor.central:.4g}")},
    )


def _place(pair: Pair) -> KeyPath:
    return ("measured", pair.reading.number - 1, "pressure")

"""Measured pairs of flow and pressure against the geometry, and against each other."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from ..findings import Confidence, Finding, KeyPath, Related, Severity
from ..physics.flow_path import first_column
from ..physics.liquid import CannotPredict
from ..units.printing import as_read
from .identity import above, below, changed
from .subject import Skip, Subject, typed

if TYPE_CHECKING:
    from ..physics.pairs import Estimate, Factor, Fit, Oddity

_PLAIN = 1.5
"""Times what the geometry allows, in ln: from here on the contradiction is likely, not possible."""
_CAUSES: Mapping[Oddity, str] = {
    "falls": "two pressures exchanged, a leak at the higher flow, a pump that did not deliver",
    "apart": "one was read before pressure and temperature were steady, a bubble, a blockage that "
    "grew between them",
    "no column": "the two pressures exchanged, a union or capillary narrower than what is listed, "
    "something blocked when it was read without the column",
    "offset": "a sensor that does not show zero without flow, a device that opens at a pressure "
    "(back-pressure valve), pressures read before they were steady",
    "no scale": "a number written at the wrong pair, a leak or a bubble at one of them, another "
    "temperature or mobile phase than is written",
}
"""What may be behind it (common practice, no source)."""


def measured_against_geometry(subject: Subject) -> Iterator[Finding]:
    """Measured pairs of flow and pressure contradict the geometry, or each other.

    At the bench: a size in the profile is not that of the column or tube that runs, something is
    partly blocked, or a pair was misread (one above the pump's rating was not read so). Where
    the pairs agree among themselves, the prediction rests on them and not on the geometry, unless
    they are very far from it. A blocked column that is measured so becomes the new normal.
    Do: look at label, tubing and unit; read the pressure at zero flow; read the pairs again at
    steady pressure, one with a union in place of the column (`column = false`), which tells
    column and tubing apart.
    Source: Kozeny-Carman and Hagen-Poiseuille with their stated errors; pairs beside each other
    within 4 %, days within 7 % (common practice, no source). What would explain it is arithmetic
    on sizes that are sold: possible, never certain.
    """
    if not subject.profile.measured:
        return
    held = dict(_above_pump(subject))
    try:
        fit = subject.unjudged.ready.path.fit
    except CannotPredict:
        fit = None
    for finding in _found(subject, fit):
        pump = held.pop(finding.path, None)
        yield finding if pump is None else _together(finding, pump)
    yield from held.values()
    if fit is None:
        raise Skip(subject.no_prediction_reason, subject.for_prediction, ("measured",))
    if fit.estimate is None:
        other = fit.advice or "a [[measured]] pair at another flow"
        add = "what the pairs lack" if fit.skipped else other
        raise Skip(fit.unused, add, ("measured",))
    if fit.skipped:
        number, why = fit.skipped[0]
        raise Skip(f"pair {number} cannot be used: {why}", "", ("measured", number - 1))


def _found(subject: Subject, fit: Fit | None) -> Iterator[Finding]:
    if fit is None:
        return
    outside = [item for item in fit.groups if item[1].outside]
    if fit.odd:
        yield _contradiction(subject, fit)
    elif outside and fit.estimate is not None:
        yield _outside(subject, fit, fit.estimate, *max(outside, key=_distance))


def _together(finding: Finding, pump: Finding) -> Finding:
    """One finding on one number that two things are said of."""
    message = f"{finding.message} {pump.message}"
    return finding._replace(message=message, related=(*finding.related, *pump.related))


def _above_pump(subject: Subject) -> Iterator[tuple[KeyPath, Finding]]:
    """Pairs that the pump cannot have delivered."""
    rating = subject.profile.flow_path[0].rating
    for index, pair in enumerate(subject.profile.measured):
        if rating is not None and pair.pressure > rating:
            path: KeyPath = ("measured", index, "pressure")
            yield (
                path,
                Finding(
                    Severity.WARNING,
                    f"Pair {index + 1}, {typed(pair.pressure, rating)}, is above what the pump "
                    f"holds, {typed(rating, pair.pressure)}: it was not read so on it.",
                    "Check its unit, and the pump's rating.",
                    path,
                    compared=above(pair.pressure, rating),
                    related=(Related(("flow_path", 0, "rating"), f"the pump is rated {rating}"),),
                ),
            )


def _distance(item: tuple[str, Factor]) -> float:
    return item[1].distance


def _contradiction(subject: Subject, fit: Fit) -> Finding:
    last = fit.between[-1]
    others = tuple(Related(_place(number), f"pair {number}") for number in fit.between[:-1])
    pairs = subject.profile.measured
    return Finding(
        Severity.WARNING,
        f"The measured pairs contradict each other: {fit.odd}. The prediction does not use them.",
        f"Read them again at steady pressure. Possible: {_CAUSES[fit.oddity]}.",
        _place(last),
        Confidence.LIKELY,
        others,
        compared=changed(pairs[last - 1].pressure, f"{fit.oddity} of {len(pairs)} pairs"),
    )


def _outside(subject: Subject, fit: Fit, found: Estimate, name: str, factor: Factor) -> Finding:
    from ..physics.slips import explanations  # few profiles have pairs

    unit, (place, _) = subject.unit, first_column(subject.profile)
    own = [p for p in found.pairs if p.reading.column is (name != "other parts")]
    pair = max(own or found.pairs, key=lambda item: item.reading.pressure)
    read = subject.profile.measured[pair.reading.number - 1].pressure
    higher = factor.central > 1.0
    least, most = (f"{as_read(p, unit)} {unit}" for p in (pair.least, pair.most))
    rests = "the geometry alone" if fit.unused else "the pairs"
    slips = "; ".join(explanations(subject.profile, found, name))
    return Finding(
        Severity.WARNING,
        f"By the measured pairs {name} take {factor.central:.2f} times what the geometry makes; "
        f"it allows {factor.least:.2f} to {factor.most:.2f}. Pair {pair.reading.number}, {read}, "
        f"would be {least} to {most}. The prediction rests on {rests}.",
        f"Possible, each by itself: {slips}.",
        _place(pair.reading.number),
        Confidence.LIKELY if factor.distance > _PLAIN else Confidence.POSSIBLE,
        (Related(("flow_path", place), "the column it was predicted for"),),
        compared=above(read, most) if higher else below(read, least),
        data={"factor": float(f"{factor.central:.4g}")},
    )


def _place(number: int) -> KeyPath:
    return ("measured", number - 1, "pressure")

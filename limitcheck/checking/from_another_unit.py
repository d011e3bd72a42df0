"""A cutoff that was typed in another unit, as an instrument stores it."""

from __future__ import annotations

from ..checks.engine import Examined
from ..findings import Confidence, KeyPath, Recommendation
from ..profile.model import Instrument
from ..units import Pressure, plain, round_safely

_OF_DIGITS = ("unit-confusion", "mistyped-number")
"""Checks that read the digits of a number in other ways."""


def stored(path: KeyPath, pressure: Pressure, instrument: Instrument) -> Pressure:
    """A cutoff from another unit, as an instrument stores it: high rounded down, low rounded up."""
    unit = instrument.pressure_unit
    return Pressure.of(round_safely(pressure.to(unit), instrument.step, str(path[-1])), unit)


def as_stored(path: KeyPath, pressure: Pressure) -> Recommendation:
    """The recommendation to type a number that came from another unit and holds here."""
    enter = plain(pressure.to(pressure.unit))
    return Recommendation(path, enter, pressure.unit, "rounding", Confidence.CERTAIN)


def without_slips(examined: Examined, path: KeyPath) -> Examined:
    """What was examined, without findings that a number was meant in another unit or mistyped.

    For a number that nobody typed as it is: it was converted from what was typed.
    """
    return examined._replace(
        findings=tuple(
            finding
            for finding in examined.findings
            if finding.check not in _OF_DIGITS
            or all(m is None or m.path != path for m in (finding.suggestion, *finding.also))
        )
    )

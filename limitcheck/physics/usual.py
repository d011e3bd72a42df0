"""What parts usually resist that nobody measured: injectors, cells, filters, fittings, clean frits.

None of it is published as a number that holds for every make. A device is taken for a length of the
tubing beside it, as its own passages are about as wide; the interval is wide. Who knows better
gives `resistance_at`, once for all profiles in a shared description of the part. SI floats.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from itertools import pairwise
from math import exp, expm1, hypot, log, log1p, pi

from ..profile.model import AnyPart, Tube
from .tube import OpenTube

USUAL_LENGTH: Mapping[str, tuple[float, float]] = {
    "injector": (0.3, 3.0),
    "detector cell": (0.3, 3.0),
    "mixer": (0.1, 3.0),
    "filter": (0.2, 8.0),
    "fitting": (0.02, 3.0),
}
"""Metres of the tubing beside it that a device resists like, and the factor either way (two
standard deviations).

An injector has its needle seat, valve passages and the capillaries between them; a cell its inlet
capillary or heat exchanger. Common practice, no source. With tubing of 0.12 mm, 1 mL/min of water
and all of the factor it comes to 52 bar for injector and cell; Dolan, LCGC N. Am. 29(9) (2011) 818,
has 69 bar and more for narrow tubing and in-line filters. A restrictor may have any resistance.
"""
FRIT_PERMEABILITY = 1e-13  # m^2 of sintered steel graded 1 um, as its data sheets (from memory)
FRIT_POWER = 1.5  # of the grade (from memory)
FRIT_THICKNESS = 1.5e-3  # m; common practice, no source
FRIT_FACTOR = 5.0  # either way, two standard deviations; assumed, no source
# Particle size and grade of the frits that usually hold it [m]: LCGC troubleshooting column.
_USUAL_FRITS = ((1.9e-6, 0.2e-6), (3e-6, 0.5e-6), (5e-6, 2e-6))


def as_tube(index: int, kind: str, bores: Mapping[int, float]) -> OpenTube | None:
    """The tube that a device resists like: a usual length [m] of the nearest bore [m].

    ``bores`` are those of the tubing [m] by their places in the flow path. None for a kind without
    a usual length, and where no tubing has a bore. Of two tubes equally near, the one before.
    """
    usual = USUAL_LENGTH.get(kind)
    if usual is None or not bores:
        return None
    nearest = min([(abs(place - index), place) for place in bores])[1]
    return OpenTube(bores[nearest], usual[0])


def bores(parts: Sequence[AnyPart]) -> dict[int, float]:
    """The bores of the tubing [m], by their places in the flow path."""
    return {
        place: float(part.bore)
        for place, part in enumerate(parts)
        if isinstance(part, Tube) and part.bore is not None
    }


def frit_resistance(pore: float, bore: float) -> float:
    """Resistance of a clean frit, dP / (eta F) [1/m^3], by Darcy's law.

    R = h / (k A), k = 1e-13 m^2 (pore / 1 um)^1.5, A = pi d^2 / 4, with the thickness h 1.5 mm,
    pore [m] as the frit is graded, and its bore d [m]

    Range: grades of 0.2 to 10 um, clean. Stated error: a factor of 5 either way.

    0.2 um, 2.1 mm, 0.5 mL/min of water at 25 degC: about 4 bar.

    >>> round(1e-5 * frit_resistance(0.2e-6, 2.1e-3) * 0.89e-3 * 0.5e-6 / 60, 1)
    3.6

    Source: data sheets of sintered steel (from memory).
    """
    permeability = FRIT_PERMEABILITY * exp(FRIT_POWER * log(pore / 1e-6))
    return FRIT_THICKNESS * 4.0 / (permeability * pi * bore * bore)


def usual_frit(particle_size: float) -> float:
    """Grade [m] of the frits that usually hold particles of a size, particle_size [m].

    0.2 um for 1.9 um and finer, 0.5 um for 3 um, 2 um from 5 um on; straight lines in the
    logarithms between them

    >>> usual_frit(1.7e-6), usual_frit(5e-6), round(usual_frit(3.5e-6), 8)
    (2e-07, 2e-06, 7.6e-07)

    Source: LCGC troubleshooting column.
    """
    if particle_size <= _USUAL_FRITS[0][0]:
        return _USUAL_FRITS[0][1]
    for (fine, low), (coarse, high) in pairwise(_USUAL_FRITS):
        if particle_size < coarse:
            share = log(particle_size / fine) / log(coarse / fine)
            return low * exp(share * log(high / low))
    return _USUAL_FRITS[-1][1]


def with_frits(
    bed: float, errors: tuple[float, float], frits: float
) -> tuple[float, tuple[float, float]]:
    """Resistance of a bed and its frits together [1/m^3], and half-widths in ln below and above.

    ``errors`` are those of the bed; frits are known to a factor of 5.
    """
    total = bed + frits
    below = hypot(bed * expm1(-errors[0]), frits * (1.0 - 1.0 / FRIT_FACTOR)) / total
    above = hypot(bed * expm1(errors[1]), frits * (FRIT_FACTOR - 1.0)) / total
    return total, (-log1p(-below), log1p(above))


def usual_error(part: str) -> float:
    """Half-width in ln(R) of a device's usual resistance [-].

    >>> round(usual_error("injector"), 2)
    1.1
    """
    return log(USUAL_LENGTH[part][1])


@lru_cache(maxsize=256)
def usual_told(devices: tuple[tuple[str, OpenTube | None], ...]) -> str:
    """What was assumed for devices, each with the tube [m] it was taken for; empty for none.

    >>> usual_told((("injector", OpenTube(0.17e-3, 0.3)),))
    'no resistance given: injector as 0.3 m of 0.17 mm tubing, from a third to three times that'
    """
    texts = [
        f"{name} as {tube.length:.3g} m of {tube.bore * 1e3:.3g} mm tubing"
        for name, tube in devices
        if tube is not None
    ]
    if not texts:
        return ""
    filters = "; a filter from an eighth to eight times"
    told = f"no resistance given: {', '.join(texts)}, from a third to three times that"
    return told + (filters if any(name.startswith("filter") for name, _ in devices) else "")

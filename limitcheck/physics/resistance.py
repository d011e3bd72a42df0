"""Resistance of a column's packing to flow, by its kind. SI floats in and out."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from math import hypot, log, pi
from typing import NamedTuple

from .uncertainty import of_bound


class Packing(NamedTuple):
    """A bed of particles: what Kozeny-Carman needs, each with its range.

    ``porosity`` between the particles [-] with its half-width, the packing constant [-], and the
    sphericity [-] (surface of the sphere of the same volume over the particle's own);
    ``size_error`` [-] is that of the effective against the nominal particle size.
    """

    porosity: float
    porosity_error: float
    constant: tuple[float, float, float]
    sphericity: tuple[float, float, float]
    size_error: float


PACKING_CONSTANT = 180.0
_CONSTANT = (150.0, PACKING_CONSTANT, 267.0)
_SPHERES = (1.0, 1.0, 1.0)
FULLY_POROUS = Packing(0.40, 0.02, _CONSTANT, _SPHERES, 0.05)
"""Porosity and size error: common practice, no source."""
PACKINGS: Mapping[str, Packing] = {
    "fully porous": FULLY_POROUS,
    # Sizes spread less (5 % against 10 to 20 %), beds differ more: 0.37 to 0.43 between the
    # particles. Gritti and Guiochon in J. Chromatogr. A, from 2010 on (from memory).
    "superficially porous": Packing(0.40, 0.03, _CONSTANT, _SPHERES, 0.03),
    # Crushed solids: 0.65 (jagged) to 0.83 (worn), McCabe, Smith and Harriott, Unit Operations of
    # Chemical Engineering, table of sphericities (from memory).
    # Their porosity and size error: common practice, no source.
    "irregular": Packing(0.42, 0.03, _CONSTANT, (0.65, 0.74, 0.83), 0.10),
}
"""Beds by the kind of particle."""
MONOLITH = (1.3e-14, 5.4e-14, 2.2e-13)
"""Permeability of silica monoliths [m^2] by the velocity in the empty tube: that of beds of 4 to
15 um particles. Leinweber and Tallarek, J. Chromatogr. A 1006 (2003) 207; Cabooter et al.,
J. Chromatogr. A 1325 (2014) 72 (both from memory)."""
PERMEABILITY_ERROR = 0.10  # of a stated permeability, ln; common practice, no source
TOTAL_POROSITY: Mapping[str, float] = {
    "fully porous": 0.65,
    "superficially porous": 0.52,
    "irregular": 0.70,
    "monolith": 0.85,
}
"""Of the empty column's volume (from memory: 0.60 to 0.70, 0.50 to 0.55, 0.65 to 0.75, 0.80 to
0.90)."""


def bed_resistance(
    length: float, bore: float, particle_size: float, porosity: float = FULLY_POROUS.porosity
) -> float:
    """Resistance of a bed of spheres, dP / (eta F) [1/m^3], by Kozeny-Carman.

    R = 180 L (1 - e)^2 / (e^3 dp^2 A), A = pi dc^2 / 4, with length L [m], bore dc [m],
    particle_size dp [m] and interstitial porosity e [-]

    Range: laminar flow through a bed of spheres, fully or superficially porous: what counts is
    the space between the particles. A monolith is no bed of spheres. ``bed_error`` gives the
    stated error. Raises ValueError for a size that is not positive, or a porosity outside 0 to 1.

    Water at 25 degC, 1 mL/min, 150 x 4.6 mm, 5 um: 54.2 bar.

    >>> round(1e-5 * bed_resistance(0.150, 4.6e-3, 5e-6) * 0.890023e-3 * 1e-6 / 60, 1)
    54.2

    Source: Carman, Trans. Inst. Chem. Eng. 15 (1937) 150 (from memory). Not for monoliths:
    Anal. Chem. 75 (2003) 843.
    """
    if not (length > 0.0 and bore > 0.0 and particle_size > 0.0):
        raise ValueError("length, bore and particle size must be above zero")
    if not 0.0 < porosity < 1.0:
        raise ValueError(f"porosity must be between 0 and 1, got {porosity}")
    packing = PACKING_CONSTANT * (1.0 - porosity) ** 2 / (porosity**3 * particle_size**2)
    return packing * length * 4.0 / (pi * bore * bore)


def packed_resistance(length: float, bore: float, particle_size: float, particle: str) -> float:
    """Resistance of a bed of one kind of particle, dP / (eta F) [1/m^3].

    As ``bed_resistance``, with the kind's porosity, and the sphericity times particle_size [m] for
    its size (Ergun's shape factor); length [m], bore [m], particle a key of ``PACKINGS``

    Range: as ``bed_resistance``. ``bed_error`` gives the stated error.

    Irregular particles make about 1.5 times the pressure of spheres of the same nominal size.

    >>> spheres = packed_resistance(0.150, 4.6e-3, 5e-6, "fully porous")
    >>> round(packed_resistance(0.150, 4.6e-3, 5e-6, "irregular") / spheres, 2)
    1.47

    Source: as ``bed_resistance``; Ergun, Chem. Eng. Prog. 48 (1952) 89 (from memory).
    """
    packing = PACKINGS[particle]
    return bed_resistance(length, bore, packing.sphericity[1] * particle_size, packing.porosity)


def permeable_resistance(length: float, bore: float, permeability: float) -> float:
    """Resistance of a column of a known permeability, dP / (eta F) [1/m^3], by Darcy's law.

    R = L / (K A), A = pi dc^2 / 4, with length L [m], bore dc [m] and permeability K [m^2] by the
    velocity in the empty tube

    Range: laminar flow. By the velocity of an unretained peak a permeability is larger, by one
    over the total porosity. Raises ValueError for a size that is not positive.

    A monolith of 100 x 4.6 mm and 0.08 um2, 1 mL/min of water at 25 degC: 11.2 bar.

    >>> round(1e-5 * permeable_resistance(0.1, 4.6e-3, 8e-14) * 0.890023e-3 * 1e-6 / 60, 1)
    11.2

    Source: Darcy, Les fontaines publiques de la ville de Dijon (1856), note D (from memory).
    """
    if not (length > 0.0 and bore > 0.0 and permeability > 0.0):
        raise ValueError("length, bore and permeability must be above zero")
    return length * 4.0 / (permeability * pi * bore * bore)


@cache
def bed_error(particle: str = "fully porous") -> tuple[float, float]:
    """Stated error of ``packed_resistance``: half-widths in ln(R) below and above it [-].

    ln-deviations of porosity, constant 150 to 267, particle size and sphericity (twice in dp^2),
    each side in quadrature; particle a key of ``PACKINGS``

    Range: at the kind's own porosity; a difference of 0.01 is about 10 % in pressure. The constant
    is disputed: 150 (Blake-Kozeny, Ergun), 180 (Carman), 267 (Quinn).

    >>> from math import exp
    >>> below, above = bed_error()
    >>> round(exp(-below), 2), round(exp(above), 2)
    (0.71, 1.71)

    Source: Quinn, J. Materials 2014, 636507, doi 10.1155/2014/636507, on the constant.
    """
    return _BED_ERRORS[particle]


@cache
def permeability_error(particle: str) -> tuple[float, float]:
    """Error of ``permeable_resistance`` for a stated permeability: half-widths in ln(R) [-].

    10 % either way; above too, what it would be if the permeability were stated by the velocity of
    an unretained peak: one over the total porosity of the kind of particle.
    """
    return PERMEABILITY_ERROR, hypot(PERMEABILITY_ERROR, -log(TOTAL_POROSITY[particle]))


@cache
def monolith_error() -> tuple[float, float]:
    """Error of ``permeable_resistance`` with the central one of ``MONOLITH``: in ln(R) [-]."""
    low, usual, high = MONOLITH
    return of_bound(log(high / usual)), of_bound(log(usual / low))


@cache
def constant_shared(one: str, other: str) -> tuple[float, float]:
    """How far the errors of beds of two kinds go together, below and above [-].

    The variance of the packing constant, which is one dispute for both, over the product of their
    half-widths; 0 where one of them is no bed of particles.

    >>> [round(share, 2) for share in constant_shared("fully porous", "superficially porous")]
    [0.3, 0.65]

    Source: as ``bed_error``.
    """
    first, second = PACKINGS.get(one), PACKINGS.get(other)
    if first is None or second is None or first.constant != second.constant:
        return 0.0, 0.0
    least, usual, most = first.constant
    ends = of_bound(log(usual / least)), of_bound(log(most / usual))
    widths = zip(bed_error(one), bed_error(other), strict=True)
    below, above = (c * c / (a * b) for c, (a, b) in zip(ends, widths, strict=True))
    return below, above


def bed_apart_error(particle: str = "fully porous") -> float:
    """Error of one bed against another of the same packing constant: half-width in ln(R) [-].

    ln-deviations of porosity and particle size (twice in dp^2), in quadrature; of porosity, the
    larger side; particle a key of ``PACKINGS``. A monolith against another: half of
    ``monolith_error`` (common practice, no source)

    >>> round(bed_apart_error(), 2)
    0.28

    Source: as ``bed_error``, without the constant.
    """
    packing = PACKINGS.get(particle)
    if packing is None:
        return 0.5 * max(monolith_error())
    return of_bound(hypot(*_between(packing)[1]))


@cache
def told(particle: str) -> str:
    """What is assumed of a bed, for people; porosity and constant [-]."""
    bed = PACKINGS[particle]
    least, usual, most = bed.constant
    shape = ""
    if bed.sphericity != _SPHERES:
        low, central, high = bed.sphericity
        shape = f", sphericity {central:.2f} ({low:.2f} to {high:.2f})"
    return (
        f"porosity {bed.porosity:.2f} +/- {bed.porosity_error:.2f}, "
        f"packing constant {usual:.0f} ({least:.0f} to {most:.0f}){shape} assumed"
    )


def _porosity_term(porosity: float) -> float:
    return log((1.0 - porosity) ** 2 / porosity**3)


def _between(bed: Packing) -> tuple[tuple[float, float], tuple[float, float]]:
    """Half-widths in ln(R), below and above, of porosity and size."""
    here = _porosity_term(bed.porosity)
    size = 2.0 * bed.size_error
    return (
        (here - _porosity_term(bed.porosity + bed.porosity_error), size),
        (_porosity_term(bed.porosity - bed.porosity_error) - here, size),
    )


def _error(bed: Packing) -> tuple[float, float]:
    (least, usual, most), (jagged, shape, round_) = bed.constant, bed.sphericity
    below, above = _between(bed)
    return (
        of_bound(hypot(*below, log(usual / least), 2.0 * log(round_ / shape))),
        of_bound(hypot(*above, log(most / usual), 2.0 * log(shape / jagged))),
    )


_BED_ERRORS = {particle: _error(bed) for particle, bed in PACKINGS.items()}

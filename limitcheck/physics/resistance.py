"""Resistance of a packed bed to flow. SI floats in and out."""

from __future__ import annotations

from math import hypot, log, pi

POROSITY = 0.40
POROSITY_ERROR = 0.02
PACKING_CONSTANT = 180.0
PACKING_CONSTANT_LOW = 150.0
PACKING_CONSTANT_HIGH = 267.0
PARTICLE_ERROR = 0.05  # nominal against effective size; common practice, no source


def bed_resistance(
    length: float, bore: float, particle_size: float, porosity: float = POROSITY
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


def bed_error() -> tuple[float, float]:
    """Stated error of ``bed_resistance``: half-widths in ln(R) below and above it [-].

    ln-deviations of porosity 0.40 +/- 0.02, constant 150 to 267 and particle size +/- 5 %
    (twice in dp^2), each side in quadrature

    Range: at the default porosity; a difference of 0.01 is about 10 % in pressure. The constant
    is disputed: 150 (Blake-Kozeny, Ergun), 180 (Carman), 267 (Quinn).

    >>> from math import exp
    >>> below, above = bed_error()
    >>> round(exp(-below), 2), round(exp(above), 2)
    (0.74, 1.59)

    Source: Quinn, J. Materials 2014, 636507, doi 10.1155/2014/636507, on the constant.
    """
    return _BED_ERROR


def bed_apart_error() -> float:
    """Error of one bed against another of the same packing constant: half-width in ln(R) [-].

    ln-deviations of porosity 0.40 +/- 0.02 and particle size +/- 5 % (twice in dp^2), in
    quadrature; of porosity, the larger side

    >>> round(bed_apart_error(), 2)
    0.24

    Source: as ``bed_error``, without the constant.
    """
    return _APART_ERROR


def _porosity_term(porosity: float) -> float:
    return log((1.0 - porosity) ** 2 / porosity**3)


_BED_ERROR = (
    hypot(
        _porosity_term(POROSITY) - _porosity_term(POROSITY + POROSITY_ERROR),
        log(PACKING_CONSTANT / PACKING_CONSTANT_LOW),
        2.0 * PARTICLE_ERROR,
    ),
    hypot(
        _porosity_term(POROSITY - POROSITY_ERROR) - _porosity_term(POROSITY),
        log(PACKING_CONSTANT_HIGH / PACKING_CONSTANT),
        2.0 * PARTICLE_ERROR,
    ),
)

_APART_ERROR = hypot(
    _porosity_term(POROSITY - POROSITY_ERROR) - _porosity_term(POROSITY), 2.0 * PARTICLE_ERROR
)

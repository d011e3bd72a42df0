"""Viscosity of a mobile phase: water, an organic solvent, or both mixed. SI floats in and out.

A mobile phase is an ``organic`` solvent (or "water") and its volume ``fraction`` [-] before
mixing with water, from 0 to 1.
"""

from __future__ import annotations

from functools import lru_cache
from math import exp, hypot, log
from typing import NamedTuple

from .constants import (
    ERROR_IN_RANGE,
    ERROR_PER_KELVIN,
    MIXTURES,
    NEAR_25,
    PRESSURE_BOUND,
    SOLVENTS,
    T_MAX,
    T_MIN,
    PressureCoefficients,
)

ROOM = 298.15  # K, 25 degC
MIXED_RISE = 0.5  # share of the rise of a mixture; assumed, no source
PRESSURE_MAX = 100e6  # Pa, the end of the data on the effect of pressure


class StatedError(NamedTuple):
    """Half-width in ln(eta) [-], and whether the range of the data was left."""

    half_width: float
    extrapolated: bool


class PressureRise(NamedTuple):
    """Exponent of a rise with pressure: ln(eta(p) / eta(0)) = linear p + square p^2.

    ``linear`` [1/Pa], ``square`` [1/Pa^2], both for the best estimate; ``uncertainty`` [-]
    is the half-width as a share of the exponent.
    """

    linear: float
    square: float
    uncertainty: float

    def exponent(self, pressure: float) -> float:
        """ln(eta(p) / eta(0)) [-] at a gauge ``pressure`` [Pa]; from 100 MPa on it stays.

        >>> round(PressureRise(6e-9, -2e-17, 0.0).exponent(40e6), 3)
        0.208
        """
        pressure = min(pressure, PRESSURE_MAX)
        return pressure * (self.linear + pressure * self.square)


def water_viscosity(temperature: float) -> float:
    """Viscosity [Pa s] of liquid water at 0.1 MPa and a temperature T [K].

    eta = 1e-6 (280.68 x^-1.9 + 511.45 x^-7.7 + 61.131 x^-19.6 + 0.45903 x^-40), x = T / 300 K

    Range: 253.15-383.15 K. Within 0.003 % of IAPWS R12-08 over 10-80 degC.

    >>> round(1e3 * water_viscosity(298.15), 4)
    0.89

    Source: IAPWS SR6-08(2011), Revised Supplementary Release on Properties of Liquid Water at
    0.1 MPa, equation for the viscosity.
    """
    x = temperature / 300.0
    eta: float = 280.68 * x**-1.9 + 511.45 * x**-7.7 + 61.131 * x**-19.6 + 0.45903 * x**-40
    return 1e-6 * eta


@lru_cache(maxsize=1024)
def solvent_viscosity(solvent: str, temperature: float) -> float:
    """Viscosity [Pa s] of a pure liquid of ``SOLVENTS`` at low pressure and temperature T [K].

    ln eta = c1 + c2 / T + c3 ln T; water by ``water_viscosity``.

    Range: of each solvent, with its error, in ``constants``; ``solvent_error`` reads it. Raises
    KeyError for an unknown solvent, ValueError for a temperature that is not positive.

    >>> round(1e3 * solvent_viscosity("acetonitrile", 298.15), 3)
    0.342

    Source: Perry's Chemical Engineers' Handbook, 8th ed., table 2-313 (acetonitrile, 2-propanol,
    tetrahydrofuran). CoolProp 8.0.0, doi 10.1021/ie4033999 (methanol, ethanol).
    """
    if not temperature > 0.0:
        raise ValueError(f"temperature must be above 0 K, got {temperature} K")
    constants = SOLVENTS[solvent].constants
    if constants is None:
        return water_viscosity(temperature)
    c1, c2, c3 = constants
    return exp(c1 + c2 / temperature + c3 * log(temperature))


def solvent_error(solvent: str, temperature: float) -> StatedError:
    """Stated error [-] of ``solvent_viscosity`` at a temperature [K].

    Range: inside it the error is the spread between compilations; outside, it grows by 0.4 % a
    kelvin (assumed, no source).

    >>> solvent_error("water", 298.15)
    StatedError(half_width=0.01, extrapolated=False)
    >>> solvent_error("methanol", 363.15).extrapolated
    True

    Source: Perry's Chemical Engineers' Handbook, 8th ed.; VDI Heat Atlas, 2nd ed.; Dutt and
    Prasad, as held in chemicals 1.5.2: see tests/reference/solvent_viscosity.csv.
    """
    data = SOLVENTS[solvent]
    beyond = max(data.t_min - temperature, temperature - data.t_max, 0.0)
    return StatedError(data.error + ERROR_PER_KELVIN * beyond, beyond > 0.0)


def has_data(organic: str, fraction: float) -> bool:
    """Whether ``viscosity`` covers this fraction [-]: pure, or with a fitted mixture model.

    >>> has_data("tetrahydrofuran", 1.0), has_data("tetrahydrofuran", 0.5)
    (True, False)
    """
    return organic == "water" or fraction in (0.0, 1.0) or organic in MIXTURES


def viscosity(organic: str, fraction: float, temperature: float) -> float:
    """Viscosity [Pa s] of an organic solvent mixed with water, at low pressure.

    ln eta = phi ln eta_organic(T) + (1 - phi) ln eta_water(T)
    + phi (1 - phi) [A0 + A1 z + A2 z^2 + A3 z^3 + 1000 B (1/T - 1/298.15)], z = 1 - 2 phi,
    at a fraction phi [-] and a temperature T [K]

    Range: exactly the pure solvent at either end, at every temperature. Fitted at 25 degC
    (methanol 20-30 degC), used over 20-50 degC, extrapolated outside: ``viscosity_error``.
    What is dissolved is counted by ``liquid.Liquid``. Raises KeyError where there is no data
    (``has_data`` says so), ValueError for a fraction outside 0 to 1 or a temperature that is not
    positive.

    The highest viscosity of acetonitrile in water (measured: 0.985 mPa s at phi 0.136):

    >>> round(1e3 * viscosity("acetonitrile", 0.1358, 298.15), 3)
    0.988

    Source: Grande et al., J. Chem. Thermodyn. 38 (2006) 760, doi 10.1016/j.jct.2005.08.009;
    Gonzalez et al., J. Chem. Thermodyn. 39 (2007) 1578, doi 10.1016/j.jct.2007.05.004;
    doi 10.1021/je700700f (2-propanol).
    """
    if not 0.0 <= fraction <= 1.0:
        raise ValueError(f"volume fraction must be from 0 to 1, got {fraction}")
    if fraction == 0.0 or organic == "water":
        return solvent_viscosity("water", temperature)
    pure = solvent_viscosity(organic, temperature)
    if fraction == 1.0:
        return pure
    mixture = MIXTURES[organic]
    a0, a1, a2, a3 = mixture.a
    z = 1.0 - 2.0 * fraction
    excess = a0 + z * (a1 + z * (a2 + z * a3)) + 1000.0 * mixture.b * (1 / temperature - 1 / ROOM)
    water = solvent_viscosity("water", temperature)
    return water * exp(fraction * (log(pure / water) + (1.0 - fraction) * excess))


@lru_cache(maxsize=1024)
def viscosity_error(organic: str, fraction: float, temperature: float) -> StatedError:
    """Stated error [-] of ``viscosity`` at a fraction phi [-] and a temperature T [K].

    Range: mixtures have 3 % (ethanol 5 %) within 2.5 K of 25 degC, 7 % over 20-50 degC, growing
    by 0.4 % a kelvin outside (assumed, no source); it falls to the error of the pure liquid
    below phi 0.1 and above 0.9. An uncertain B adds phi (1 - phi) 1000 dB |1/T - 1/298.15|, in
    quadrature.

    >>> round(viscosity_error("acetonitrile", 0.5, 298.15).half_width, 3)
    0.036
    >>> viscosity_error("acetonitrile", 0.5, 333.15).extrapolated
    True

    Source: deviations from the reference rows, ``python tests/reference/print_deviations.py``.
    """
    water = solvent_error("water", temperature)
    if fraction == 0.0 or organic == "water":
        return water
    pure = solvent_error(organic, temperature)
    if fraction == 1.0:
        return pure
    beyond = max(T_MIN - temperature, temperature - T_MAX, 0.0)
    mixture = MIXTURES[organic]
    stated = mixture.error if abs(temperature - ROOM) <= NEAR_25 else ERROR_IN_RANGE
    product = fraction * (1.0 - fraction)
    slope = 1000.0 * mixture.b_error * abs(1 / temperature - 1 / ROOM)
    half_width = hypot(
        (stated + ERROR_PER_KELVIN * beyond) * min(1.0, product / 0.09),
        product * slope,
        fraction * pure.half_width + (1.0 - fraction) * water.half_width,
    )
    return StatedError(half_width, beyond > 0.0 or pure.extrapolated or water.extrapolated)


@lru_cache(maxsize=1024)
def pressure_rise(organic: str, fraction: float, temperature: float) -> PressureRise:
    """How viscosity rises with pressure [1/Pa, 1/Pa^2], at a fraction phi [-], temperature T [K].

    ln(eta(p)/eta(0)) = phi r_organic(p, T) + (1 - phi) r_water(p, T),
    r = p (a + a_t (T - 298.15)) + b p^2

    Range: figures were found for water, methanol and ethanol (25-60 degC, to 100 MPa); acetonitrile
    and tetrahydrofuran are estimated, within 35 %. For 2-propanol the rise lies between none and
    that of n-hexane: the middle is taken and the whole span is the uncertainty. The rise of a
    mixture is not measured; interpolation is given a half-width of half the effect (assumed, no
    source).

    Methanol at 400 bar (CoolProp: +22.8 %):

    >>> rise = pressure_rise("methanol", 1.0, 298.15)
    >>> round(exp(rise.exponent(40e6)), 2)
    1.23

    Source: CoolProp 8.0.0, doi 10.1021/ie4033999: tests/reference/pressure_viscosity.csv; Lucas,
    Chem. Ing. Tech. 53 (1981) 959, by chemicals 1.5.2, for the two estimated.
    """
    water = SOLVENTS["water"].pressure
    known = SOLVENTS[organic].pressure
    assert water is not None  # the table gives it
    linear, square = _coefficients(water, temperature)
    if organic == "water":
        return PressureRise(linear, square, 0.1)
    organic_linear, organic_square = _coefficients(known or PRESSURE_BOUND, temperature)
    if known is None:
        organic_linear, organic_square = 0.5 * organic_linear, 0.5 * organic_square
    own = 1.0 if known is None else known.error
    uncertainty = own if fraction == 1.0 else hypot(own, MIXED_RISE)
    return PressureRise(
        fraction * organic_linear + (1.0 - fraction) * linear,
        fraction * organic_square + (1.0 - fraction) * square,
        uncertainty,
    )


def _coefficients(data: PressureCoefficients, temperature: float) -> tuple[float, float]:
    return 1e-6 * (data.a + data.a_t * (temperature - ROOM)), 1e-12 * data.b


@lru_cache(maxsize=256)
def peak_fraction(organic: str, temperature: float) -> float | None:
    """Fraction [-] at which a mixture with water is most viscous, at a temperature [K].

    None where no mixture is more viscous than both pure liquids. Found on a grid of 0.01 and
    refined by golden section to 1e-6. Range: as for ``viscosity``.

    >>> round(peak_fraction("methanol", 298.15), 3)
    0.455

    Source: as for ``viscosity``; highest values in the data near phi 0.14 (acetonitrile) and
    0.45-0.49 (methanol).
    """
    best = max(range(1, 100), key=lambda i: viscosity(organic, i / 100, temperature))
    low, high = (best - 1) / 100, (best + 1) / 100
    ratio = 0.6180339887498949
    while high - low > 1e-6:
        step = ratio * (high - low)
        left, right = high - step, low + step
        if viscosity(organic, left, temperature) < viscosity(organic, right, temperature):
            low = left
        else:
            high = right
    peak = 0.5 * (low + high)
    ends = max(solvent_viscosity("water", temperature), solvent_viscosity(organic, temperature))
    return peak if viscosity(organic, peak, temperature) > ends else None

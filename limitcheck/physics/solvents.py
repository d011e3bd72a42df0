"""Viscosity of one pure liquid, at low pressure and under pressure. SI floats in and out."""

from __future__ import annotations

from functools import lru_cache
from math import exp, log
from typing import NamedTuple

from .constants import ERROR_PER_KELVIN, PRESSURE_BOUND, SOLVENTS, PressureCoefficients

ROOM = 298.15  # K, 25 degC
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
        """ln(eta(p) / eta(0)) [-] at a gauge ``pressure`` [Pa], held at 100 MPa above it.

        >>> round(PressureRise(6e-9, -2e-17, 0.0).exponent(40e6), 3)
        0.208
        """
        pressure = min(pressure, PRESSURE_MAX)
        return pressure * (self.linear + pressure * self.square)


def water_viscosity(temperature: float) -> float:
    """Viscosity of liquid water at 0.1 MPa.

    eta = 1e-6 (280.68 x^-1.9 + 511.45 x^-7.7 + 61.131 x^-19.6 + 0.45903 x^-40), x = T / 300 K

    Parameters
    ----------
    temperature : float
        Temperature [K]

    Returns
    -------
    eta : float
        Dynamic viscosity [Pa s]

    Notes
    -----
    Range 253.15-383.15 K. Within 0.003 % of IAPWS R12-08 over 10-80 degC.

    Examples
    --------
    >>> round(1e3 * water_viscosity(298.15), 4)
    0.89

    References
    ----------
    IAPWS SR6-08(2011), Revised Supplementary Release on Properties of Liquid Water at
    0.1 MPa, equation for the viscosity.
    """
    x = temperature / 300.0
    eta: float = 280.68 * x**-1.9 + 511.45 * x**-7.7 + 61.131 * x**-19.6 + 0.45903 * x**-40
    return 1e-6 * eta


@lru_cache(maxsize=1024)
def solvent_viscosity(solvent: str, temperature: float) -> float:
    """Viscosity of a pure solvent as a liquid at low pressure.

    ln eta = c1 + c2 / T + c3 ln T; water by ``water_viscosity``.

    Parameters
    ----------
    solvent : str
        A name in ``SOLVENTS`` [-]
    temperature : float
        Temperature [K]

    Returns
    -------
    eta : float
        Dynamic viscosity [Pa s]

    Raises
    ------
    KeyError
        The solvent is not in the table.
    ValueError
        The temperature is not positive.

    Notes
    -----
    Range and error of each solvent stand in ``limitcheck.physics.constants``;
    ``solvent_error`` reads them.

    Examples
    --------
    >>> round(1e3 * solvent_viscosity("acetonitrile", 298.15), 3)
    0.342

    References
    ----------
    Perry's Chemical Engineers' Handbook, 8th ed., table 2-313 (acetonitrile, 2-propanol,
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
    """Stated error of ``solvent_viscosity``.

    Parameters
    ----------
    solvent : str
        A name in ``SOLVENTS`` [-]
    temperature : float
        Temperature [K]

    Returns
    -------
    error : StatedError
        Half-width in ln(eta) [-], and whether the temperature is outside the data

    Notes
    -----
    Inside the range the error is the spread between compilations; outside it grows by
    0.4 % a kelvin (assumed, no source).

    Examples
    --------
    >>> solvent_error("water", 298.15)
    StatedError(half_width=0.01, extrapolated=False)
    >>> solvent_error("methanol", 363.15).extrapolated
    True

    References
    ----------
    Perry's Chemical Engineers' Handbook, 8th ed.; VDI Heat Atlas, 2nd ed.; Dutt and Prasad,
    as held in chemicals 1.5.2: see tests/reference/solvent_viscosity.csv.
    """
    data = SOLVENTS[solvent]
    beyond = max(data.t_min - temperature, temperature - data.t_max, 0.0)
    return StatedError(data.error + ERROR_PER_KELVIN * beyond, beyond > 0.0)


@lru_cache(maxsize=1024)
def pressure_rise(organic: str, fraction: float, temperature: float) -> PressureRise:
    """How viscosity rises with pressure, for an organic solvent mixed with water.

    ln(eta(p)/eta(0)) = phi r_organic(p, T) + (1 - phi) r_water(p, T),
    r = p (a + a_t (T - 298.15)) + b p^2

    Parameters
    ----------
    organic : str
        Name of the solvent mixed with water, or "water" [-]
    fraction : float
        Volume fraction of it before mixing, phi [-]
    temperature : float
        Temperature [K]

    Returns
    -------
    rise : PressureRise
        Coefficients of the exponent [1/Pa, 1/Pa^2] and its relative half-width [-]

    Notes
    -----
    Figures were found for water, methanol and ethanol (25-60 degC, to 100 MPa). For the
    others the rise lies between none and that of n-hexane: the middle is taken and the
    whole span is the uncertainty. The rise of a mixture is not measured; interpolation is
    given a half-width of half the effect (assumed, no source).

    Examples
    --------
    Methanol at 400 bar (CoolProp: +22.8 %):

    >>> from math import exp
    >>> rise = pressure_rise("methanol", 1.0, 298.15)
    >>> round(exp(rise.exponent(40e6)), 2)
    1.23

    References
    ----------
    CoolProp 8.0.0, doi 10.1021/ie4033999: tests/reference/pressure_viscosity.csv.
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
    uncertainty = 1.0 if known is None else 0.1 if fraction == 1.0 else 0.5
    return PressureRise(
        fraction * organic_linear + (1.0 - fraction) * linear,
        fraction * organic_square + (1.0 - fraction) * square,
        uncertainty,
    )


def _coefficients(data: PressureCoefficients, temperature: float) -> tuple[float, float]:
    return 1e-6 * (data.a + data.a_t * (temperature - ROOM)), 1e-12 * data.b

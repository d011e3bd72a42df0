"""Viscosity of a mobile phase: solvents by their volume fractions [-]. SI floats in and out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from itertools import combinations
from math import exp, hypot, log
from typing import NamedTuple

from .blend import Blend
from .constants import (
    BETWEEN,
    DO_NOT_MIX,
    ERROR_IN_RANGE,
    ERROR_PER_KELVIN,
    MIXTURES,
    NEAR_25,
    PRESSURE_BOUND,
    PRESSURE_MAX,
    RISE_FROM,
    RISE_GROWTH,
    RISE_TO,
    ROOM,
    SOLVENTS,
    T_MAX,
    T_MIN,
    THREE_ERROR,
    TRACE,
    UNMEASURED,
    Mixture,
    PressureCoefficients,
)
from .uncertainty import of_bound

MIXED_RISE = 0.5  # share of the rise of a mixture; assumed, no source


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
    tetrahydrofuran). CoolProp 8.0.0, doi 10.1021/ie4033999 (methanol, ethanol, hexane, heptane).
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


class Pair(NamedTuple):
    """Two solvents of a mixture, by name, their volume fractions [-], and how they act."""

    one: str
    other: str
    first: float
    second: float
    excess: Mixture


def pairs(solvents: Blend) -> Iterator[Pair]:
    """Every two of the solvents, with their fractions [-]; water is the other of its pair.

    Raises KeyError for an unknown one and for two that do not mix.
    """
    if apart := separating(solvents):
        raise KeyError(apart)
    for two in combinations(sorted(solvents, key=lambda part: part[0] == "water"), 2):
        (one, first), (other, second) = two
        excess = MIXTURES.get(one, UNMEASURED) if other == "water" else UNMEASURED
        yield Pair(one, other, first, second, excess)


def separating(solvents: Blend) -> tuple[str, str] | None:
    """Two of the solvents, by their fractions [-], that do not mix in all proportions; else None.

    A third of ``BETWEEN``, as much of it as of the lesser of both, may hold them together.

    >>> separating((("hexane", 0.5), ("methanol", 0.5)))
    ('hexane', 'methanol')
    """
    shares = dict(solvents)
    between = sum(shares.get(name, 0.0) for name in BETWEEN)
    for one, other in combinations([name for name, share in solvents if share > TRACE], 2):
        held = "water" not in (one, other) and between >= min(shares[one], shares[other])
        if {one, other} in DO_NOT_MIX and not held:
            return one, other
    return None


def sinh_over(x: float) -> float:
    """sinh(x) / x, of any x between -2 and 2 [-]; to 1e-4 of it.

    >>> round(sinh_over(0.5), 4)
    1.0422
    """
    return 1.0 + x * x / 6.0 * (1.0 + x * x / 20.0 * (1.0 + x * x / 42.0))


@lru_cache(maxsize=4096)
def viscosity(solvents: Blend, temperature: float) -> float:
    """Viscosity [Pa s] of solvents by their volume fractions, at low pressure.

    ln eta = sum of phi_i ln eta_i(T) + sum over pairs of
    phi_i phi_j [A0 + A1 z + A2 z^2 + A3 z^3 + 1000 B (1/T - 1/298.15)], z = phi_j - phi_i, at
    fractions phi [-] (j water, where it is one of the two) and a temperature T [K]

    Range: exactly the pure solvent at either end, at every temperature. Mixtures with water
    fitted at 25 degC (methanol 20-30 degC), used over 20-50 degC, extrapolated outside:
    ``viscosity_error``. No measurement is held for tetrahydrofuran with water and for organic
    solvents with each other; three or more are the sum of their pairs (assumed). What is dissolved
    is counted by ``liquid.Liquid``. Raises KeyError for an unknown solvent and two that do not mix,
    ValueError for a temperature that is not positive.

    The highest viscosity of acetonitrile in water (measured: 0.985 mPa s at phi 0.136):

    >>> round(1e3 * viscosity((("acetonitrile", 0.1358), ("water", 0.8642)), 298.15), 3)
    0.988

    Source: Grande et al., J. Chem. Thermodyn. 38 (2006) 760, doi 10.1016/j.jct.2005.08.009;
    Gonzalez et al., J. Chem. Thermodyn. 39 (2007) 1578, doi 10.1016/j.jct.2007.05.004;
    doi 10.1021/je700700f (2-propanol). Logarithms of volume fractions with an excess of pairs: the
    form of Redlich and Kister, Ind. Eng. Chem. 40 (1948) 345.
    """
    if len(solvents) == 1:
        return solvent_viscosity(solvents[0][0], temperature)
    colder = 1 / temperature - 1 / ROOM
    found = sum(share * log(solvent_viscosity(name, temperature)) for name, share in solvents)
    for _, _, first, second, mixture in pairs(solvents):
        a0, a1, a2, a3 = mixture.a
        z = second - first
        excess = a0 + z * (a1 + z * (a2 + z * a3)) + 1000.0 * mixture.b * colder
        found += first * second * excess
    return exp(found)


@lru_cache(maxsize=4096)
def viscosity_error(solvents: Blend, temperature: float) -> StatedError:
    """Stated error [-] of ``viscosity`` at volume fractions [-] and a temperature T [K].

    Range: mixtures with water have 3 % (ethanol 5 %) at 25 degC, 7 % from 2.5 K away on over
    20-50 degC, growing by 0.4 % a kelvin outside (assumed, no source); it falls to the error of the
    pure liquid where phi_i phi_j is below 0.09. An uncertain A0 adds phi_i phi_j dA0, an uncertain
    B phi_i phi_j 1000 dB |1/T - 1/298.15|, three solvents 2.7 phi_1 phi_2 phi_3, in quadrature.

    >>> half = (("acetonitrile", 0.5), ("water", 0.5))
    >>> round(viscosity_error(half, 298.15).half_width, 3)
    0.036
    >>> viscosity_error(half, 333.15).extrapolated
    True

    Source: deviations from the reference rows, ``python tests/reference/print_deviations.py``.
    """
    pure = [solvent_error(name, temperature) for name, _ in solvents]
    if len(solvents) == 1:
        return pure[0]
    beyond = max(T_MIN - temperature, temperature - T_MAX, 0.0)
    away = min(1.0, abs(temperature - ROOM) / NEAR_25)
    colder = 1000.0 * abs(1 / temperature - 1 / ROOM)
    half_width = sum(share * own.half_width for (_, share), own in zip(solvents, pure, strict=True))
    for _, _, first, second, mixture in pairs(solvents):
        product = first * second
        stated = mixture.error + away * (ERROR_IN_RANGE - mixture.error)
        half_width = hypot(
            half_width,
            (stated + ERROR_PER_KELVIN * beyond) * min(1.0, product / 0.09),
            product * mixture.b_error * colder,
            product * mixture.a_error,
        )
    three = sum(a * b * c for (_, a), (_, b), (_, c) in combinations(solvents, 3))
    return StatedError(
        hypot(half_width, 27.0 * THREE_ERROR * three),
        beyond > 0.0 or any(own.extrapolated for own in pure),
    )


@lru_cache(maxsize=1024)
def assumed_errors(solvents: Blend) -> Mapping[tuple[str, ...], float]:
    """Half-widths in ln(eta) of what is assumed of a mixture, at every temperature the same [-].

    By the pair it is assumed of, and of three or more solvents together; part of
    ``viscosity_error``, of solvents by their volume fractions [-].

    >>> {pair: round(width, 2) for pair, width in
    ...  assumed_errors((("acetonitrile", 0.5), ("methanol", 0.5))).items()}
    {('acetonitrile', 'methanol'): 0.33}
    """
    found: dict[tuple[str, ...], float] = {}
    for one, other, first, second, mixture in pairs(solvents):
        if mixture.a_error:
            found[tuple(sorted((one, other)))] = first * second * mixture.a_error
    three = sum(a * b * c for (_, a), (_, b), (_, c) in combinations(solvents, 3))
    if three:
        found[()] = 27.0 * THREE_ERROR * three
    return found


@lru_cache(maxsize=1024)
def pressure_rise(solvents: Blend, temperature: float) -> PressureRise:
    """How viscosity rises with pressure [1/Pa, 1/Pa^2], at fractions phi [-], temperature T [K].

    ln(eta(p)/eta(0)) = sum of phi_i r_i(p, T), r = p (a + a_t (T - 298.15)) + b p^2

    Range: figures were found for water, methanol, ethanol, hexane and heptane (25-60 degC, to
    100 MPa); acetonitrile and tetrahydrofuran are estimated, within 35 %. For 2-propanol the rise
    lies between none and 15 % over that of hexane: the middle is taken and the whole span is the
    uncertainty. The rise of a mixture is not measured; interpolation is given a half-width of half
    the effect, less towards a pure liquid (assumed, no source).

    Methanol at 400 bar (CoolProp: +22.8 %):

    >>> rise = pressure_rise((("methanol", 1.0),), 298.15)
    >>> round(exp(rise.exponent(40e6)), 2)
    1.23

    Source: CoolProp 8.0.0, doi 10.1021/ie4033999: tests/reference/pressure_viscosity.csv; Lucas,
    Chem. Ing. Tech. 53 (1981) 959, by chemicals 1.5.2, for the two estimated.
    """
    beyond = max(RISE_FROM - temperature, temperature - RISE_TO, 0.0)
    linear = square = own = 0.0
    for name, share in solvents:
        known = SOLVENTS[name].pressure
        weight = share if known is not None else 0.5 * share
        first, second = _coefficients(known or PRESSURE_BOUND, temperature)
        linear, square = linear + weight * first, square + weight * second
        stated = of_bound(1.0) if known is None else known.error + RISE_GROWTH * beyond
        own = max(own, min(1.0, share / 0.1) * stated)
    product = sum(one * other for (_, one), (_, other) in combinations(solvents, 2))
    return PressureRise(linear, square, hypot(own, MIXED_RISE * min(1.0, product / 0.09)))


def _coefficients(data: PressureCoefficients, temperature: float) -> tuple[float, float]:
    return 1e-6 * (data.a + data.a_t * (temperature - ROOM)), 1e-12 * data.b

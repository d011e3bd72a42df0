"""A liquid of the mobile phase: how viscous, and how sure that and the ratio of two of them is."""

from __future__ import annotations

from collections.abc import Iterable
from math import hypot, sqrt
from typing import NamedTuple

from ..errors import LimitcheckError
from .constants import MIXTURES
from .density import density
from .heat import compression, heat_capacity, heat_drop
from .viscosity import (
    PressureRise,
    StatedError,
    has_data,
    pressure_rise,
    viscosity,
    viscosity_error,
)

# Errors of two viscosities nearer than this partly cancel (assumed, no source).
NEAR_FRACTION, NEAR_KELVIN = 0.10, 10.0


_WITH_DATA = "solvents with viscosity data, where those were meant"


class CannotPredict(LimitcheckError):
    """The profile lacks something without which no pressure can be computed."""


class Solute(NamedTuple):
    """Something dissolved: how far it may move ln(eta) of the liquid, half-width [-]."""

    name: str
    half_width: float


class Liquid(NamedTuple):
    """An organic solvent (or "water"), its volume fraction [-] before mixing with water, solutes.

    The viscosity is that of the solvents; what is dissolved widens its error.
    """

    organic: str
    fraction: float
    solutes: tuple[Solute, ...] = ()

    @property
    def dissolved(self) -> float:
        """Half-width in ln(eta) of all that is dissolved [-]."""
        return sum(solute.half_width for solute in self.solutes)

    def viscosity(self, temperature: float) -> float:
        """Viscosity [Pa s] of its solvents at low pressure and a temperature [K]."""
        return viscosity(self.organic, self.fraction, temperature)

    def rise(self, temperature: float) -> PressureRise:
        """How its viscosity rises with pressure [1/Pa, 1/Pa^2] at a temperature [K]."""
        return pressure_rise(self.organic, self.fraction, temperature)

    def density(self, temperature: float) -> float:
        """Density [kg/m3] of its solvents at low pressure and a temperature [K]."""
        return density(self.organic, self.fraction, temperature)

    def eased(self, temperature: float, drop: float, outlet: float) -> tuple[float, float]:
        """How far heat, and compression, may lower a drop [Pa] over a bed, in ln [-].

        At a temperature [K] and an outlet pressure [Pa]: ``heat_drop`` and ``compression``.
        """
        warm = heat_drop(self.organic, self.fraction, temperature, drop)
        return warm, compression(self.organic, self.fraction, outlet + 0.5 * drop)

    def heat_capacity(self, temperature: float) -> float:
        """Heat capacity [J/(m3 K)] of its solvents at low pressure and a temperature [K]."""
        return heat_capacity(self.organic, self.fraction, temperature)

    def error(self, temperature: float) -> StatedError:
        """Stated error [-] of its viscosity at a temperature [K]; what is dissolved in quadrature.

        >>> buffer = Liquid("water", 1.0, (Solute("phosphate", 0.015),))
        >>> round(buffer.error(298.15).half_width, 3)
        0.018
        """
        stated = viscosity_error(self.organic, self.fraction, temperature)
        if not self.solutes:
            return stated
        return stated._replace(half_width=hypot(stated.half_width, self.dissolved))


def mixed(first: Liquid, rest: float, second: Liquid, share: float) -> Liquid:
    """Two liquids mixed: a share [-] of the second, the rest [-] the first.

    Raises CannotPredict where there is no data on the mixture.
    """
    before = [(solute, rest) for solute in first.solutes]
    solutes = together([*before, *((solute, share) for solute in second.solutes)])
    if first.organic == second.organic == "water":
        return Liquid("water", 1.0, solutes)
    one, other = _organic_fraction(first), _organic_fraction(second)
    if first.organic == "water":
        found = Liquid(second.organic, share * other, solutes)
    elif second.organic == "water":
        found = Liquid(first.organic, rest * one, solutes)
    elif first.organic == second.organic:
        found = Liquid(first.organic, rest * one + share * other, solutes)
    elif share in (0.0, 1.0):
        return second if share else first
    else:
        raise CannotPredict(
            f"no viscosity data for {first.organic} mixed with {second.organic}; "
            "mixtures with water are covered",
            _WITH_DATA,
        )
    if not has_data(found.organic, found.fraction):
        raise CannotPredict(
            f"no viscosity data for {found.organic} mixed with water; covered are "
            + ", ".join(MIXTURES),
            _WITH_DATA,
        )
    return found


def _organic_fraction(liquid: Liquid) -> float:
    return 0.0 if liquid.organic == "water" else liquid.fraction


def together(solutes: Iterable[tuple[Solute, float]]) -> tuple[Solute, ...]:
    """Solutes, each with the share [-] of the whole it is in; the same one twice adds up."""
    widths: dict[str, float] = {}
    for (name, width), share in solutes:
        if share:
            widths[name] = widths.get(name, 0.0) + share * width
    return tuple(Solute(*item) for item in sorted(widths.items()))


def viscosity_ratio_error(
    first: Liquid, first_temperature: float, second: Liquid, second_temperature: float
) -> float:
    """Error of the ratio of two viscosities of the model, half-width in ln of the ratio [-].

    u = hypot(s sqrt(u1^2 + u2^2 - u1 u2), d), s = min(1, |phi1 - phi2| / 0.10 + |T1 - T2| / 10 K),
    d the sum over all solutes of |d1 - d2|, for liquids of fractions phi at first_temperature
    T1 [K] and second_temperature T2 [K]

    The error cancels where the conditions are the same; from 0.10 in fraction or 10 K apart
    the two errors are taken as half correlated (assumed, no source). What one solute does
    cancels as far as its concentration is the same.

    >>> same = Liquid("methanol", 0.5)
    >>> viscosity_ratio_error(same, 298.15, same, 298.15)
    0.0
    """
    dissolved = 0.0
    if first.solutes != second.solutes:
        one, other = dict(first.solutes), dict(second.solutes)
        names = dict.fromkeys((*one, *other))
        dissolved = sum(abs(one.get(name, 0.0) - other.get(name, 0.0)) for name in names)
    if first.organic != second.organic and 0.0 not in (first.fraction, second.fraction):
        apart = 1.0
    else:
        apart = min(
            1.0,
            abs(first.fraction - second.fraction) / NEAR_FRACTION
            + abs(first_temperature - second_temperature) / NEAR_KELVIN,
        )
    if apart == 0.0:
        return dissolved
    u1 = viscosity_error(first.organic, first.fraction, first_temperature).half_width
    u2 = viscosity_error(second.organic, second.fraction, second_temperature).half_width
    return hypot(apart * sqrt(u1 * u1 + u2 * u2 - u1 * u2), dissolved)

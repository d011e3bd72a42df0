"""A liquid of the mobile phase: how viscous, and how sure that and the ratio of two of them is."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import exp, hypot, sqrt
from typing import NamedTuple

from ..errors import LimitcheckError
from ..findings import KeyPath
from .blend import Blend, apart, blend
from .density import density
from .heat import compression, heat_capacity, heat_drop, warming
from .viscosity import (
    PressureRise,
    StatedError,
    assumed_errors,
    pressure_rise,
    separating,
    viscosity,
    viscosity_error,
)

# Errors of two viscosities nearer than this partly cancel (assumed, no source).
NEAR_FRACTION, NEAR_KELVIN = 0.10, 10.0


class CannotPredict(LimitcheckError):
    """The profile lacks something without which no pressure can be computed.

    ``at`` is where in the profile: a key, or the table that lacks one; None for what is in none.
    """

    def __init__(self, message: str, advice: str = "", at: KeyPath | None = None) -> None:
        super().__init__(message, advice)
        self.at = at


class Solute(NamedTuple):
    """Something dissolved: by how much it moves ln(eta) of the liquid [-], and its half-width.

    ``shift`` is that in water, ``in_water`` its half-width there [-]; ``half_width`` is for any
    liquid.
    """

    name: str
    half_width: float
    shift: float
    in_water: float


class Liquid(NamedTuple):
    """Solvents by their volume fractions [-] before mixing, and what is dissolved in them."""

    solvents: Blend
    solutes: tuple[Solute, ...] = ()
    measured: float = 0.0
    """By how much measured pairs move its ln(eta) [-]."""

    def __repr__(self) -> str:
        """As it is written; what pairs say only where they say something."""
        more = f", measured={self.measured!r}" if self.measured else ""
        return f"Liquid(solvents={self.solvents!r}, solutes={self.solutes!r}{more})"

    @property
    def shift(self) -> float:
        """By how much all that is dissolved moves ln(eta) [-]."""
        return sum(solute.shift for solute in self.solutes)

    @property
    def dissolved(self) -> float:
        """Half-width in ln(eta) of all that is dissolved [-]."""
        return sum(self.widths().values())

    def widths(self) -> dict[str, float]:
        """Half-width in ln(eta) of each solute [-], between that in water and in any liquid."""
        water = dict(self.solvents).get("water", 0.0)
        return {
            name: water * in_water + (1.0 - water) * width
            for name, width, _, in_water in self.solutes
        }

    def viscosity(self, temperature: float) -> float:
        """Viscosity [Pa s] at low pressure and a temperature [K]."""
        found = viscosity(self.solvents, temperature)
        if not self.solutes and not self.measured:
            return found
        return found * exp(self.shift + self.measured)

    def thinning(self, temperature: float) -> float:
        """-d ln(eta) / dT [1/K] at a temperature [K]."""
        return warming(self.solvents, temperature)[1]

    def rise(self, temperature: float) -> PressureRise:
        """How its viscosity rises with pressure [1/Pa, 1/Pa^2] at a temperature [K]."""
        return pressure_rise(self.solvents, temperature)

    def density(self, temperature: float) -> float:
        """Density [kg/m3] of its solvents at low pressure and a temperature [K]."""
        return density(self.solvents, temperature)

    def eased(self, temperature: float, drop: float, outlet: float) -> tuple[float, float]:
        """How far heat, and compression, may lower a drop [Pa] over a bed, in ln [-].

        At a temperature [K] and an outlet pressure [Pa]: ``heat_drop`` and ``compression``.
        """
        warm = heat_drop(self.solvents, temperature, drop)
        return warm, compression(self.solvents, temperature, outlet + 0.5 * drop)

    def heat_capacity(self, temperature: float) -> float:
        """Heat capacity [J/(m3 K)] of its solvents at low pressure and a temperature [K]."""
        return heat_capacity(self.solvents, temperature)

    def error(self, temperature: float) -> StatedError:
        """Stated error [-] of its viscosity at a temperature [K]; what is dissolved in quadrature.

        >>> buffer = Liquid((("water", 1.0),), (Solute("phosphate", 0.015, 0.0, 0.015),))
        >>> round(buffer.error(298.15).half_width, 3)
        0.018
        """
        stated = viscosity_error(self.solvents, temperature)
        if not self.solutes:
            return stated
        return stated._replace(half_width=hypot(stated.half_width, self.dissolved))


def mixed(parts: Sequence[tuple[Liquid, float]]) -> Liquid:
    """Liquids mixed, each with its share [-]; the shares add up to 1.

    Raises CannotPredict where two of their solvents do not mix in every proportion.
    """
    used = [(liquid, share) for liquid, share in parts if share]
    found = blend((name, share * own) for liquid, share in used for name, own in liquid.solvents)
    if two := separating(found):
        raise CannotPredict(
            f"{two[0]} and {two[1]} do not mix in every proportion: two layers have no one "
            "viscosity",
            "solvents that mix, where those were meant",
        )
    return Liquid(found, together((s, share) for liquid, share in used for s in liquid.solutes))


def together(solutes: Iterable[tuple[Solute, float]]) -> tuple[Solute, ...]:
    """Solutes, each with the share [-] of the whole it is in; the same one twice adds up."""
    found: dict[str, Solute] = {}
    for solute, share in solutes:
        if share:
            before = found.get(solute.name, Solute(solute.name, 0.0, 0.0, 0.0))
            sums = (old + share * new for old, new in zip(before[1:], solute[1:], strict=True))
            found[solute.name] = Solute(solute.name, *sums)
    return tuple(sorted(found.values()))


def before_or_after(solute: Solute, least: float) -> Solute:
    """A solute of which a liquid holds all, or a share `least` [-]: between the two.

    >>> before_or_after(Solute("a salt", 0.5, 0.25, 0.25), 0.5)
    Solute(name='a salt', half_width=0.5625, shift=0.1875, in_water=0.3125)
    """
    either = 0.5 * (1.0 - least) * abs(solute.shift)
    return solute._replace(
        half_width=solute.half_width + either,
        shift=0.5 * (1.0 + least) * solute.shift,
        in_water=solute.in_water + either,
    )


def viscosity_ratio_error(
    first: Liquid, first_temperature: float, second: Liquid, second_temperature: float
) -> float:
    """Error of the ratio of two viscosities of the model, half-width in ln of the ratio [-].

    u = hypot(s sqrt(u1^2 + u2^2 - u1 u2), a, d), s = min(1, p / 0.10 + |T1 - T2| / 10 K), p the
    share of the volume that is another solvent, a the ``assumed_errors`` of both, pair by pair
    |a1 - a2|, in quadrature, d the sum over all solutes of |d1 - d2|, for liquids at
    first_temperature T1 [K] and second_temperature T2 [K]; u1, u2 without a1, a2

    The error cancels where the conditions are the same; from 0.10 in volume or 10 K apart
    the two errors are taken as half correlated (assumed, no source). What is assumed of a pair of
    solvents, and what one solute does, cancels as far as there is as much of it.

    >>> same = Liquid((("methanol", 0.5), ("water", 0.5)))
    >>> viscosity_ratio_error(same, 298.15, same, 298.15)
    0.0
    """
    dissolved = 0.0
    if first.solutes != second.solutes or first.solvents != second.solvents:
        one, other = first.widths(), second.widths()
        names = dict.fromkeys((*one, *other))
        dissolved = sum(abs(one.get(name, 0.0) - other.get(name, 0.0)) for name in names)
    different = min(
        1.0,
        apart(first.solvents, second.solvents) / NEAR_FRACTION
        + abs(first_temperature - second_temperature) / NEAR_KELVIN,
    )
    if different == 0.0:
        return dissolved
    before, after = assumed_errors(first.solvents), assumed_errors(second.solvents)
    assumed = hypot(*(before.get(k, 0.0) - after.get(k, 0.0) for k in {*before, *after}))
    u1 = _found_error(first, first_temperature, before.values())
    u2 = _found_error(second, second_temperature, after.values())
    return hypot(different * sqrt(u1 * u1 + u2 * u2 - u1 * u2), assumed, dissolved)


def _found_error(liquid: Liquid, temperature: float, assumed: Iterable[float]) -> float:
    """The error of the solvents' viscosity [-] without what is assumed of them."""
    stated = viscosity_error(liquid.solvents, temperature).half_width
    return sqrt(max(stated * stated - sum(width * width for width in assumed), 0.0))

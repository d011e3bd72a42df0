"""The mobile phase of a method: which liquid, and how sure the ratio of two viscosities is."""

from __future__ import annotations

from functools import lru_cache
from math import sqrt
from typing import NamedTuple

from ..errors import LimitcheckError
from .constants import MIXTURES, SOLVENTS
from .viscosity import has_data, viscosity_error

# Errors of two viscosities nearer than this partly cancel (assumed, no source).
NEAR_FRACTION, NEAR_KELVIN = 0.10, 10.0


class CannotPredict(LimitcheckError):
    """The profile lacks something without which no pressure can be computed."""


class Liquid(NamedTuple):
    """An organic solvent (or "water") and its volume fraction [-] before mixing with water."""

    organic: str
    fraction: float


@lru_cache(maxsize=4096)
def liquid(solvent_a: str | None, solvent_b: str | None, percent_b: float) -> Liquid:
    """The mobile phase at a composition, percent_b [%] from 0 to 100 before mixing.

    Raises CannotPredict where a solvent is missing or unknown, or there is no data on the mixture.

    >>> liquid("water", "acetonitrile", 18)
    Liquid(organic='acetonitrile', fraction=0.18)
    >>> liquid("methanol", "water", 18)
    Liquid(organic='methanol', fraction=0.82)
    """
    if percent_b == 0.0 and solvent_b is None:
        return _pure(solvent_a, "solvent_a")
    first, second = _pure(solvent_a, "solvent_a"), _pure(solvent_b, "solvent_b")
    share = percent_b / 100.0
    if first.organic == second.organic:
        return first
    if first.organic == "water":
        mixed = Liquid(second.organic, share)
    elif second.organic == "water":
        mixed = Liquid(first.organic, (100.0 - percent_b) / 100.0)
    elif share in (0.0, 1.0):
        return second if share else first
    else:
        raise CannotPredict(
            f"no viscosity data for {first.organic} mixed with {second.organic}; "
            "mixtures with water are covered"
        )
    if not has_data(*mixed):
        raise CannotPredict(
            f"no viscosity data for {mixed.organic} mixed with water; covered are "
            + ", ".join(MIXTURES)
        )
    return mixed


def _pure(name: str | None, field: str) -> Liquid:
    if name is None:
        raise CannotPredict(f"no conditions.{field}")
    folded = name.strip().casefold()
    if folded not in SOLVENTS:
        raise CannotPredict(
            f'no viscosity data for {field} "{name}"; known are ' + ", ".join(SOLVENTS)
        )
    return Liquid(folded, 1.0)


def viscosity_ratio_error(
    first: Liquid, first_temperature: float, second: Liquid, second_temperature: float
) -> float:
    """Error of the ratio of two viscosities of the model, half-width in ln of the ratio [-].

    u = s sqrt(u1^2 + u2^2 - u1 u2), s = min(1, |phi1 - phi2| / 0.10 + |T1 - T2| / 10 K), for
    liquids of fractions phi at first_temperature T1 [K] and second_temperature T2 [K]

    The error cancels where the conditions are the same; from 0.10 in fraction or 10 K apart
    the two errors are taken as half correlated (assumed, no source).

    >>> same = Liquid("methanol", 0.5)
    >>> viscosity_ratio_error(same, 298.15, same, 298.15)
    0.0
    """
    if first.organic != second.organic and 0.0 not in (first.fraction, second.fraction):
        apart = 1.0
    else:
        apart = min(
            1.0,
            abs(first.fraction - second.fraction) / NEAR_FRACTION
            + abs(first_temperature - second_temperature) / NEAR_KELVIN,
        )
    if apart == 0.0:
        return 0.0
    u1 = viscosity_error(*first, first_temperature).half_width
    u2 = viscosity_error(*second, second_temperature).half_width
    return apart * sqrt(u1 * u1 + u2 * u2 - u1 * u2)

"""Every unit of the closed table against pint, in exact fractions: a second, independent source."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from importlib.metadata import version

from ..units import QUANTITIES, Quantity
from ..units.conversion import registry
from .results import Group, Result

_SI = {
    "pressure": "pascal",
    "length": "meter",
    "flow": "meter**3/second",
    "temperature": "kelvin",
    "time": "second",
    "volume": "meter**3",
    "percentage": "dimensionless",
}
_NAMES = {"kgf/cm2": "kilogram_force/centimeter**2", "%": "percent"}
"""What pint calls a unit, where that differs."""


def second_source() -> Iterator[Group]:
    """The SI value of 1 and of 100 of each unit, so that an offset shows too."""
    results = tuple(
        _result(kind, unit, number)
        for kind in QUANTITIES
        for unit in kind.UNITS
        for number in (1, 100)
    )
    yield Group("Every unit against pint", f"pint {version('pint')}", "exact", results)


def _result(kind: type[Quantity], unit: str, number: int) -> Result:
    si = _SI[kind.KIND]
    theirs = registry().Quantity(Fraction(number), _NAMES.get(unit, unit)).to(si).magnitude
    ours = kind.of(number, unit).value
    return Result.of(
        f"{kind.KIND}: {number} {unit} in {si}", str(theirs), str(ours), passed=ours == theirs
    )

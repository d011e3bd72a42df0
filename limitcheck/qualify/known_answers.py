"""What the tool computes: against the values in data/known_answers.toml, and against pint."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from importlib.metadata import version
from importlib.resources import files
from typing import Any

from ..history.band import sample_size, tolerance_factor
from ..physics.blend import with_water
from ..physics.resistance import bed_resistance
from ..physics.tube import tube_resistance
from ..physics.viscosity import solvent_viscosity, viscosity, water_viscosity
from ..profile.toml import parse
from ..units import QUANTITIES, Quantity, plain_or_rounded
from ..units.conversion import convert, registry
from .results import Group, Result

_KELVIN = 273.15
_BAR = 1e-5 * (1e-6 / 60) * 1e-3
"""bar for 1 Pa s/m3 of resistance times 1 m3/s and 1 Pa s, at 1 mL/min and 1 mPa s."""


def _si_value(number: int | Decimal, unit: str, kind: str) -> Fraction:
    quantity = next(quantity for quantity in QUANTITIES if kind == quantity.KIND)
    return quantity.parse(f"{number} {unit}").value


def _packed_bed(
    length: float, bore: float, particle: float, flow: float, porosity: float, eta: float
) -> float:
    resistance = bed_resistance(1e-3 * length, 1e-3 * bore, 1e-6 * particle, porosity)
    return _BAR * resistance * flow * eta


def _tube(length: float, bore: float, flow: float, eta: float) -> float:
    return _BAR * tube_resistance(1e-3 * length, 1e-3 * bore) * flow * eta


def _of_floats(compute: Callable[..., float]) -> Callable[..., float]:
    """The same of decimals."""
    return lambda *inputs: compute(*(float(i) if isinstance(i, Decimal) else i for i in inputs))


COMPUTATIONS: Mapping[str, Callable[..., Fraction | float]] = {
    "SI value": _si_value,
    "conversion": lambda pressure, unit: convert(pressure, [unit])[1][0].value,
    "viscosity of water": _of_floats(lambda celsius: 1e3 * water_viscosity(celsius + _KELVIN)),
    "viscosity of a solvent": _of_floats(
        lambda solvent, celsius: 1e3 * solvent_viscosity(solvent, celsius + _KELVIN)
    ),
    "viscosity of a mixture": _of_floats(
        lambda organic, percent, celsius: (
            1e3 * viscosity(with_water(organic, percent / 100), celsius + _KELVIN)
        )
    ),
    "packed bed": _of_floats(_packed_bed),
    "tube": _of_floats(_tube),
    "tolerance factor": _of_floats(tolerance_factor),
    "sample size": _of_floats(sample_size),
}
"""What a table of known answers may ask for, by name."""


def known_answers() -> Iterator[Group]:
    """One group a table of the data file."""
    text = (files(__package__) / "data" / "known_answers.toml").read_text("utf-8")
    for table in parse(text)["answers"]:
        compute = COMPUTATIONS[table["computation"]]
        yield Group(
            table["title"],
            table["source"],
            _tolerance_text(table["tolerance"]),
            tuple(_result(table, compute, row) for row in table["rows"]),
        )


def _tolerance_text(tolerance: str) -> str:
    return "half of the last digit printed" if tolerance == "digits" else tolerance


def _result(
    table: Mapping[str, Any], compute: Callable[..., Fraction | float], row: Sequence[Any]
) -> Result:
    *inputs, published = row
    named = ", ".join(
        f"{name} {value}" for name, value in zip(table["inputs"], inputs, strict=True)
    )
    computed = Fraction(compute(*inputs))
    unit = f" {table['unit']}" if table["unit"] else ""
    exact = table["tolerance"] == "exact"
    shown = str(computed) if exact else plain_or_rounded(computed, digits=10)
    return Result.of(
        f"{table['computation']}: {named}",
        f"{published}{unit}",
        f"{shown}{unit}",
        passed=abs(computed - Fraction(published)) <= allowed(published, table["tolerance"]),
    )


def allowed(published: str, tolerance: str) -> Fraction:
    """The largest deviation from a published value that passes.

    >>> allowed("6.894757E+3", "digits"), allowed("200", "0.5 %"), allowed("200", "exact")
    (Fraction(1, 2000), Fraction(1, 1), Fraction(0, 1))
    """
    if tolerance == "exact":
        return Fraction(0)
    if tolerance == "digits":
        exponent = Decimal(published).as_tuple().exponent
        return Fraction(10) ** int(exponent) / 2
    return abs(Fraction(published)) * Fraction(tolerance.removesuffix("%").strip()) / 100


_PINT_SI = {
    "pressure": "pascal",
    "length": "meter",
    "flow": "meter**3/second",
    "temperature": "kelvin",
    "volume": "meter**3",
    "permeability": "meter**2",
    "percentage": "dimensionless",
}
_PINT_NAMES = {
    "kgf/cm2": "kilogram_force/centimeter**2",
    "kgf/mm2": "kilogram_force/millimeter**2",
    "m2": "meter**2",
    "um2": "micrometer**2",
    "cm2": "centimeter**2",
    "%": "percent",
}
"""What pint calls a unit, where that differs."""


def second_source() -> Iterator[Group]:
    """The SI value of 1 and of 100 of each unit, so that an offset shows too."""
    results = tuple(
        _against_pint(kind, unit, number)
        for kind in QUANTITIES
        for unit in kind.UNITS
        for number in (1, 100)
    )
    yield Group("Every unit against pint", f"pint {version('pint')}", "exact", results)


def _against_pint(kind: type[Quantity], unit: str, number: int) -> Result:
    si = _PINT_SI[kind.KIND]
    theirs = registry().Quantity(Fraction(number), _PINT_NAMES.get(unit, unit)).to(si).magnitude
    ours = kind.of(number, unit).value
    return Result.of(
        f"{kind.KIND}: {number} {unit} in {si}", str(theirs), str(ours), passed=ours == theirs
    )

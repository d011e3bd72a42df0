"""Numbers the tool computes, held against the published values in data/known_answers.toml."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from importlib.resources import files
from typing import Any

from ..history.tolerance import sample_size, tolerance_factor
from ..physics.resistance import bed_resistance, tube_resistance
from ..physics.solvents import solvent_viscosity, water_viscosity
from ..physics.viscosity import viscosity
from ..profile.toml import parse
from ..units import QUANTITIES, plain_or_rounded
from ..units.conversion import convert
from .results import Group, Result

Number = int | Decimal
_KELVIN = 273.15
_ML_PER_MIN = 1e-6 / 60


def _si_value(number: Number, unit: str, kind: str) -> Fraction:
    quantity = next(quantity for quantity in QUANTITIES if kind == quantity.KIND)
    return quantity.parse(f"{number} {unit}").value


def _conversion(pressure: str, unit: str) -> Fraction:
    return convert(pressure, [unit])[1][0].value


def _water(celsius: Number) -> float:
    return 1e3 * water_viscosity(float(celsius) + _KELVIN)


def _solvent(solvent: str, celsius: Number) -> float:
    return 1e3 * solvent_viscosity(solvent, float(celsius) + _KELVIN)


def _mixture(organic: str, percent: Number, celsius: Number) -> float:
    return 1e3 * viscosity(organic, float(percent) / 100, float(celsius) + _KELVIN)


def _bar(resistance: float, flow: Number, eta: Number) -> float:
    return 1e-5 * resistance * float(flow) * _ML_PER_MIN * 1e-3 * float(eta)


def _packed_bed(
    length: Number, bore: Number, particle: Number, flow: Number, porosity: Number, eta: Number
) -> float:
    resistance = bed_resistance(
        1e-3 * float(length), 1e-3 * float(bore), 1e-6 * float(particle), float(porosity)
    )
    return _bar(resistance, flow, eta)


def _tube(length: Number, bore: Number, flow: Number, eta: Number) -> float:
    return _bar(tube_resistance(1e-3 * float(length), 1e-3 * float(bore)), flow, eta)


def _tolerance_factor(readings: int, coverage: Number, confidence: Number) -> float:
    return tolerance_factor(readings, float(coverage), float(confidence))


def _sample_size(coverage: Number, confidence: Number) -> int:
    return sample_size(float(coverage), float(confidence))


COMPUTATIONS: Mapping[str, Callable[..., Fraction | float]] = {
    "SI value": _si_value,
    "conversion": _conversion,
    "viscosity of water": _water,
    "viscosity of a solvent": _solvent,
    "viscosity of a mixture": _mixture,
    "packed bed": _packed_bed,
    "tube": _tube,
    "tolerance factor": _tolerance_factor,
    "sample size": _sample_size,
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

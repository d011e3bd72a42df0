"""The closed table of units: every factor exact, with its definition and source beside it."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import NamedTuple


class Unit(NamedTuple):
    """One unit: SI value = (number + offset) * factor."""

    name: str
    factor: Fraction
    definition: str
    source: str
    spellings: tuple[str, ...] = ()
    offset: Fraction = Fraction(0)


_SI = "SI Brochure, 9th ed. (2019)"
_SP811 = "NIST SP 811 (2008), App. B"
_POUND, _GRAVITY, _INCH = Fraction("0.45359237"), Fraction("9.80665"), Fraction("0.0254")


def _table(*units: Unit) -> dict[str, Unit]:
    return {unit.name: unit for unit in units}


PRESSURE_UNITS: Mapping[str, Unit] = _table(
    Unit("bar", Fraction(10**5), "100 000 Pa", _SP811, ("bars",)),
    Unit(
        "psi", _POUND * _GRAVITY / _INCH**2, "0.45359237 kg × 9.80665 m/s² / (0.0254 m)²", _SP811,
        ("lbf/in2", "lb/in2", "lbs/in2"),
    ),
    Unit("MPa", Fraction(10**6), "10^6 Pa = 10^6 N/m²", _SI, ("N/mm2",)),
    Unit("kPa", Fraction(10**3), "10^3 Pa", _SI),
    Unit(
        "kgf/cm2", _GRAVITY * 10**4, "9.80665 N / (0.01 m)²", _SP811,
        ("kg/cm2", "kp/cm2", "at"),  # kilopond: another name of kgf; at: technical atmosphere
    ),
    Unit(
        "kgf/mm2", _GRAVITY * 10**6, "9.80665 N / (0.001 m)²", _SP811, ("kg/mm2", "kp/mm2"),
    ),
)  # fmt: skip
LENGTH_UNITS: Mapping[str, Unit] = _table(
    Unit("mm", Fraction(1, 1000), "10^-3 m", _SI),
    Unit("um", Fraction(1, 10**6), "10^-6 m", _SI, ("µm", "μm")),
    Unit("cm", Fraction(1, 100), "10^-2 m", _SI),
    Unit("m", Fraction(1), "metre", _SI),
    Unit("nm", Fraction(1, 10**9), "10^-9 m", _SI),
    Unit("in", _INCH, "0.0254 m", _SP811, ("inch",)),
)
FLOW_UNITS: Mapping[str, Unit] = _table(
    Unit("mL/min", Fraction(1, 60 * 10**6), "10^-6 m³ / 60 s", _SI, ("ml/min",)),
    Unit("uL/min", Fraction(1, 60 * 10**9), "10^-9 m³ / 60 s", _SI, ("ul/min", "µL/min", "μL/min")),
    Unit("nL/min", Fraction(1, 60 * 10**12), "10^-12 m³ / 60 s", _SI, ("nl/min",)),
    Unit("L/min", Fraction(1, 60 * 10**3), "10^-3 m³ / 60 s", _SI, ("l/min",)),
)
TEMPERATURE_UNITS: Mapping[str, Unit] = _table(
    Unit("degC", Fraction(1), "t + 273.15 K", _SI, ("°C", "℃"), Fraction("273.15")),
    Unit("K", Fraction(1), "kelvin", _SI),
    Unit("degF", Fraction(5, 9), "(t + 459.67) × 5/9 K", _SP811, ("°F",), Fraction("459.67")),
)
VOLUME_UNITS: Mapping[str, Unit] = _table(
    Unit("uL", Fraction(1, 10**9), "10^-9 m³", _SI, ("ul", "µL", "μL")),
    Unit("mL", Fraction(1, 10**6), "10^-6 m³", _SI, ("ml",)),
    Unit("nL", Fraction(1, 10**12), "10^-12 m³", _SI, ("nl",)),
    Unit("L", Fraction(1, 10**3), "10^-3 m³", _SI, ("l",)),
)
PERMEABILITY_UNITS: Mapping[str, Unit] = _table(
    Unit("m2", Fraction(1), "square metre", _SI, ("m²",)),
    Unit("um2", Fraction(1, 10**12), "10^-12 m²", _SI, ("µm2", "μm2", "µm²", "μm²", "um²")),
    Unit("cm2", Fraction(1, 10**4), "10^-4 m²", _SI, ("cm²",)),
)
RATIO_UNITS: Mapping[str, Unit] = _table(Unit("%", Fraction(1, 100), "10^-2", _SI))
KINDS: Mapping[str, Mapping[str, Unit]] = {
    "pressure": PRESSURE_UNITS,
    "length": LENGTH_UNITS,
    "flow": FLOW_UNITS,
    "temperature": TEMPERATURE_UNITS,
    "volume": VOLUME_UNITS,
    "permeability": PERMEABILITY_UNITS,
    "percentage": RATIO_UNITS,
}
"""The tables, by what is measured."""

TRADE_UNITS = ("bar", "psi", "MPa", "kPa", "kgf/cm2")
"""The units that instruments of the trade show."""
COMMON_UNITS = TRADE_UNITS[:3]
"""Those that most of them show, and in which a pressure is printed."""
USUAL_STEP: Mapping[str, Fraction] = {
    "bar": Fraction(1),
    "psi": Fraction(1),
    "MPa": Fraction(1, 10),
    "kPa": Fraction(100),
    "kgf/cm2": Fraction(1),
}
"""Smallest step an entry field takes, by unit (common practice, no source)."""

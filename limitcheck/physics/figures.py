"""Predicted pressures as text: three significant digits, in the units of the trade."""

from __future__ import annotations

from decimal import Decimal

from ..units import PRESSURE_UNITS, Pressure


def units_shown(unit: str) -> tuple[str, ...]:
    """The instrument's unit first, then bar, psi and MPa.

    >>> units_shown("psi")
    ('psi', 'bar', 'MPa')
    """
    return tuple(dict.fromkeys((unit, "bar", "psi", "MPa")))


def in_unit(pascal: float, unit: str) -> float:
    """A pressure [Pa] in a unit of the table [that unit]."""
    return pascal / float(PRESSURE_UNITS[unit].factor)


def pressure_of(pascal: float, unit: str) -> Pressure:
    """A pressure [Pa] as a quantity in a unit, to six significant digits.

    >>> str(pressure_of(6.554e6, "bar"))
    '65.54 bar'
    """
    return Pressure.of(Decimal(f"{in_unit(pascal, unit):.6g}"), unit)


def figure(pascal: float, unit: str) -> str:
    """A pressure [Pa] in a unit, to three significant digits, without the unit.

    >>> figure(6.554e6, "psi"), figure(6.554e6, "MPa")
    ('951', '6.55')
    """
    return digits(in_unit(pascal, unit))


def digits(value: float, significant: int = 3) -> str:
    """A number to so many significant digits, without an exponent.

    >>> digits(13786.4), digits(0.05312), digits(0.0)
    ('13800', '0.0531', '0')
    """
    if value == 0.0:
        return "0"
    rounded = float(f"{value:.{significant}g}")
    places = significant - 1 - int(f"{rounded:e}".partition("e")[2])
    return f"{rounded:.{max(places, 0)}f}"


def short(value: float, significant: int = 6) -> str:
    """A number to at most so many significant digits, without exponent or trailing zeros.

    >>> short(28612.4, 4), short(160.0, 4), short(-0.25)
    ('28610', '160', '-0.25')
    """
    text = digits(value, significant)
    return text.rstrip("0").rstrip(".") if "." in text else text


def in_units(pascal: float, units: tuple[str, ...]) -> dict[str, float]:
    """A pressure [Pa] in several units, for JSON, to six significant digits."""
    return {unit: float(f"{in_unit(pascal, unit):.6g}") for unit in units}

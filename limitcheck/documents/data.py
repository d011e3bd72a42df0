"""Plain data that every JSON output shares: one way to give a pressure, a place, the frame."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

from ..findings import KeyPath
from ..units import Pressure, plain
from ..units.printing import pressure_of
from ..version import __version__

FORMAT = 1


def frame(**content: Any) -> dict[str, Any]:
    """A whole JSON document: its format and the tool that made it, then the content."""
    return {"format": FORMAT, "tool": {"name": "limitcheck", "version": __version__}, **content}


def pressure_data(pressure: Pressure) -> dict[str, str]:
    """An exact pressure: its value in its own unit and in pascal, each as exact text.

    Text is a decimal where the decimals end, else a fraction.

    >>> from limitcheck.units import Pressure
    >>> pressure_data(Pressure.parse("400 bar"))
    {'value': '400', 'unit': 'bar', 'pascal': '40000000'}
    """
    unit = pressure.unit
    return {
        "value": exact_text(pressure.to(unit)),
        "unit": unit,
        "pascal": exact_text(pressure.value),
    }


def predicted_data(pascal: float, unit: str) -> dict[str, str]:
    """A pressure of the physics [Pa], to six significant digits, in the same form.

    >>> predicted_data(6.554e6, "bar")
    {'value': '65.54', 'unit': 'bar', 'pascal': '6554000'}
    """
    return pressure_data(pressure_of(pascal, unit))


def plain_data(value: Any) -> Any:
    """Pressures, mappings and sequences as the dictionaries, lists and texts of JSON."""
    if isinstance(value, Pressure):
        return pressure_data(value)
    if isinstance(value, Mapping):
        return {key: plain_data(item) for key, item in value.items()}
    return [plain_data(item) for item in value] if isinstance(value, list | tuple) else value


def exact_text(value: Fraction) -> str:
    """A decimal where the decimals end within 30 places, else numerator/denominator."""
    try:
        return plain(value, most_decimals=30)
    except ValueError:
        return str(value)


def path_data(path: KeyPath) -> Sequence[str | int]:
    """A key path as a list; parts count from 1, as in messages and acceptances."""
    return [step + 1 if isinstance(step, int) else step for step in path]

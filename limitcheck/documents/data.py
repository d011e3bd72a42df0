"""Plain data that every JSON output shares: one way to give a pressure, a place, the frame."""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import datetime
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from ..findings import KeyPath
from ..units import Pressure, UnitError, plain
from ..units.printing import pressure_of
from ..version import __version__

if TYPE_CHECKING:
    from ..profile.load import ProfileFile

FORMAT = 1


def frame(**content: Any) -> dict[str, Any]:
    """A whole JSON document: its format and the tool that made it, then the content."""
    return {"format": FORMAT, "tool": {"name": "limitcheck", "version": __version__}, **content}


def json_text(data: Mapping[str, Any]) -> str:
    """The text of a JSON document, as commands write it."""
    return json.dumps(data, indent=1, ensure_ascii=False) + "\n"


def profile_data(file: ProfileFile) -> dict[str, Any]:
    """Which profile: its file with the SHA-256, shared files it uses, method and instrument."""
    method, instrument = file.profile.method, file.profile.instrument
    return {
        "path": file.path,
        "sha256": file.sha256,
        "uses": [{"path": used.path, "sha256": used.sha256} for used in file.uses],
        "method": method.id,
        "revision": method.revision,
        "site": method.site,
        "instrument": instrument.id,
        "unit": instrument.pressure_unit,
    }


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


def number_data(text: str) -> dict[str, str] | str | None:
    """A number given as text: a pressure in its own form, anything else as it is."""
    try:
        return pressure_data(Pressure.parse(text))
    except UnitError:
        return text or None


def predicted_data(pascal: float, unit: str) -> dict[str, str]:
    """A pressure of the physics [Pa], to six significant digits, in the same form.

    >>> predicted_data(6.554e6, "bar")
    {'value': '65.54', 'unit': 'bar', 'pascal': '6554000'}
    """
    six_digits = exact_text(Fraction(f"{pascal:.6g}"))
    return {**pressure_data(pressure_of(pascal, unit)), "pascal": six_digits}


def plain_data(
    value: Any, pressure: Callable[[float], Any] | None = None, numbers: Collection[str] = ()
) -> Any:
    """Results as the dictionaries, lists and texts of JSON: times ISO 8601, pressures in one form.

    With `pressure`, floats are pressures, given as that makes them, but for the fields called
    `numbers`.
    """
    if isinstance(value, Pressure):
        return pressure_data(value)
    if isinstance(value, float) and pressure is not None:
        return pressure(value)
    if isinstance(value, datetime):
        return value.isoformat()
    if hasattr(value, "_asdict"):
        value = value._asdict()
    if isinstance(value, list | tuple):
        return [plain_data(item, pressure, numbers) for item in value]
    if is_dataclass(value):
        value = {field.name: getattr(value, field.name) for field in fields(value)}
    if not isinstance(value, Mapping):
        return value
    return {
        name: item if name in numbers else plain_data(item, pressure, numbers)
        for name, item in value.items()
    }


def exact_text(value: Fraction) -> str:
    """A decimal where the decimals end within 30 places, else numerator/denominator."""
    try:
        return plain(value, most_decimals=30)
    except ValueError:
        return str(value)


def path_data(path: KeyPath) -> Sequence[str | int]:
    """A key path as a list; parts count from 1, as in messages and acceptances."""
    return [step + 1 if isinstance(step, int) else step for step in path]

"""A validated profile with single values replaced, as if they had been typed so."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import Any

from pydantic import BaseModel

from ..findings import KeyPath
from ..units import Pressure, Quantity
from .model import Profile

UNIT: KeyPath = ("instrument", "pressure_unit")


def with_values(profile: Profile, values: Iterable[tuple[KeyPath, str, str]]) -> Profile:
    """The profile with (key path, number, unit) in place of what stands there.

    A new pressure unit of the instrument also moves the bare numbers typed at it. A place that
    held nothing must be one of the cutoffs.
    """
    for path, number, unit in values:
        profile = (
            _shows(profile, number) if path == UNIT else _replaced(profile, path, number, unit)
        )
    return profile


def _replaced(value: Any, path: KeyPath, number: str, unit: str) -> Any:
    if not path:
        return _typed(value, number, unit)
    step, rest = path[0], path[1:]
    if isinstance(step, int):
        changed = _replaced(value[step], rest, number, unit)
        return (*value[:step], changed, *value[step + 1 :])
    assert isinstance(value, BaseModel)
    changed = _replaced(getattr(value, step), rest, number, unit)
    return value.model_copy(update={step: changed})


def _typed(before: Any, number: str, unit: str) -> Any:
    if isinstance(before, Quantity):
        return type(before).of(number, unit)
    return Pressure.of(number, unit) if before is None else type(before)(Fraction(number))


def _shows(profile: Profile, unit: str) -> Profile:
    """The profile if its instrument shows another unit: bare numbers are in that."""
    tables: dict[str, Any] = {}
    for name in ("cutoffs", "expected"):
        table = getattr(profile, name)
        if table is not None:
            bare = {
                key: Pressure.of(getattr(table, key).number, unit)
                for key in ("high", "low", "swing")
                if key in type(table).model_fields and table.is_bare(key)
            }
            tables[name] = table.model_copy(update=bare)
    instrument = profile.instrument.model_copy(update={"pressure_unit": unit})
    return profile.model_copy(update={"instrument": instrument, **tables})

"""Profiles of many rows that share instruments, columns and conditions: each validated once.

A table of the format is validated alone, and stands in every profile that has it: it is not to be
changed meanwhile. What is said of
a profile that is refused is what `validate_profile` says.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from pydantic import TypeAdapter, ValidationError

from .fields import InstrumentContext
from .model import (
    AnyPart,
    Conditions,
    Cutoffs,
    Expected,
    Instrument,
    Method,
    Profile,
    validate_profile,
)

_MOST, _MOST_WHOLES = 10_000, 5000
"""Tables, and profiles of one flow path each, that are remembered, at most."""
_ENDS = frozenset({"low", "high"})
_OWN = frozenset({"cutoffs", "expected", "conditions"})
_ALONE = _OWN | {"format", "method", "instrument", "flow_path"}
"""The tables that are validated one by one, and the rest of a profile that has no others."""


@cache
def _part() -> TypeAdapter[Any]:
    return TypeAdapter(AnyPart)


class Pieces:
    """Validates profiles, and remembers their tables."""

    def __init__(self) -> None:
        self._known: dict[tuple[object, ...], Any] = {}
        self._seen: dict[int, tuple[Mapping[str, Any], Any]] = {}
        self._alike: dict[tuple[object, ...], Any] = {}
        self._wholes: dict[tuple[object, ...], Profile] = {}
        self._part = _part()

    def profile(self, data: Mapping[str, Any]) -> Profile:
        """As `validate_profile`; raises `pydantic.ValidationError` with all errors."""
        context = InstrumentContext.of(data["instrument"])
        try:
            made = dict(data)
            made["instrument"] = self._same(Instrument, data["instrument"], context)
            if "conditions" in data:
                made["conditions"] = self._same(Conditions, data["conditions"], context)
            for name, kind in (("cutoffs", Cutoffs), ("expected", Expected)):
                if name in data:
                    made[name] = self._pressures(kind, data[name], context)
            made["flow_path"] = [self._same(None, part, context) for part in data["flow_path"]]
            return self._whole(made, context)
        except ValidationError:
            return validate_profile(data)  # which names every place as it stands in the whole

    def _whole(self, made: dict[str, Any], context: InstrumentContext) -> Profile:
        """The profile of tables that are valid.

        What a profile asks beyond them, it asks of its flow path, its format and its keys.
        """
        if not made.keys() <= _ALONE:
            return Profile.model_validate(made, context=context)
        parts, instrument = map(id, made["flow_path"]), id(made["instrument"])
        key = (*made, repr(made.get("format")), instrument, *parts)
        like = self._wholes.get(key)
        if like is None:
            if len(self._wholes) >= _MOST_WHOLES:
                self._wholes.clear()
            like = self._wholes[key] = Profile.model_validate(made, context=context)
            return like
        own = {name: made[name] for name in made.keys() & _OWN}
        own["method"] = Method.model_validate(made["method"], context=context)
        return like.model_copy(update=own)

    def _pressures(self, kind: Any, table: Mapping[str, Any], context: InstrumentContext) -> Any:
        """Cutoffs, or a band: each number validated once, for both of its places."""
        if not table.keys() <= _ENDS:
            return self._table(kind, table, context, context.unit)
        with_unit = (isinstance(value, str) for value in table.values())
        like = self._alike.get(key := (kind, *table, *with_unit))
        if like is None:
            like = self._alike[key] = kind.model_validate(table, context=context)
            return like
        ends = {name: self._pressure(kind, value, context) for name, value in table.items()}
        return like.model_copy(update=ends)

    def _pressure(self, kind: Any, value: object, context: InstrumentContext) -> Any:
        key = (kind, context.unit, repr(value))
        found = self._known.get(key)
        if found is None:
            if len(self._known) >= _MOST:
                self._known.clear()
            both = kind.model_validate({"low": value, "high": value}, context=context)
            found = self._known[key] = both.high
        return found

    def _same(self, kind: Any, table: Mapping[str, Any], context: InstrumentContext) -> Any:
        """A table that many profiles may have as one object, validated."""
        known = self._seen.get(id(table))
        if known is not None:
            return known[1]
        if len(self._seen) >= _MOST:
            self._seen.clear()
        made = self._table(kind, table, context)
        self._seen[id(table)] = table, made  # which keeps the table, and so its id
        return made

    def _table(
        self, kind: Any, table: Mapping[str, Any], context: InstrumentContext, unit: str = ""
    ) -> Any:
        """A table validated; `unit` is that of its bare numbers, where it may have such."""
        key = (kind, unit, *table, *map(repr, table.values()))  # 5.0 is no other number than 5,
        found = self._known.get(key)  # but another text
        if found is not None:
            return found
        if len(self._known) >= _MOST:
            self._known.clear()
        if kind is None:
            found = self._part.validate_python(table, context=context)
        else:
            found = kind.model_validate(table, context=context)
        self._known[key] = found
        return found

"""Profiles of many rows that share instruments, columns and conditions: each validated once.

A table of the format is validated alone, and stands in every profile that has it: it is not to be
changed meanwhile. What is said of
a profile that is refused is what `validate_profile` says.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import TypeAdapter, ValidationError

from .fields import InstrumentContext
from .model import AnyPart, Conditions, Cutoffs, Expected, Instrument, Profile, validate_profile

_MOST = 10_000
"""Tables that are remembered, at most."""


class Pieces:
    """Validates profiles, and remembers their tables."""

    def __init__(self) -> None:
        self._known: dict[tuple[object, ...], Any] = {}
        self._seen: dict[int, tuple[Mapping[str, Any], Any]] = {}
        self._part: TypeAdapter[Any] = TypeAdapter(AnyPart)

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
                    made[name] = self._table(kind, data[name], context, context.unit)
            made["flow_path"] = [self._same(None, part, context) for part in data["flow_path"]]
            return Profile.model_validate(made, context=context)
        except ValidationError:
            return validate_profile(data)  # which names every place as it stands in the whole

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

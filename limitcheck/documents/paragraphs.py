"""Paragraphs and plain data that the reports on readings share."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import asdict, is_dataclass
from datetime import datetime
from typing import Any

from ..render.lines import wrap
from .cautions import texts


def items(lines: Iterable[str]) -> Iterator[str]:
    """One bullet for each text."""
    for line in lines:
        yield from wrap(line, "  - ", "    ")


def caution_lines(names: tuple[str, ...]) -> Iterator[str]:
    """The cautions of one place under their heading."""
    yield "Cautions:"
    yield from items(texts(names))


def plain_data(value: Any) -> Any:
    """Dataclasses, tuples and times as the plain dictionaries, lists and texts of JSON."""
    if is_dataclass(value) and not isinstance(value, type):
        value = asdict(value)
    if isinstance(value, dict):
        return {key: plain_data(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain_data(item) for item in value]
    return value.isoformat() if isinstance(value, datetime) else value

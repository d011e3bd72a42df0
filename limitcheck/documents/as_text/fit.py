"""The table of methods and instruments as text, CSV and plain dictionaries."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from io import StringIO
from typing import Any

from ...profile.instruments import DescribedInstrument
from ...render.lines import WIDTH, safe, wrap
from ...transfer.fit import Cell, Row
from ...version import __version__
from ..cautions import IN_A_RECORD, texts

_METHOD, _CELL = 24, 18
_COLUMNS = (WIDTH - _METHOD) // _CELL
_HEADER = (
    "method",
    "revision",
    "profile",
    "instrument",
    "unit",
    "high",
    "low",
    "predicted_ratio",
    "reason",
)


def render(rows: Sequence[Row], systems: Sequence[DescribedInstrument]) -> Iterator[str]:
    """The table, in pieces: three instruments a block, reasons numbered below."""
    reasons: dict[str, int] = {}
    for start in range(0, len(systems), _COLUMNS):
        shown = systems[start : start + _COLUMNS]
        for title, texts_shown in (
            ("", [system.instrument.id for system in shown]),
            ("high / low, in", [system.instrument.pressure_unit for system in shown]),
        ):
            line = f"{title:{_METHOD}}" + "".join(_fit(text, _CELL) for text in texts_shown)
            yield line.rstrip() + "\n"
        for row in rows:
            cells = row.cells[start : start + _COLUMNS]
            text = "".join(_fit(_cell(cell, reasons), _CELL) for cell in cells)
            yield (_fit(row.method.file.profile.method.id, _METHOD) + text).rstrip() + "\n"
        yield "\n"
    for reason, number in reasons.items():
        yield "\n".join(wrap(reason, f"[{number}] ", "    ")) + "\n"
    yield (
        "\n".join(
            wrap(
                "Expected pressures are the methods' own, scaled by prediction where one can be "
                "made: measure them before the limits are used."
            )
        )
        + "\n"
    )
    for caution in texts(IN_A_RECORD):
        yield "\n".join(wrap(caution)) + "\n"


def _cell(cell: Cell, reasons: dict[str, int]) -> str:
    if cell.reason is not None:
        return f"no [{reasons.setdefault(cell.reason, len(reasons) + 1)}]"
    high, low = _numbers(cell)
    return f"{high} / {low}"


def _numbers(cell: Cell) -> tuple[str | None, str | None]:
    high, low = cell.proposal.high, cell.proposal.low
    if not cell.fits or high is None or low is None:
        return None, None
    return high.enter, low.enter


def _fit(text: str, width: int) -> str:
    """The text in exactly `width` columns, a blank at the end."""
    shown = safe(text)
    if len(shown) >= width:
        shown = shown[: width - 4] + "..."
    return f"{shown:{width}}"


def render_csv(rows: Sequence[Row], systems: Sequence[DescribedInstrument]) -> str:
    """One line a cell."""
    text = StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(_HEADER)
    for row in rows:
        for system, cell in zip(systems, row.cells, strict=True):
            writer.writerow(_cell_dict(row, system, cell).values())
    return text.getvalue()


def document(rows: Sequence[Row], systems: Sequence[DescribedInstrument]) -> dict[str, Any]:
    """The table as plain dictionaries."""
    return {
        "format": 1,
        "tool": {"name": "limitcheck", "version": __version__},
        "methods": [
            {"path": row.method.file.path, "sha256": row.method.file.sha256} for row in rows
        ],
        "instruments": [{"path": s.name, "sha256": s.sha256} for s in systems],
        "cells": [
            _cell_dict(row, system, cell)
            for row in rows
            for system, cell in zip(systems, row.cells, strict=True)
        ],
    }


def _cell_dict(row: Row, system: DescribedInstrument, cell: Cell) -> dict[str, Any]:
    method, (high, low) = row.method.file.profile.method, _numbers(cell)
    ratio = None if cell.ratio is None else float(f"{cell.ratio:.4g}")
    values = (
        method.id,
        method.revision,
        row.method.file.path,
        system.instrument.id,
        cell.unit,
        high,
        low,
        ratio,
        cell.reason,
    )
    return dict(zip(_HEADER, values, strict=True))

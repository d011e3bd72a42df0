"""The table of methods and instruments as a document, as CSV and as plain data."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from datetime import date
from io import StringIO
from typing import Any

from ..findings import Recommendation
from ..transfer.fit import Cell, FitTable
from ..units import Pressure
from .blocks import Block, Bullets, Chapter, Document, Section, Table, Text
from .cautions import IN_A_RECORD, texts
from .data import frame, pressure_data, profile_data
from .parts import inputs

MEASURE = (
    "Expected pressures are the methods' own, scaled by prediction where one can be made: measure "
    "them before you use the cutoffs."
)
_COLUMNS = ("method", "revision", "profile", "instrument", "unit", "high", "low", "predicted_ratio")


def fit_document(found: FitTable, day: date) -> Document:
    """Which method fits which instrument, with the two cutoffs to type there."""
    fitting = sum(any(cell.pair for cell in row) for row in found.rows)
    verdict = (
        f"{fitting} of {len(found.rows)} methods fit at least one of {len(found.systems)} "
        "instruments."
    )
    reasons: dict[str, int] = {}
    for row in found.rows:
        for cell in row:
            if cell.reason is not None:
                reasons.setdefault(cell.reason, len(reasons) + 1)
    columns = (f"{s.instrument.id} ({s.instrument.pressure_unit})" for s in found.systems)
    rows = tuple(
        (row[0].method.profile.method.id, *(_shown(cell, reasons) for cell in row))
        for row in found.rows
    )
    table = Table("High / low cutoff to type", ("Method", *columns), rows)
    blocks: list[Block] = [table, Text(MEASURE)]
    files = inputs(
        [row[0].method for row in found.rows], [(s.name, s.sha256) for s in found.systems]
    )
    sections = [Section("", tuple(blocks))]
    if reasons:
        sections.append(Section("Why not", (Bullets(tuple(reasons), numbered=True),)))
    sections.append(Section("What this rests on", (files,), in_record=True))
    summary = (Text(verdict, strong=True),)
    chapters = (Chapter("Methods on instruments", tuple(sections)),)
    cautions = tuple(texts(IN_A_RECORD))
    return Document("Methods on instruments", summary, chapters, cautions, day.isoformat())


def _shown(cell: Cell, reasons: Mapping[str, int]) -> str:
    if cell.pair is None:
        return f"no (reason {reasons[cell.reason or '']})"
    return " / ".join(item.enter for item in cell.pair)


def fit_csv(found: FitTable) -> str:
    """One line a cell."""
    text = StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow((*_COLUMNS, "reason"))
    for cell in _cells(found):
        method, instrument = cell.method.profile.method, cell.system.instrument
        high, low = (item.enter for item in cell.pair) if cell.pair else ("", "")
        writer.writerow(
            (
                *(method.id, method.revision, cell.method.path),
                *(instrument.id, instrument.pressure_unit, high, low, _ratio(cell), cell.reason),
            )
        )
    return text.getvalue()


def _cells(found: FitTable) -> Iterator[Cell]:
    return (cell for row in found.rows for cell in row)


def _ratio(cell: Cell) -> float | None:
    return None if cell.ratio is None else float(f"{cell.ratio:.4g}")


def fit_data(found: FitTable) -> dict[str, Any]:
    """The table as plain data: methods and instruments by their place in the lists, from 1."""
    return frame(
        methods=[profile_data(row[0].method) for row in found.rows],
        instruments=[
            {
                "path": system.name,
                "sha256": system.sha256,
                "instrument": system.instrument.id,
                "unit": system.instrument.pressure_unit,
            }
            for system in found.systems
        ],
        cells=[
            _cell_data(cell, method, instrument)
            for method, row in enumerate(found.rows, 1)
            for instrument, cell in enumerate(row, 1)
        ],
    )


def _cell_data(cell: Cell, method: int, instrument: int) -> dict[str, Any]:
    high, low = cell.pair or (None, None)
    return {
        "method": method,
        "instrument": instrument,
        "high": _pressure(high),
        "low": _pressure(low),
        "predicted_ratio": _ratio(cell),
        "reason": cell.reason,
    }


def _pressure(item: Recommendation | None) -> dict[str, str] | None:
    return None if item is None else pressure_data(Pressure.of(item.enter, item.unit))

"""The table of methods and instruments as a document, as CSV and as plain data."""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from io import StringIO
from typing import Any

from ..checking.looked import Looked
from ..transfer.fit import Cell, FitTable
from ..units import Pressure
from .blocks import Block, Bullets, Document, Section, Table, Text
from .data import frame, pressure_data, profile_data
from .looked import looked_data, looked_section, looked_texts
from .normal_pressure import ratio_data, ratio_text
from .parts import answer, correct_first
from .settings import policies_data, policy_section

MEASURE = (
    "Expected pressures are the methods' own times the predicted ratio: measure them on the first "
    "run, then write the band with limitcheck baseline --write."
)
_COLUMNS = ("method", "revision", "profile", "instrument", "unit", "high", "low")
_RATIO = ("ratio_low", "ratio_central", "ratio_high")


def fit_document(found: FitTable, day: date, looked: Looked) -> Document:
    """Which method fits which instrument, with the two cutoffs to type there."""
    verdict = (
        f"{found.fitting} of {len(found.rows)} methods fit at least one of "
        f"{len(found.instruments)} instruments."
    )
    reasons = list(
        dict.fromkeys(c.there.reason for row in found.rows for c in row if c.there.reason)
    )
    columns = (f"{i.instrument.id} ({i.instrument.pressure_unit})" for i in found.instruments)
    named = _names(found)
    rows = tuple(
        (named[row[0].method.path], *(_shown(cell, reasons) for cell in row)) for row in found.rows
    )
    table = Table("High / low cutoff to type", ("Method", *columns), rows)
    measure = (Text(MEASURE), *_may_stop(found))
    sections = [Section("", (table, *measure, *_to_correct(found))), *_ratios(found)]
    if reasons:
        sections.append(Section("Why not", (Bullets(tuple(reasons), numbered=True),)))
    sections += policy_section(found.policies)
    return answer(
        "Methods on instruments",
        [Text(verdict, strong=True), *looked_texts(looked)],
        [*sections, *looked_section(looked)],
        [row[0].method for row in found.rows],
        day,
        others=[(other.name, other.sha256) for other in found.instruments],
    )


def _may_stop(found: FitTable) -> Iterator[Block]:
    """Where the numbers to type may stop normal runs: by method and instrument."""
    named = _names(found)
    told = [
        f"{named[cell.method.path]} on {cell.instrument.instrument.id}: {cell.there.may_stop}"
        for row in found.rows
        for cell in row
        if cell.pair and cell.there.may_stop
    ]
    if told:
        yield Text("* Not decided before the pressure there is measured:")
        yield Bullets(tuple(told))


def _to_correct(found: FitTable) -> Iterator[Block]:
    """What is wrong with the methods' own cutoffs, where others say what those were meant to be."""
    named = _names(found)
    told = dict.fromkeys(
        f"{named[cell.method.path]}: {cell.there.correct_first}"
        for row in found.rows
        for cell in row
        if cell.pair and cell.there.correct_first
    )
    yield from correct_first(told, "the numbers above are")


def _names(found: FitTable) -> Mapping[str, str]:
    """By path, how a method is called: by its file too, where two have the same id."""
    methods = [row[0].method for row in found.rows]
    count = Counter(file.profile.method.id for file in methods)
    return {
        file.path: f"{name} ({file.path})" if count[name := file.profile.method.id] > 1 else name
        for file in methods
    }


def _ratios(found: FitTable) -> Iterator[Section]:
    """What the bands rest on: the predicted ratio of each cell, with its interval."""
    named = _names(found)
    rows = tuple(
        (named[cell.method.path], cell.instrument.instrument.id, ratio_text(cell.there.ratio))
        for row in found.rows
        for cell in row
        if cell.there.ratio is not None
    )
    if rows:
        columns = ("Method", "Instrument", "Ratio (interval)")
        yield Section(
            "Predicted pressure there, over the method's own", (Table("", columns, rows),)
        )


def _shown(cell: Cell, reasons: Sequence[str]) -> str:
    if cell.there.reason is not None:
        return f"no (reason {1 + reasons.index(cell.there.reason)})"
    return " / ".join(item.enter for item in cell.pair) + (" *" if cell.there.may_stop else "")


def fit_csv(found: FitTable) -> str:
    """One line a cell."""
    text = StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow((*_COLUMNS, *_RATIO, "reason", "correct_first", "may_stop"))
    for cell in (cell for row in found.rows for cell in row):
        method, instrument = cell.method.profile.method, cell.instrument.instrument
        line = [method.id, method.revision, cell.method.path]
        line += [instrument.id, instrument.pressure_unit]
        line += [item.enter for item in cell.pair] or ["", ""]
        ratio = (
            ratio_data(cell.there.ratio).values()
            if cell.there.ratio is not None
            else ("",) * len(_RATIO)
        )
        may_stop = cell.there.may_stop if cell.pair else ""
        told = (cell.there.reason, cell.there.correct_first, may_stop)
        writer.writerow([*line, *ratio, *told])
    return text.getvalue()


def fit_data(found: FitTable, looked: Looked) -> dict[str, Any]:
    """The table as plain data: methods and instruments by their place in the lists, from 1."""
    return frame(
        methods=[profile_data(row[0].method) for row in found.rows],
        instruments=[
            {
                "path": other.name,
                "sha256": other.sha256,
                "instrument": other.instrument.id,
                "unit": other.instrument.pressure_unit,
            }
            for other in found.instruments
        ],
        cells=[
            _cell_data(cell, method, instrument)
            for method, row in enumerate(found.rows, 1)
            for instrument, cell in enumerate(row, 1)
        ],
        policies=policies_data(found.policies),
        looked=looked_data(looked),
    )


def _cell_data(cell: Cell, method: int, instrument: int) -> dict[str, Any]:
    pair = [pressure_data(Pressure.of(item.enter, item.unit)) for item in cell.pair]
    high, low = pair or (None, None)
    return {
        "method": method,
        "instrument": instrument,
        "high": high,
        "low": low,
        "predicted_ratio": cell.there.ratio and ratio_data(cell.there.ratio),
        "reason": cell.there.reason,
        "correct_first": cell.there.correct_first or None,
        "may_stop": cell.there.may_stop if cell.pair and cell.there.may_stop else None,
    }

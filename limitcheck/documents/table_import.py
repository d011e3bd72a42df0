"""An imported table: what was understood, what it gives, and what is open."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from ..tables.cells import Amount
from ..tables.columns import Column
from ..tables.fleet import WHOLE
from ..tables.grid import column_letters
from ..tables.importing import Import
from ..tables.joined import Thing
from ..tables.questions import Question
from ..tables.rows import SheetRead
from ..tables.words import KEYS, QUANTITY
from ..tables.written import Written
from .blocks import Block, Bullets, Chapter, Document, Section, Table, Text
from .cautions import CAUTIONS
from .data import frame

_SHOWN = 30
"""Questions, profiles and skipped rows on a terminal; the record has all."""


def import_document(
    found: Import, day: date, written: Written | None = None, folder: str = ""
) -> Document:
    """What was made of a table; nothing is written unless `written` says what."""
    sections = [
        *(_understood(read) for read in found.reads),
        *_left_out(found),
        *_instruments(found),
        *_lacking(found),
        *_questions(found.questions),
        *_profiles(found),
    ]
    title = f"Import of {found.grid.path}"
    caution = (CAUTIONS["who-decides"],)
    chapter = Chapter(found.grid.path, tuple(sections))
    return Document(
        title, tuple(_summary(found, written, folder)), (chapter,), caution, day.isoformat()
    )


def _summary(found: Import, written: Written | None, folder: str) -> Iterator[Block]:
    rows, ready, open_ = len(found.joined.methods), len(found.ready), len(found.questions)
    waiting = f"; {found.waiting} not, until the questions are answered" if found.waiting else ""
    yield Text(f"Profiles for {ready} of {_some(rows, 'row')}{waiting}.", strong=True)
    if open_:
        yield Text(
            f"{_some(open_, 'question')} to answer. Write them to a table with "
            "--questions FILE.csv, fill in its column answer, and give it back: --answers FILE.csv"
        )
    if written is None:
        yield Text("Nothing is written. To write what is ready: --write FOLDER")
    else:
        shared = len(set(dict(found.shared())))
        same = f"; {len(written.same)} stood there already, the same" if written.same else ""
        yield Text(
            f"Wrote {_some(len(written.new), 'file')} to {folder}{same}: {_some(ready, 'profile')} "
            f"and {_some(shared, 'shared file')}. Now: limitcheck check {folder}"
        )
    for text in (*found.grid.remarks, *_unused(found)):
        yield Text(text)


def _unused(found: Import) -> Iterator[str]:
    if found.unused_answers:
        yield f"Answers not used, so they changed nothing: {'; '.join(found.unused_answers[:10])}."


def _some(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def _understood(read: SheetRead) -> Section:
    header = read.header
    rows: tuple[tuple[str, ...], ...] = tuple(
        (
            column_letters(column.at),
            column.text,
            _read_as(read, column),
            _unit_told(read, column.at),
            "comma" if read.signs.get(column.at) == "comma" else "",
        )
        for column in header.columns
        if not column.hidden
    )
    name = "" if header.sheet.lone else f"sheet {header.sheet.name}, "
    caption = f"{name}header in row {header.last + 1}, {_some(len(read.records), 'row')}"
    columns: tuple[str, ...] = ("", "Header", "Read as", "Unit", "Decimal")
    if not any(row[-1] for row in rows):
        rows, columns = tuple(row[:-1] for row in rows), columns[:-1]
    heading = f"Understood: {header.kind}"
    return Section(heading, (Text(f"{caption[0].upper()}{caption[1:]}."), Table("", columns, rows)))


def _read_as(read: SheetRead, column: Column) -> str:
    if read.planned is not None:
        if column.text.casefold() == WHOLE.casefold():
            return "the profile"
        return f"{column.key}, compared" if column.key else "left out"
    return column.key or ("to be asked" if column.paths else "left out")


def _unit_told(read: SheetRead, at: int) -> str:
    column = next(column for column in read.header.columns if column.at == at)
    if column.unit:
        place = "" if column.unit_from.startswith("the header") else f", from {column.unit_from}"
        return f"{column.unit}{place}"
    if column.key is None or KEYS[column.key].kind not in QUANTITY:
        return ""
    values = [r.given[column.key].value for r in read.records if column.key in r.given]
    own = {v.unit for v in values if isinstance(v, Amount) and v.own}
    if own:
        return f"in the cells: {', '.join(sorted(own))}"
    return "instrument's" if column.key.startswith(("cutoffs", "expected")) else ""


def _left_out(found: Import) -> Iterator[Section]:
    if told := list(found.not_looked_at()):
        yield Section("Left out", _first(told))


def _first(told: Sequence[str]) -> tuple[Block, ...]:
    shown: tuple[Block, ...] = (Bullets(tuple(told[:_SHOWN])),)
    if len(told) > _SHOWN:
        shown += (Text(f"and {len(told) - _SHOWN} more."),)
    return shown


def _instruments(found: Import) -> Iterator[Section]:
    rows = tuple(
        (
            thing.name,
            thing.unit or "to be asked",
            thing.unit_from or ("the table says so" if thing.unit else ""),
            str(sum(1 for _ in thing.methods)),
        )
        for thing in found.joined.instruments.values()
    )
    if rows:
        columns = ("Instrument", "Shows", "How that is known", "Rows")
        yield Section("Instruments", (Table("", columns, rows[:_SHOWN]), *_more(rows)))


def _more(rows: Sequence[object]) -> tuple[Block, ...]:
    return (Text(f"and {len(rows) - _SHOWN} more."),) if len(rows) > _SHOWN else ()


def _lacking(found: Import) -> Iterator[Section]:
    """Ratings that the table does not give: the profiles are written without, as such."""
    told = list(_without(found.joined.instruments.values(), "pump.rating", "Pump rating (bar)"))
    told += _without(found.joined.columns.values(), "column.rating", "Column rating (bar)")
    for planned in found.ready:
        if planned.record.text("column.label") or not planned.shared:
            continue  # a whole profile of limitcheck fleet is as its file was
        if "column.rating" not in planned.record.given:
            name = planned.record.given["method.id"].cell
            told.append(f'{name}: no column rating; add a column "Column rating (bar)"')
    if told:
        text = "These are written without a rating, which check will say again."
        yield Section("Not in the table", (Text(text), *_first(told)))


def _without(things: Iterable[Thing], key: str, header: str) -> Iterator[str]:
    for thing in things:
        if key not in thing.given:
            yield f'{thing.name}: no {key.replace(".", " ")}; add a column "{header}"'


def _questions(questions: Sequence[Question]) -> Iterator[Section]:
    if not questions:
        return
    rows = tuple((q.cell, q.value, q.text, q.meant) for q in questions[:_SHOWN])
    table = Table("", ("Cell", "Stands there", "Question", "Probably meant"), rows)
    yield Section("Questions", (table, *_more(questions)))


def _profiles(found: Import) -> Iterator[Section]:
    rows = tuple(
        (
            planned.path,
            planned.record.text("method.id"),
            planned.record.text("instrument.id"),
            *(str(planned.data.get("cutoffs", {}).get(key, "none")) for key in ("high", "low")),
            str(planned.whole["instrument"]["pressure_unit"]),
        )
        for planned in found.ready[:_SHOWN]
    )
    if rows:
        columns = ("File", "Method", "Instrument", "High", "Low", "Unit")
        yield Section("Profiles", (Table("", columns, rows, (3, 4)), *_more(found.ready)))


def import_data(found: Import, written: Written | None = None, folder: str = "") -> dict[str, Any]:
    """The same as plain data, complete."""
    return frame(
        table={"path": found.grid.path, "sha256": found.grid.sha256},
        remarks=list(found.grid.remarks),
        sheets=[_sheet_data(read) for read in found.reads],
        left_out=list(found.left_out),
        instruments=[
            {"instrument": t.name, "unit": t.unit or None, "unit_from": t.unit_from or None}
            for t in found.joined.instruments.values()
        ],
        rows=len(found.joined.methods),
        waiting=found.waiting,
        questions=[_question_data(question) for question in found.questions],
        unused_answers=list(found.unused_answers),
        profiles=[
            {
                "path": planned.path,
                "cell": planned.record.given["method.id"].cell,
                "method": planned.record.text("method.id"),
                "instrument": planned.record.text("instrument.id"),
                "uses": list(planned.shared),
            }
            for planned in found.ready
        ],
        written=None
        if written is None
        else {"folder": folder, "new": list(written.new), "same": list(written.same)},
    )


def _sheet_data(read: SheetRead) -> Mapping[str, Any]:
    return {
        "name": read.header.sheet.name,
        "kind": read.header.kind,
        "header_row": read.header.last + 1,
        "rows": len(read.records),
        "columns": [
            {
                "column": column_letters(column.at),
                "header": column.text,
                "key": column.key,
                "may_be": list(column.paths),
                "unit": column.unit or None,
                "decimal_sign": read.signs.get(column.at),
                "hidden": column.hidden,
            }
            for column in read.header.columns
        ],
        "skipped": list(read.skipped),
    }


def _question_data(question: Question) -> Mapping[str, Any]:
    return {
        "sheet": question.sheet,
        "cell": question.cell,
        "about": question.about,
        "instrument": question.instrument or None,
        "method": question.method or None,
        "value": question.value,
        "text": question.text,
        "advice": question.advice,
        "meant": question.meant or None,
    }

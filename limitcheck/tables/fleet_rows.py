"""The rows of a table of `limitcheck fleet`, read back: the whole profile that each of them has.

What stands beside it is compared. A value that was edited is asked, for the row has it at several
places, and which of them holds nobody can tell; an answer is put into the profile.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Any

from pydantic import ValidationError

from ..errors import LimitcheckError, cut
from ..findings import KeyPath
from ..profile.model import Profile, validate_profile
from ..profile.one_line import TOO_LONG, from_one_line
from ..profile.problems import explain
from ..units import Pressure
from .answers import Answer, Answers
from .cells import Amount, Text, Value, read_cell
from .columns import Column
from .fleet import UNREADABLE, WHOLE, off_text
from .fleet_values import AGAIN, assign, readings, spaced, texts
from .from_fleet import KEYS_OF
from .header import Header
from .numbers import CellError, is_empty
from .planned import Planned
from .questions import AS_IT_STANDS, Question
from .row_names import RowNames
from .rows import Given, Record, SheetRead

_AS_SHOWN = Fraction(1, 10_000)
"""How far a spreadsheet may round a number that it saves as shown, of its size."""


def read_fleet(header: Header, answers: Answers) -> SheetRead:
    """The rows of such a table with the profiles they have, and what is asked of them."""
    sheet = header.sheet
    read = SheetRead(header, RowNames(header, sheet.at))
    rows = _Rows(read, answers.cells(read.names))
    read.planned = rows.planned
    for row in header.body:
        if all(map(is_empty, sheet.rows[row])):
            continue
        if row in sheet.hidden_rows:
            name = sheet.cell_name(row, 0)
            read.skipped.append(f"{name}: the row is hidden; unhide it to have it read")
        elif header.is_again(row):
            read.skipped.append(f"{sheet.cell_name(row, 0)}: the header again")
        else:
            rows.read_row(row)
    return read


class _Rows:
    def __init__(self, read: SheetRead, told: Mapping[tuple[int, int], Answer]) -> None:
        self.read, self.told, self.sheet = read, told, read.header.sheet
        self.planned: list[Planned] = []
        columns = read.header.columns
        self.whole = next(c for c in columns if c.text.casefold() == WHOLE.casefold())
        keys = ((column, KEYS_OF.get(column.text.casefold())) for column in columns)
        self.keyed = [column._replace(key=key) for column, key in keys if key is not None]
        self.beside = {c.key: list(self._beside(c)) for c in self.keyed}

    def _beside(self, column: Column) -> Iterator[tuple[Column, str]]:
        """The columns with the numbers of one as typed in another unit, each with the unit."""
        what = column.text.casefold().removesuffix(" as typed")
        for other in self.read.header.columns:
            match = re.fullmatch(rf"{re.escape(what)} \[(.+)\]", other.text.casefold())
            if match is not None and column.text.casefold() != what:
                yield other, other.text[match.start(1) : match.end(1)]

    def read_row(self, row: int) -> None:
        """Read a row; what it gives and what it asks goes to the sheet."""
        record = Record(self.read.header, row)
        self.read.records.append(record)
        for column in self.keyed:  # what the row is of, also where it has no profile
            text = self.sheet.at(row, column.at)
            if column.key in ("method.id", "instrument.id") and text:
                self._give(record, column, Text(text), text)
        try:
            data = self._data(record)
            if data is not None:
                self._compared(record, data)
        except LimitcheckError as error:
            self._ask(record, self.whole, error.message, error.advice)

    def _data(self, record: Record) -> dict[str, Any] | None:
        text = self.sheet.at(record.row, self.whole.at)
        if text == TOO_LONG:
            told, advice = "the profile is too long for a cell", "copy its file"
        elif not text or text == UNREADABLE:
            told = f'"{text}": limitcheck fleet had no numbers of this row, so it makes none'
            advice = f"{AGAIN}, or take the row out"
        else:
            return from_one_line(text)
        self._ask(record, self.whole, told, advice)
        return None

    def _compared(self, record: Record, data: dict[str, Any]) -> None:
        profile = self._valid(record, data, {})
        if profile is None:
            return
        before, changed = texts(profile), False
        for column in self.keyed:
            changed |= self._column(record, data, profile, column, before[column.key or ""])
        again = self._valid(record, data, record.given) if changed else profile
        if again is None:
            return
        planned = Planned(record, "", data, data, _cells(self, record, data, again), again)
        self.planned.append(planned)

    def _column(
        self,
        record: Record,
        data: dict[str, Any],
        profile: Profile,
        column: Column,
        before: tuple[str, Value | None],
    ) -> bool:
        """Compare one cell with the profile; whether an answer changed that."""
        text = self.sheet.at(record.row, column.at)
        answer = self.told.get((record.row, column.at))
        same = spaced(text) == spaced(before[0])
        kept = answer is not None and answer.keeps(text)
        if answer is None or (kept and same):
            if before[1] is not None:
                self._give(record, column, before[1], text, confirmed=kept)
            if not same:
                told = f'"{cut(text, 30)}" here, and "{cut(before[0], 30)}" in the whole profile'
                self._ask(record, column, f"{told}: one was changed", _ADVICE)
            elif not kept:
                self._numbers(record, column, before)
            return False
        new = text if kept else answer.text
        return self._put(record, data, profile, column, new, answer, kept=kept)

    def _put(
        self,
        record: Record,
        data: dict[str, Any],
        profile: Profile,
        column: Column,
        new: str,
        answer: Answer,
        *,
        kept: bool,
    ) -> bool:
        """Put what was answered into the profile; asked again where it cannot be."""
        key, confirmed = column.key or "", kept or answer.confirmed
        try:
            value: Value | None = None
            if not answer.leaves_out and new and new not in (off_text(key), ""):
                value = read_cell(new, key, "", None, confirmed=confirmed)
            assign(data, key, value, profile)
        except CellError as error:
            self._ask(record, column, error.message, error.advice)
            return False
        record.given.pop(key, None)
        if value is not None:
            self._give(record, column, value, new, confirmed=confirmed, answered=not kept)
        return True

    def _numbers(self, record: Record, column: Column, before: tuple[str, Value | None]) -> None:
        """Ask where a number in the common unit is another than the one as typed."""
        text, amount = self.sheet.at(record.row, column.at), before[1]
        for beside, unit in self.beside[column.key]:
            number = self.sheet.at(record.row, beside.at)
            typed = Fraction(0)
            if isinstance(amount, Amount):
                typed = Pressure.of(amount.number, amount.unit).to(unit)
            if any(abs(typed - told) <= _AS_SHOWN * abs(typed) for told in readings(number)):
                continue
            place = self.sheet.cell_name(record.row, beside.at)
            seen = f'"{cut(number, 30)}"' if number else "nothing"
            told = f'"{cut(text, 30)}" as typed, and {seen} as {beside.text} ({place})'
            self._ask(record, column, f"{told}: one was changed", _ADVICE)

    def _valid(
        self, record: Record, data: dict[str, Any], given: Mapping[str, Given]
    ) -> Profile | None:
        """The profile; None where the format refuses it, which is asked."""
        try:
            return validate_profile(data)
        except ValidationError as error:
            for problem in explain(error, Profile):
                found = given.get(".".join(map(str, problem.path)))
                column = self.whole if found is None else found.column
                self._ask(record, column, problem.message, problem.advice)
            return None

    def _give(
        self,
        record: Record,
        column: Column,
        value: Value,
        text: str,
        *,
        confirmed: bool = False,
        answered: bool = False,
    ) -> None:
        given = Given(value, column, record.header, record.row, text, confirmed, answered)
        record.given[column.key or ""] = given

    def _ask(self, record: Record, column: Column, text: str, advice: str) -> None:
        record.open = True
        cell = self.sheet.at(record.row, column.at)
        names = record.text("instrument.id"), record.text("method.id")
        self.read.questions.append(
            Question(
                *(self.sheet.name, self.sheet.cell_name(record.row, column.at), "cell", str(cell)),
                *(text, advice, "", *names),
            )
        )


_ADVICE = f'answer with what holds, or "{AS_IT_STANDS}" for this cell, or correct the table'


def _cells(
    rows: _Rows, record: Record, data: Mapping[str, Any], profile: Profile
) -> dict[KeyPath, Given]:
    """From which cell each value is: its own, else that of the whole profile."""
    often = Counter(part.part for part in profile.flow_path)
    found: dict[KeyPath, Given] = {}
    answer = rows.told.get((record.row, rows.whole.at))
    sure = answer is not None and answer.keeps(rows.sheet.at(record.row, rows.whole.at))

    def leaf(path: KeyPath, key: str, value: object) -> None:
        own = record.given.get(key)
        if own is not None:
            found[path] = own
        elif not isinstance(value, dict | list):
            text = str(value)
            found[path] = Given(Text(text), rows.whole, record.header, record.row, text, sure)

    for table, values in data.items():
        if isinstance(values, dict):
            for key, value in values.items():
                leaf((table, key), f"{table}.{key}", value)
    for number, part in enumerate(data["flow_path"]):
        for key, value in part.items():
            alone = often[part["part"]] == 1
            leaf(("flow_path", number, key), f"{part['part']}.{key}" if alone else "", value)
    return found

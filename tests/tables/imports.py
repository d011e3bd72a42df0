"""A small table of methods, imported, asked and answered, for the tests of imports."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from pathlib import Path

from limitcheck.tables.answers import Answers, read_answers
from limitcheck.tables.grid import grid_of
from limitcheck.tables.importing import Import, import_grid
from limitcheck.tables.mapping import NOTHING, HeaderMap
from limitcheck.tables.questions import COLUMNS, questions_csv, questions_xlsx

HEADER = (
    "Method;Instrument;High cutoff (bar);Low cutoff (bar);Expected low (bar);Expected high (bar);"
    "Pump rating (bar);Column rating (bar)"
)
ROWS = ("KB-1;LC-3;260;60;120;200;400;400", "KB-2;LC-3;280;60;130;210;400;400")


def imported(
    rows: Sequence[str] = ROWS,
    header: str = HEADER,
    answers: Answers | None = None,
    mapping: HeaderMap = NOTHING,
) -> Import:
    content = "\n".join([header, *rows, ""]).encode()
    return import_grid(grid_of(content, "dir/t.csv", ";"), mapping, answers)


def asked(found: Import) -> list[tuple[str, str]]:
    return [(question.cell, question.about) for question in found.questions]


def answered(found: Import, tmp_path: Path, *answers: str, workbook: bool = False) -> Answers:
    """The table of questions as it is written, filled in and read back."""
    assert len(found.questions) == len(answers)
    if workbook:
        from openpyxl import load_workbook

        path = tmp_path / "q.xlsx"
        path.write_bytes(questions_xlsx(found.questions))
        book = load_workbook(path)
        for row, answer in enumerate(answers, 2):
            book["Questions"].cell(row, COLUMNS.index("answer") + 1).value = answer
        book.save(path)
    else:
        path = tmp_path / "q.csv"
        first, *lines = questions_csv(found.questions).splitlines()
        filled = [line[:-1] + answer + "," for line, answer in zip(lines, answers, strict=True)]
        path.write_text("\r\n".join([first, *filled]), "utf-8")
    return read_answers(str(path))


def tables(found: Import, path: str) -> dict:
    return tomllib.loads({**dict(found.profiles()), **dict(found.shared())}[path])

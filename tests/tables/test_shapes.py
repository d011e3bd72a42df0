"""Tables as laboratories have them, with the profiles they must give and what must be asked."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from limitcheck.tables.answers import Answers, read_answers
from limitcheck.tables.grid import Grid, grid_of
from limitcheck.tables.importing import import_grid
from limitcheck.tables.questions import questions_csv
from limitcheck.tables.written import write_files

from .workbooks import Book, Date, Formula, workbook

SHAPES = sorted(Path(__file__).with_name("shapes").glob("*.toml"))
KEYS = {"about", "encoding", "text", "sheets", "questions", "meant", "answers", "skipped"}
KEYS |= {"comments", "profiles"}


def cell(value: Any) -> object:
    if isinstance(value, dict):
        if "date" in value:
            return Date(value["date"])
        return Formula(value["formula"], value.get("value"))
    return value


def content_of(shape: dict[str, Any]) -> bytes:
    """The bytes of the table."""
    if "text" in shape:
        text = shape["text"].removeprefix("\n")
        return bytes(text.encode(shape.get("encoding", "utf-8")))
    sheets = {}
    for sheet in shape["sheets"]:
        rows = [[cell(value) for value in row] for row in sheet["rows"]]
        more = {key: value for key, value in sheet.items() if key not in ("name", "rows")}
        sheets[sheet["name"]] = Book(rows, **more)
    return workbook(sheets)


def grid(shape: dict[str, Any]) -> Grid:
    return grid_of(content_of(shape), "table.csv" if "text" in shape else "table.xlsx")


@pytest.mark.parametrize("path", SHAPES, ids=lambda path: path.stem)
def test_a_shape_gives_its_profiles_and_questions(path: Path, tmp_path: Path) -> None:
    shape = tomllib.loads(path.read_text("utf-8"))
    assert not shape.keys() - KEYS
    table = grid(shape)
    found = import_grid(table)
    asked = [[question.cell, question.about] for question in found.questions]
    assert asked == shape.get("questions", [])
    if "meant" in shape:
        assert [question.meant for question in found.questions] == shape["meant"]
    assert sum(len(read.skipped) for read in found.reads) == shape.get("skipped", 0)
    if "answers" in shape:
        found = import_grid(
            table, answers=answered(questions_csv(found.questions), shape, tmp_path)
        )
        assert not found.questions
    texts, shared = dict(found.profiles()), dict(found.shared())
    assert texts.keys() == {name for name in shape["profiles"] if "/" not in name}
    for name, tables in shape["profiles"].items():
        made = tomllib.loads({**texts, **shared}[name])
        assert {key: made.get(key) for key in tables} == tables
    for comment in shape.get("comments", []):
        assert any(f"{comment}\n" in text for text in texts.values())
    assert len(write_files(str(tmp_path / "out"), texts, shared).new) == len(texts) + len(shared)


def answered(text: str, shape: dict[str, Any], folder: Path) -> Answers:
    first, *lines = text.splitlines()
    filled = [f"{line[:-1]}{answer}," for line, answer in zip(lines, shape["answers"], strict=True)]
    path = folder / "answers.csv"
    path.write_text("\n".join([first, *filled]), "utf-8")
    return read_answers(str(path))


def test_there_are_at_least_twelve() -> None:
    assert len(SHAPES) >= 12

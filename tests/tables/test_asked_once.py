"""Answers and mapping files that no longer fit the table, and one thing asked once."""

from __future__ import annotations

from pathlib import Path

import pytest

from limitcheck.errors import Refused
from limitcheck.tables.answers import Answer, Answers, key_of
from limitcheck.tables.grid import grid_of
from limitcheck.tables.importing import Import, import_grid
from limitcheck.tables.mapping import NOTHING, read_mapping

HEAD = (
    "Method;Instrument;Unit;High cutoff;Low cutoff;Normal from;Normal to;Pump rating (bar);"
    "Column rating (bar)"
)


def imported(
    *rows: str, name: str = "a.csv", answers: Answers | None = None, head: str = HEAD
) -> Import:
    content = "\n".join((head, *rows, "")).encode()
    return import_grid(grid_of(content, name, ";"), NOTHING, answers)


def answered(found: Import, *texts: str) -> Answers:
    pairs = zip(found.questions, texts, strict=True)
    return Answers({key_of(question): Answer(text, False, question) for question, text in pairs})


@pytest.mark.parametrize(
    ("low", "high", "cells"),
    [
        ("120 or so", "200", ["F2"]),
        ("120 or so", "about", ["F2", "G2"]),
        ("", "200", ["F2"]),
        ("120", "", ["G2"]),
    ],
)
def test_an_end_of_the_band_is_asked_once_and_at_its_cell(
    low: str, high: str, cells: list[str]
) -> None:
    found = imported(f"KB-1;LC-1;bar;250;60;{low};{high};400;400")
    assert [question.cell for question in found.questions] == cells
    assert not found.ready
    settled = imported(
        f"KB-1;LC-1;bar;250;60;{low};{high};400;400",
        answers=answered(found, *("120 bar" if cell == "F2" else "200 bar" for cell in cells)),
    )
    assert not settled.questions
    assert [one.data["expected"] for one in settled.ready] == [{"low": 120, "high": 200}]


def test_an_end_without_a_column_is_asked_at_the_other_end() -> None:
    head = "Method;Instrument;Unit;High cutoff;Normal to"
    found = imported("KB-1;LC-1;bar;250;200", head=head)
    assert [question.cell for question in found.questions] == ["E2"]


def test_answers_hold_when_a_csv_has_another_name_and_more_rows() -> None:
    rows = ["KB-1;LC-1;bar;about 250;60;120;200;400;400", "KB-2;LC-1;bar;2500;60;120;200;400;400"]
    found = imported(*rows)
    answers = answered(found, "250 bar", "250")
    more = "KB-0;LC-1;bar;250;60;120;200;400;400"
    again = imported(more, *reversed(rows), name="register 2026-11.csv", answers=answers)
    assert not again.questions
    assert not again.unused_answers
    assert len(again.ready) == 3


def test_an_answer_to_a_row_that_changed_is_told_and_not_used() -> None:
    found = imported("KB-1;LC-1;bar;about 250;60;120;200;400;400")
    changed = imported(
        "KB-1;LC-1;bar;about 300;60;120;200;400;400", answers=answered(found, "250 bar")
    )
    assert [question.value for question in changed.questions] == ["about 300"]
    assert 'has "about 250" as High cutoff now' in changed.unused_answers[0]


def test_a_wrong_decimal_sign_is_told_with_its_cell() -> None:
    rows = ("KB-1;LC-1;psi;3.600;;;;400;400", "KB-2;LC-1;psi;3.700;;;;400;400")
    found = imported(*rows)
    (question,) = [q for q in found.questions if q.about == "decimal sign"]
    wrong = Answers({key_of(question): Answer("a point", False, question)}, path="open.csv")
    with pytest.raises(Refused, match=r'open\.csv: D1: "a point" is no decimal sign'):
        imported(*rows, answers=wrong)


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        ('[headers]\n"High cutoff" = "cutoffs.hihg"', r':3: \[headers\] "High cutoff": "cutoffs'),
        ('[units]\n"High cutoff" = "mPa"', r':3: \[units\] "High cutoff": "mPa" is no unit'),
        (
            '[units]\n"Low cutoff" = "mm"',
            r':3: \[units\] "Low cutoff" is "mm", no unit of pressure',
        ),
        ('[headers]\n"Gone" = "cutoffs.low"', r':3: \[headers\] "Gone": the table has no such'),
    ],
)
def test_a_line_of_a_mapping_that_does_not_fit_is_named(
    lines: str, told: str, tmp_path: Path
) -> None:
    path = tmp_path / "map.toml"
    path.write_text(f"mapping = 1\n{lines}\n", "utf-8")
    content = f"{HEAD}\nKB-1;LC-1;bar;250;60;120;200;400;400\n".encode()
    with pytest.raises(Refused, match=told):
        import_grid(grid_of(content, "a.csv", ";"), read_mapping(str(path)))

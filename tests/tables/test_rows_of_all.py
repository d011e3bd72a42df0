"""A row of totals or averages is never a method, whatever else it names."""

from __future__ import annotations

import pytest

from limitcheck.tables.answers import Answers
from limitcheck.tables.importing import Import

from .imports import answered, asked, imported

HEADER = "Method;Instrument;High cutoff (bar);Low cutoff (bar)"
ROWS = ("A;LC-1;250;30", "B;LC-1;260;40")


def with_row(name: str, instrument: str, answers: Answers | None = None) -> Import:
    return imported((*ROWS, f"{name};{instrument};255;35"), HEADER, answers)


@pytest.mark.parametrize("instrument", ["LC-1", ""])
@pytest.mark.parametrize(
    "name",
    [
        *("Total", "average", "Avg.", "Mean", "SUM", "Median", "Max", "Min.", "Ø", "n =", "RSD"),
        *("Mittelwert", "Summe", "Durchschnitt", "Moyenne", "Totaux", "Std. dev.", "Range"),
    ],
)
def test_a_row_of_all_rows_is_no_method(name: str, instrument: str) -> None:
    found = with_row(name, instrument)
    assert [one.record.text("method.id") for one in found.ready] == ["A", "B"]
    skipped = any(line.startswith("A4") for line in found.not_looked_at())
    assert skipped or ("A4", "cell") in asked(found)


def test_a_method_of_that_name_is_confirmed(tmp_path) -> None:
    found = with_row("Range", "LC-1")
    told = with_row("Range", "LC-1", answered(found, tmp_path, "as it stands"))
    assert [one.record.text("method.id") for one in told.ready] == ["A", "B", "Range"]


@pytest.mark.parametrize("name", ["Mean residues", "Total organic 3", "KB-SUM", "Max-1"])
def test_a_name_that_holds_such_a_word_is_one(name: str) -> None:
    assert len(with_row(name, "LC-1").ready) == 3

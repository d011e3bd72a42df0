"""Notes under the rows, and rows that the table itself says are out of use."""

from __future__ import annotations

from pathlib import Path

import pytest

from .imports import HEADER, ROWS, answered, asked, imported

NOTES = [
    "* limits in psi for LC-3",
    "Note: from 1 June 2025 the values of LC-3 are in psi",
    "Cutoffs of LC-3 are raised by 10 %",
    "KB-2 is withdrawn",
]


@pytest.mark.parametrize("note", NOTES)
def test_a_note_under_the_rows_keeps_the_rows_above(note: str, tmp_path: Path) -> None:
    found = imported([*ROWS, "", note])
    assert asked(found) == [("A5", "cell")]
    assert "the rows above" in found.questions[0].text
    assert not found.ready
    again = imported([*ROWS, "", note], answers=answered(found, tmp_path, "as it stands"))
    assert not again.questions
    assert len(again.ready) == 2


@pytest.mark.parametrize("note", NOTES)
def test_a_note_between_rows_keeps_the_rows_below_and_one_at_the_end_all(note: str) -> None:
    found = imported([ROWS[0], note, ROWS[1]])
    assert asked(found) == [("A3", "cell")]
    assert [one.record.text("method.id") for one in found.ready] == ["KB-1"]
    found = imported([ROWS[0], note, ROWS[1], f"{note}!"])
    assert asked(found) == [("A3", "cell"), ("A5", "cell")]
    assert not found.ready


@pytest.mark.parametrize(
    "note", ["All pressures in bar", "Limits approved by QA 2026-03-01", "Page 1 of 1", "Room 3"]
)
def test_a_note_that_changes_nothing_is_only_said(note: str) -> None:
    found = imported([*ROWS, note])
    assert not found.questions
    assert len(found.ready) == 2
    assert note in " ".join(found.not_looked_at())


@pytest.mark.parametrize(
    ("header", "cell"),
    [
        ("Remarks", "withdrawn 2024"),
        ("Remarks", "Do not use"),
        ("Comment", "superseded by KB-9"),
        ("Column state", "obsolete"),
        ("Obsolete", "x"),
        ("Withdrawn on", "2024-05-01"),
        ("Retired", "yes"),
        ("Bemerkung", "außer Betrieb"),
    ],
)
def test_a_row_that_says_it_is_out_of_use_is_asked(header: str, cell: str, tmp_path: Path) -> None:
    rows = [f"{ROWS[0]};", f"{ROWS[1]};{cell}"]
    found = imported(rows, f"{HEADER};{header}")
    assert asked(found) == [("I3", "cell")]
    assert "may be out of use" in found.questions[0].text
    assert [one.record.text("method.id") for one in found.ready] == ["KB-1"]
    for answer, ready in (("as it stands", 2), ("leave out", 1)):
        again = imported(rows, f"{HEADER};{header}", answered(found, tmp_path, answer))
        assert not again.questions
        assert (len(again.ready), again.waiting) == (ready, 0)


@pytest.mark.parametrize("header", ["Status", "State", "Method status", "Statut"])
@pytest.mark.parametrize("cell", ["withdrawn", "Obsolete", "RETIRED", "inactive"])
def test_a_row_whose_status_is_out_of_use_is_left_out_and_said(header: str, cell: str) -> None:
    found = imported([f"{ROWS[0]};active", f"{ROWS[1]};{cell}"], f"{HEADER};{header}")
    assert not found.questions
    assert [one.record.text("method.id") for one in found.ready] == ["KB-1"]
    assert any("I3" in told and "left out" in told for told in found.not_looked_at())


@pytest.mark.parametrize(
    ("header", "cell"), [("Status", "active"), ("Obsolete", "no"), ("Obsolete", ""), ("Note", "ok")]
)
def test_a_row_in_use_is_read(header: str, cell: str) -> None:
    found = imported([f"{ROWS[0]};{cell}", ROWS[1]], f"{HEADER};{header}")
    assert not found.questions
    assert len(found.ready) == 2

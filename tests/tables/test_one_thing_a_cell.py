"""Cells that may hold several things, numbers that hold more than one, and rows not in force."""

from __future__ import annotations

import pytest

from .imports import HEADER, ROWS, imported, tables

ASKED_OF_C2 = {
    "100-200 bar": "two numbers, a range",
    "200 to 220 bar": "two numbers, a range",
    "200 ± 10 bar": "a number and a tolerance",
    "200/220": "more than one number",
    "200 bar, 230 at 40 °C": "more than one number",
    "2OO": "letters among its digits",
    "20O bar": "letters among its digits",
    "2l0": "letters among its digits",
    "200\u200b": 'a sign that nobody sees|"200<U+200B>"',
    "0200": "begins with 0",
    "\u202a200": '"<U+202A>200" is not a number',
}


@pytest.mark.parametrize(("cell", "told"), ASKED_OF_C2.items())
def test_what_follows_a_number_is_called_what_it_is(cell: str, told: str) -> None:
    found = imported([f"KB-1;LC-3;{cell};60;120;200;400;400", ROWS[1]])
    assert [one.cell for one in found.questions] == ["C2"]
    assert all(words in found.questions[0].text for words in told.split("|"))


@pytest.mark.parametrize("cell", ["200 kgf/cm2", "20 N/mm2"])
def test_a_unit_with_digits_is_a_unit(cell: str) -> None:
    found = imported([f"KB-1;LC-3;{cell}"], "Method;Instrument;High cutoff")
    assert not found.questions
    assert found.ready[0].whole["instrument"]["pressure_unit"] != "bar"


@pytest.mark.parametrize("cell", ["KB-1, KB-2", '"KB-1\nKB-2"', "KB-1 to KB-4", "KB-5 - KB-9"])
def test_several_methods_in_a_cell_are_asked(cell: str) -> None:
    found = imported([f"{cell};LC-3;260;60;120;200;400;400", ROWS[1].replace("KB-2", "KB-22")])
    assert [one.cell for one in found.questions] == ["A2"]
    assert len(found.ready) == 1


@pytest.mark.parametrize("cell", ["Caffeine, Theobromine", "KB-TEA-014 / B", "KB-1-2"])
def test_a_name_of_several_words_is_one(cell: str) -> None:
    assert not imported([f"{cell};LC-3;260;60;120;200;400;400"]).questions


@pytest.mark.parametrize("cell", ["C1, C2", "C1/C2", "C-01 and C-02", "C1 or C2"])
def test_several_columns_in_a_cell_are_asked(cell: str) -> None:
    found = imported([f"{ROWS[0]};{cell}", f"{ROWS[1]};X9"], f"{HEADER};Column")
    assert [one.cell for one in found.questions] == ["I2"]
    assert len(found.ready) == 1


@pytest.mark.parametrize("cell", ["C18, 150 x 4.6 mm", "Phenyl, Hexyl", "125/4"])
def test_a_column_with_its_size_is_one(cell: str) -> None:
    assert not imported([f"{ROWS[0]};{cell}"], f"{HEADER};Column").questions


@pytest.mark.parametrize(
    ("ratings", "is_asked"),
    [
        (("1 350", "400"), True),
        (("1 350 bar", "400"), True),
        (("1 350", "1 200"), False),
        (("1 000", "400"), False),
        (("1'350", "400"), False),
        (("5 800 psi", "400"), False),
    ],
)
def test_thousands_with_a_space_are_shown_by_the_column(
    ratings: tuple[str, str], is_asked: bool
) -> None:
    rows = [f"KB-{at};LC-{at};260;60;120;200;{one};400" for at, one in enumerate(ratings, 1)]
    assert [one.cell for one in imported(rows).questions] == (["G2"] if is_asked else [])


@pytest.mark.parametrize(
    ("header", "cell"),
    [
        ("Status", "Draft"),
        ("State", "pending approval"),
        ("Approved", "no"),
        ("In use", "No"),
        ("Status", "not yet approved"),
    ],
)
def test_a_row_that_is_not_in_force_yet_is_asked(header: str, cell: str) -> None:
    rows = [f"{ROWS[0]};{cell}", f"{ROWS[1]};yes"]
    found = imported(rows, f"{HEADER};{header}")
    assert [one.cell for one in found.questions] == ["I2"]
    assert [one.record.text("method.id") for one in found.ready] == ["KB-2"]


def test_a_high_cutoff_of_zero_is_asked_of_its_own_cell_alone() -> None:
    found = imported(["KB-1;LC-3;0;60;120;200;400;400", ROWS[1]])
    assert [one.cell for one in found.questions] == ["C2"]
    assert "leave out" in found.questions[0].advice


@pytest.mark.parametrize(
    ("sizes", "cell"), [("1500;4.6;5", "J2"), ("5000;4.6;5", "J2"), ("150;460;5", "K2")]
)
def test_a_size_that_no_column_has_is_asked(sizes: str, cell: str) -> None:
    header = f"{HEADER};Column;Column length (mm);Column bore (mm);Particle size (um)"
    found = imported([f"{ROWS[0]};C-1;{sizes}"], header)
    assert [one.cell for one in found.questions] == [cell]


def test_the_rating_of_a_guard_column_is_its_own() -> None:
    header = f"{HEADER};Guard column rating (bar);Detector cell rating (bar)"
    found = imported([f"{ROWS[0]};300;60", f"{ROWS[1]};;60"], header)
    assert not found.questions
    parts = [(part["part"], part.get("rating")) for part in found.ready[0].whole["flow_path"]]
    assert parts == [
        ("pump", "400 bar"),
        ("guard column", "300 bar"),
        ("column", "400 bar"),
        ("detector cell", "60 bar"),
    ]
    assert found.ready[0].cells["flow_path", 3, "rating"].cell == "J2"
    assert tables(found, "kb-2-lc-3.toml")["flow_path"][1]["part"] == "column"

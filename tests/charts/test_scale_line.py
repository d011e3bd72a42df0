"""The pressure scale in one line: order, distance and legend, in any numbers."""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.charts.scale import profile_scale
from limitcheck.charts.scale_line import ASCII, SIGNS, scale_line
from limitcheck.checking.marks import Mark, Marks, marks_of
from limitcheck.documents.blocks import Document
from limitcheck.profile.load import load_bytes
from limitcheck.render.scale_text import scale_lines
from limitcheck.render.screen import Screen
from limitcheck.render.text import render

from ..profiles_for_tests import text
from ..render.runs import GOOD


def lines_of(marks: Marks, width: int, signs: bool = False) -> list[str]:
    return list(scale_lines(marks, Screen(width, signs=signs)))


AMOUNTS = st.fractions(min_value=Fraction(1, 100), max_value=20000, max_denominator=1000)


@st.composite
def any_marks(draw: st.DrawFn) -> Marks:
    band = sorted((draw(AMOUNTS), draw(AMOUNTS)))
    found = [
        Mark("low", draw(AMOUNTS), "L"),
        Mark("band from", band[0], "from"),
        Mark("band to", band[1], "to"),
        Mark("high", draw(AMOUNTS), "H"),
        Mark("weakest", draw(AMOUNTS), "W"),
    ]
    return Marks("bar", tuple(found), "pump")


@given(any_marks(), st.sampled_from([58, 78, 98]), st.sampled_from([SIGNS, ASCII]))
def test_what_is_higher_stands_further_right(marks: Marks, width: int, signs) -> None:
    found = scale_line(marks, width, signs)
    assert found is not None
    line = "".join(text for _, text in found.line)
    assert len(line) <= width
    amount = {mark.kind: mark.amount for mark in marks.marks}
    at = {
        "low": line.index(signs.low),
        "high": line.index(signs.high),
        "weakest": line.index(signs.rating),
    }
    for (one, left), (other, right) in permutations(at.items(), 2):
        if amount[one] < amount[other]:
            assert left < right
    band = [place for place, sign in enumerate(line) if sign == signs.band]
    for kind, place in at.items():
        if amount[kind] < amount["band from"]:
            assert place < min(band)
        if amount[kind] > amount["band to"]:
            assert place > max(band)


def test_the_numbers_of_a_profile_stand_in_proportion() -> None:
    """By hand: 0 to 400 bar on 67 cells, so that 110 bar stands in cell 110/400 x 66 = 18.15."""
    marks = marks_of(load_bytes(GOOD.encode(), "tea.toml").profile, doubt="")
    line, *legend = lines_of(marks, 77)
    assert line.startswith("0 ")
    assert line.endswith(" 400 bar")
    cells = line[2:-8]
    assert len(cells) == 67
    assert [cells.index(sign) for sign in (">", "#", "<", "|")] == [5, 10, 18, 57]
    assert cells.rindex("#") == 14
    assert legend == [
        "> low cutoff 30   # normal 60 to 85   < high cutoff 110",
        "| weakest rating 345 (fitting (column inlet))",
    ]


def test_equal_numbers_keep_the_cutoff_on_the_inner_side() -> None:
    marks = Marks(
        "bar", (Mark("high", Fraction(400), "400"), Mark("weakest", Fraction(400), "400"))
    )
    assert "<|" in lines_of(marks, 60)[0]
    above = Marks(
        "bar",
        (Mark("high", Fraction(4000001, 10000), "400.0001"), Mark("weakest", Fraction(400), "")),
    )
    assert "|<" in lines_of(above, 60)[0]


def test_a_cutoff_at_an_end_of_the_band_stands_outside_of_it() -> None:
    numbers = {"low": 60, "band from": 60, "band to": 85, "high": 85}
    marks = Marks("bar", tuple(Mark(kind, Fraction(n), str(n)) for kind, n in numbers.items()))
    line = lines_of(marks, 60)[0]
    assert re.fullmatch(r"0 -+>#+<-+ 100 bar", line), line


def test_a_part_behind_the_column_may_stand_behind_the_break_too() -> None:
    """500 bar are less than twice 300, but 300 bar more than twice all the rest."""
    numbers = {"low": 10, "weakest": 100, "behind": 300, "high": 500}
    marks = Marks("bar", tuple(Mark(kind, Fraction(n), str(n)) for kind, n in numbers.items()))
    assert re.fullmatch(r"0 -+>-+\| 100 bar //!<", lines_of(marks, 60)[0])


def test_a_cutoff_far_above_all_stands_behind_a_break() -> None:
    profile = load_bytes(GOOD.replace("high = 110", "high = 6000").encode(), "tea.toml").profile
    line = lines_of(marks_of(profile, doubt=""), 78, signs=True)[0]
    assert line.endswith("║── 400 bar ╱╱◄") or line.endswith("─ 400 bar ╱╱◄")


def test_without_a_cutoff_there_is_no_line_to_draw() -> None:
    text = GOOD.replace("[cutoffs]\nhigh = 110\nlow = 30\n", "")
    assert lines_of(marks_of(load_bytes(text.encode(), "tea.toml").profile, doubt=""), 78) == []


def test_a_cutoff_that_is_off_has_no_place_on_the_scale() -> None:
    text = GOOD.replace("low = 30", "low = 0")
    marks = marks_of(load_bytes(text.encode(), "tea.toml").profile, doubt="")
    assert {mark.kind for mark in marks.marks} == {"band from", "band to", "high", "weakest"}
    assert ">" not in lines_of(marks, 78)[0]


def test_a_rating_in_another_unit_is_never_rounded_onto_a_cutoff() -> None:
    """5000 psi is 344.7379 bar (exact factor: NIST SP 811): rounded 344.7 or 344.74."""
    text = GOOD.replace('"345 bar"', '"5000 psi"').replace("high = 110", "high = 344.7")
    found = marks_of(load_bytes(text.encode(), "a").profile, doubt="")
    marks = {mark.kind: mark for mark in found.marks}
    assert marks["high"].text == "344.7"
    assert marks["weakest"].text == "344.73"
    text = text.replace("344.7", "110")
    found = marks_of(load_bytes(text.encode(), "a").profile, doubt="")
    marks = {mark.kind: mark for mark in found.marks}
    assert marks["weakest"].text == "344"  # what may be typed: 344.7379 rounded down to a step


@pytest.mark.parametrize(
    ("step", "high", "shown"),
    [("1", "300", "413"), ("0.1", "413.6", "413.68"), ("1", "413.5", "413.6"), ("5", "300", "410")],
)
def test_a_rating_in_another_unit_is_rounded_down(step: str, high: str, shown: str) -> None:
    """6000 psi is 413.6854 bar, so 413.7 would be above it."""
    profile = load_bytes(text(high=high, pump='"6000 psi"', step=step).encode(), "a").profile
    assert {mark.kind: mark.text for mark in marks_of(profile, doubt="").marks}["weakest"] == shown


def with_cell(high: str, *cells: str) -> str:
    parts = "".join(f'\n[[flow_path]]\npart = "detector cell"\nrating = "{c}"\n' for c in cells)
    file = load_bytes((text(high=high) + parts).encode(), "a.toml")
    return " ".join(lines_of(marks_of(file.profile, doubt=""), 78))


def test_a_part_behind_the_column_that_is_not_protected_is_said() -> None:
    """A blocked outlet puts the whole high cutoff on it; in a picture it is marked."""
    told = "! behind the column: detector cell 60, less than the high cutoff"
    assert told in with_cell("250", "60 bar")
    assert "behind the column: detector cell 40 and 1 more, less" in with_cell(
        "250", "60 bar", "40 bar"
    )
    assert "! behind the column: detector cell 60, no high cutoff" in with_cell("0", "60 bar")
    assert "behind the column" not in with_cell("250", "250 bar")
    assert "detector cell 249.99, less than" in with_cell("250", "249.99 bar")
    assert "detector cell 150, less than" in with_cell("250", "2176 psi")  # 150.03 bar
    assert "detector cell 149, less than" in with_cell("250", "2175 psi")  # 149.96 bar


@pytest.mark.parametrize("signs", [True, False])
@pytest.mark.parametrize("width", [60, 61, 80, 100])
def test_line_and_legend_fit_the_width_in_every_output(width: int, signs: bool) -> None:
    """One line unbroken, in a run and in a document, with the same signs in both."""
    cell = (
        '\n[[flow_path]]\npart = "detector cell"\nlabel = "of the second lamp"\nrating = "60 bar"\n'
    )
    file = load_bytes((text(high="250") + cell).encode(), "a.toml")
    marks, screen = marks_of(file.profile, doubt=""), Screen(width, signs=signs)
    document = Document("t", (profile_scale(file.profile, doubt=""),), (), (), "2026-05-01")
    alone = render(document, screen).splitlines()
    below = list(scale_lines(marks, screen, 2))
    for lines in (alone, below):
        assert max(map(len, lines)) <= width
        assert sum(line.strip().endswith(" 400 bar") for line in lines) == 1
        assert lines[0].count("!") == 1
        assert ("►" in lines[0]) == signs
        assert lines[0].index("!") < lines[0].index("◄" if signs else "<")
        assert "less than the high cutoff" in " ".join(" ".join(lines).split())
    assert "! behind the column" in " ".join(below)


@given(any_marks())
def test_a_part_behind_the_column_keeps_its_place_on_the_line(marks: Marks) -> None:
    low, high = marks.marks[0].amount, marks.marks[3].amount
    behind = Mark("behind", (low + high) / 2, "B")
    line = lines_of(marks._replace(marks=(*marks.marks, behind)), 78)[0]
    if low < high:
        assert line.index(">") < line.index("!") < line.index("<")

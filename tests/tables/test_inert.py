"""Text in a CSV: never run by a spreadsheet, and the same when read back."""

from __future__ import annotations

import csv
import io
import re

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from limitcheck.tables.inert import as_meant, inert

STEERING = "=+-@\t\r"
texts = st.one_of(
    st.text(alphabet="=+-@＝\t\r\n '\";,|aB1\u00a0\ufeff", max_size=12), st.text(max_size=40)
)


def runs(cell: str) -> bool:
    """Whether a spreadsheet may run a cell, by a rule of its own: blanks and quotes skipped.

    An apostrophe in front makes text: in no spreadsheet is what follows it run.
    """
    if cell.lstrip(" \u00a0\ufeff\n").startswith("'"):
        return False
    rest = cell.lstrip(" \u00a0\ufeff\n\"'")
    return rest[:1] in {*STEERING, "＝", "＋", "－", "＠"} and rest != ""


@given(texts)
@example("\t\t=")
@example("''=")
@example("a;'=b")
@example("\r\n-")
def test_reads_back_as_it_was(text: str) -> None:
    assert as_meant(inert(text)) == text


@given(texts)
def test_is_never_run_whatever_separates_cells(text: str) -> None:
    written = inert(text)
    for separator in (",", ";", "|", "\n", "\t"):
        for cell in written.split(separator):
            assert not runs(cell), (written, separator, cell)


@given(texts)
def test_goes_through_a_csv(text: str) -> None:
    out = io.StringIO(newline="")
    csv.writer(out).writerow([inert(text), "next"])
    (row,) = csv.reader(io.StringIO(out.getvalue(), newline=""))
    assert [as_meant(cell) for cell in row] == [text, "next"]


@pytest.mark.parametrize("text", ["KB-TEA-014", "4000 psi", "tea, isocratic", "it's", "a-b", ""])
def test_other_text_stays_as_it_is(text: str) -> None:
    assert inert(text) == as_meant(text) == text


@pytest.mark.parametrize("sign", STEERING)
@pytest.mark.parametrize("before", ["", " ", '"', "' ", "\u00a0"])
def test_each_beginning_is_made_text(sign: str, before: str) -> None:
    assert re.match("'", inert(f"{before}{sign}cmd"))

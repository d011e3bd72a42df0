"""Any document as text for a terminal."""

from __future__ import annotations

import io
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.cli.terminal import width_of
from limitcheck.documents.blocks import (
    Blanks,
    Block,
    Bullets,
    Chapter,
    Document,
    Facts,
    FindingBlock,
    Section,
    Table,
    Text,
    ToType,
)
from limitcheck.render.screen import Screen
from limitcheck.render.text import render

from .strategies import DOCUMENTS, tables


def document(*blocks: Block, in_record: bool = False) -> Document:
    section = Section("Why", blocks, in_record=in_record)
    summary = (Text("Do not type 400."), ToType("high", "5801", "psi"))
    return Document("The title", summary, (Chapter("One", (section,)),), (), "2026-11-25")


def columns(line: str) -> int:
    """Terminal columns after Unicode's East Asian Width (UAX 11) and combining marks."""
    return sum(
        0
        if unicodedata.category(sign) in ("Mn", "Me", "Cf")
        else 2
        if unicodedata.east_asian_width(sign) in "WF"
        else 1
        for sign in line
    )


@given(DOCUMENTS, st.sampled_from([60, 80, 120]), st.booleans())
def test_any_document_fits_and_steers_nothing(doc: Document, width: int, record: bool) -> None:
    text = render(doc, Screen(width), record=record)
    assert text.endswith("\n")
    for line in text.split("\n"):
        assert line == line.rstrip()
        assert columns(line) <= width
        assert not any(unicodedata.category(sign) in ("Cc", "Cs") for sign in line)


@given(tables(), st.sampled_from([60, 80]))
def test_no_figure_of_a_table_is_cut(table: Table, width: int) -> None:
    text = render(document(table), Screen(width))
    for row in table.rows:
        for number in table.figures:
            assert any(row[number] in line.split() for line in text.splitlines())


def test_a_terminal_shows_the_answer_and_a_record_everything() -> None:
    shown = document(Text("The reason."))
    kept = document(Text("The hashes."), in_record=True)
    assert render(shown) == ("Do not type 400.\n    high = 5801 (psi)\n\nWhy\n  The reason.\n")
    assert "hashes" not in render(kept)
    record = render(kept, record=True)
    assert record.startswith("The title\n=========\n\nDo not type 400.\n")
    assert "One\n---\n\nWhy\n  The hashes.\n" in record
    assert record.endswith("Made by limitcheck 0.1.0 on 2026-11-25.\n")


def test_figures_stand_in_columns_under_their_headings() -> None:
    rows = (("column", "100.5", "9 %"), ("tubing before the injector", "1", "91 %"))
    text = render(document(Table("By part, in bar", ("Part", "Central", "Share"), rows, (1, 2))))
    assert text.splitlines()[4:] == [
        "  By part, in bar",
        "  Part                        Central  Share",
        "  ------------------------------------------",
        "  column                        100.5    9 %",
        "  tubing before the injector        1   91 %",
    ]


def test_words_of_a_table_wrap_while_its_figures_do_not() -> None:
    told = "the viscosity rises, and with it the pressure of everything after the oven " * 2
    rows = (("heater off", told, "1234.5 bar"),)
    lines = render(document(Table("", ("Fault", "What happens", "High"), rows, (2,)))).splitlines()
    (row,) = (line for line in lines if "heater off" in line)
    assert row.endswith("1234.5 bar")
    assert len(lines) > lines.index(row) + 2


def test_a_table_too_wide_is_stacked_and_hashes_stay_whole() -> None:
    digest = "0123456789abcdef" * 4
    text = render(document(Table("Files", ("File", "SHA-256"), (("a/long/name.toml", digest),))))
    assert f"    a/long/name.toml\n      SHA-256:  {digest}\n" in text


def test_wide_characters_take_two_columns() -> None:
    rows = (("流動相", "1"), ("water", "2"))
    lines = render(document(Table("", ("Name", "Bar"), rows, (1,)))).splitlines()[-2:]
    assert [columns(line) for line in lines] == [columns(lines[0])] * 2


def test_a_number_stays_with_its_unit() -> None:
    for shift in range(30):
        text = render(document(Text(f"{'x' * (45 + shift)} to 400 bar and 1.0 mL/min")))
        assert "400 bar" in text
        assert "1.0 mL/min" in text


def test_a_finding_shows_its_line_with_carets_and_what_to_type() -> None:
    finding = FindingBlock(
        "error",
        "unit-confusion",
        "likely",
        "tea.toml:12:8",
        "In psi.",
        "check it",
        (ToType("high", "250", "bar", "likely"),),
        ("See tea.toml:3:1: bar",),
        12,
        "high = 3625",
        (7, 11),
    )
    text = render(document(finding))
    assert text.endswith(
        "Why\n"
        "  tea.toml:12:8: error: unit-confusion, likely\n"
        "    12 | high = 3625\n"
        "       |        ^^^^\n"
        "    In psi.\n"
        "    Do: check it\n"
        "    Type: high = 250 (bar), likely\n"
        "    See tea.toml:3:1: bar\n"
    )


def test_lists_facts_and_blanks() -> None:
    text = render(
        document(
            Text("In this order:"),
            Bullets(("open the outlet", "read"), numbered=True),
            Facts((("Flow", "1 mL/min"), ("Column temperature", "35 degC"))),
            Blanks(("Reviewed by",)),
        )
    )
    assert "  In this order:\n  1. open the outlet\n  2. read\n\n" in text
    assert "  Flow:                1 mL/min\n  Column temperature:  35 degC\n" in text
    assert "  Reviewed by: ____" in text


@pytest.mark.parametrize(
    ("given", "width"), [("100", 100), ("60", 60), ("20", 60), ("", 80), ("x", 80), (None, 80)]
)
def test_the_width_of_the_terminal(
    given: str | None, width: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("COLUMNS", raising=False)
    if given is not None:
        monkeypatch.setenv("COLUMNS", given)
    assert width_of(io.StringIO()) == width


def test_a_long_name_takes_no_table_apart():
    """At 60 columns every profile of a fleet with one long path took four lines."""
    rows = (("./site/of-a-name/longer-than-most.toml", "error", "12 %", "777"),)
    table = Table("", ("Method", "State", "Headroom", "High"), rows, (2, 3), (), (3,))
    seen = {}
    for width in (80, 40, 30):
        told = render(document(table), Screen(width=width))
        assert max(map(columns, told.splitlines())) <= width
        seen[width] = ["State:" in told, "No room here for: High." in told, "777" in told]
        assert "12 %" in told
    assert seen == {80: [False, False, True], 40: [False, True, False], 30: [True, False, True]}

"""The record of a transfer as a page: what a reviewer signs."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pint
import pytest

from limitcheck.cli.app import run as limitcheck
from limitcheck.documents.blocks import Table
from limitcheck.documents.transfer import transfer_document
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import load, load_bytes
from limitcheck.transfer import transfer
from limitcheck.transfer.record import pressures
from limitcheck.transfer.ruling import EQUAL
from tests.profiles_for_tests import CONTROL
from tests.render.runs import DAY, GOOD
from tests.render.test_html_pdf import strings, words

UNITS = pint.UnitRegistry(non_int_type=Fraction)
EXAMPLES = Path(__file__).parents[2] / "examples/transfer"


def record(receiving, sending="kestrel-bay"):
    files = [load(EXAMPLES / f"{name}.toml") for name in (sending, receiving)]
    return transfer(*files, (DEFAULT_POLICY, DEFAULT_POLICY), DAY)


@pytest.mark.parametrize("receiving", ["harrow-mill-07", "harrow-mill-copied"])
def test_the_record_holds_decision_reasons_hashes_and_blanks(receiving):
    found = record(receiving)
    document = transfer_document(found, CONTROL)
    told = set(strings(document))
    assert document.summary[0].text.startswith(
        f"Transfer of KB-TEA-031 revision A from KB-LC-05 to HM-LC-07: {found.decision}"
    )
    assert {reason.text for reason in found.reasons} <= told
    rows = next(block for block in document.blocks if isinstance(block, Table)).rows
    assert [row[:3] for row in rows] == [item[:3] for item in found.rulings]
    for row, item in zip(rows, found.rulings, strict=True):
        assert row[3].startswith(item.ruling)
        assert item.rule in row[3] or item.rule == EQUAL
    assert {item.source for item in found.rulings if item.source} <= told
    for side in (found.sending, found.receiving):
        assert {side.file.sha256, *(used.sha256 for used in side.file.uses)} <= told
    assert {"Printed name", "Date and time", "Signature"} <= told
    assert document.day == "2026-11-25"


def test_every_pressure_of_both_sides_is_in_a_table():
    found = record("harrow-mill-07")
    tables = [
        block
        for section in transfer_document(found, CONTROL).chapters[0].sections
        for block in section.blocks
        if isinstance(block, Table) and block.caption.startswith("Every pressure")
    ]
    for side, table in zip((found.sending, found.receiving), tables, strict=True):
        listed = [pressure for _, pressure in pressures(side.profile)]
        assert [row[1] for row in table.rows] == [str(pressure) for pressure in listed]
        assert set(table.columns[2:]) == {"bar", "psi"}
        for pressure, (_, _, *shown) in zip(listed, table.rows, strict=True):
            exact = UNITS.Quantity(Fraction(pressure.number), pressure.unit)  # pint
            for unit, figure in zip(table.columns[2:], shown, strict=True):
                assert float(figure) == pytest.approx(float(exact.to(unit).magnitude), rel=1e-8)


def test_a_side_without_cutoffs_or_expected_pressure(tmp_path):
    bare = re.sub(r"\[cutoffs\][^[]*\[expected\][^[]*", "", GOOD)
    sides = [load_bytes(text.encode(), name) for text, name in ((bare, "a.toml"), (GOOD, "b.toml"))]
    for first, second in (sides, sides[::-1]):
        found = transfer(first, second, (DEFAULT_POLICY, DEFAULT_POLICY), DAY)
        assert "not given" in set(strings(transfer_document(found, CONTROL)))


def test_the_command_writes_both_kinds_from_one_run(tmp_path, capsys):
    command = [
        "transfer",
        *(str(EXAMPLES / f"{n}.toml") for n in ("kestrel-bay", "harrow-mill-07")),
    ]
    html, pdf = tmp_path / "record.html", tmp_path / "record.pdf"
    assert limitcheck([*command, "--output", f"html={html}", "--output", f"pdf={pdf}"]) == 0
    assert "to HM-LC-07: accept, on 1 condition." in words(html.read_text("utf-8"))
    assert pdf.read_bytes().startswith(b"%PDF")
    for wrong in ("htm=a.html", "html", "html="):
        assert limitcheck([*command, "--output", wrong]) == 2
        assert "no known format" in capsys.readouterr().err

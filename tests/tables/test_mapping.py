"""A mapping file: written, read back, refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from limitcheck.errors import LimitcheckError
from limitcheck.tables.grid import grid_of
from limitcheck.tables.importing import import_grid
from limitcheck.tables.mapping import mapping_text, read_mapping

from .imports import imported, tables
from .workbooks import Book, workbook


def test_a_mapping_is_written_and_read_back(tmp_path: Path) -> None:
    header = "Meth;LC;Pmax;Remarks"
    rows = ["KB-1;LC-3;260;x", "KB-2;LC-3;280;y"]
    path = tmp_path / "map.toml"
    path.write_text(
        'mapping = 1\n[headers]\nMeth = "method.id"\nPmax = "cutoffs.high"\n'
        'LC = "instrument.id"\nRemarks = "leave out"\n[units]\nPmax = "bar"\n',
        "utf-8",
    )
    mapping = read_mapping(str(path))
    found = imported(rows, header, mapping=mapping)
    assert tables(found, "kb-1-lc-3.toml")["cutoffs"] == {"high": 260}
    again = tmp_path / "again.toml"
    again.write_text(mapping_text([read.header for read in found.reads], None), "utf-8")
    assert read_mapping(str(again)).chosen == mapping.chosen


def test_a_header_on_two_sheets_is_mapped_with_its_sheet(tmp_path: Path) -> None:
    """A column's rating and a pump's have the same header: neither may become the other."""
    grid = grid_of(workbook(BOOK), "t.xlsx")
    found = import_grid(grid)
    path = tmp_path / "map.toml"
    path.write_text(mapping_text([read.header for read in found.reads], None), "utf-8")
    text = path.read_text("utf-8")
    assert '"Columns!Max pressure (bar)" = "column.rating"' in text
    again = import_grid(grid, read_mapping(str(path)))
    assert dict(again.profiles()) == dict(found.profiles())
    assert dict(again.shared()) == dict(found.shared())
    path.write_text('mapping = 1\n[headers]\n\n"Max pressure (bar)" = "pump.rating"\n', "utf-8")
    with pytest.raises(LimitcheckError, match="sheets Columns and Instruments"):
        import_grid(grid, read_mapping(str(path)))


BOOK = {
    "Methods": Book(
        [["Method", "Instrument", "Column", "High cutoff (bar)", "Low cutoff (bar)"],
         ["KB-1", "LC-3", "C-12", 250, 30]]
    ),
    "Columns": Book([["Column", "Max pressure (bar)", "Length (mm)"], ["C-12", 300, 150]]),
    "Instruments": Book([["Instrument", "Max pressure (bar)", "Shows"], ["LC-3", 400, "bar"]]),
}  # fmt: skip


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        ('[headers]\n"Typo header" = "cutoffs.low"', ':3: [headers] "Typo header": the table has'),
        ('[headers]\n"High cutof (bar)" = "cutoffs.high"', 'did you mean "High cutoff (bar)"'),
        ('[units]\n\n"High cutoff (bar)" = "psi"', ':4: [units] "High cutoff (bar)" is "psi", and'),
        ('[headers]\nPmax = "leave out"\npmax = "cutoffs.low"', ":4: [headers]"),
    ],
)
def test_a_mapping_that_does_not_fit_its_table_is_refused(
    tmp_path: Path, lines: str, words: str
) -> None:
    path = tmp_path / "map.toml"
    path.write_text(f"mapping = 1\n{lines}\n", "utf-8")
    with pytest.raises(LimitcheckError) as refused:
        imported(mapping=read_mapping(str(path)))
    assert words in f"{refused.value.message} {refused.value.advice}"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("mapping = 2", "no mapping = 1"),
        ("mapping = 1\ndecimal = 3", "decimal is"),
        ("mapping = 1\n[header]\n", 'did you mean "headers"'),
        ('mapping = 1\n[headers]\nA = "cutoff.high"', 'did you mean "cutoffs.high"'),
        ('mapping = 1\n[units]\nA = "brr"', '"brr" is no unit'),
        ("mapping = 1\nheaders = 3", "not a table of texts"),
        ("mapping", "map.toml: "),
    ],
)
def test_a_faulty_mapping_is_refused(tmp_path: Path, text: str, words: str) -> None:
    path = tmp_path / "map.toml"
    path.write_text(text, "utf-8")
    with pytest.raises(LimitcheckError) as refused:
        read_mapping(str(path))
    assert words in f"{refused.value.message} {refused.value.advice}"

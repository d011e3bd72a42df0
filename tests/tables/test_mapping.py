"""A mapping file: written, read back, refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from limitcheck.errors import LimitcheckError
from limitcheck.tables.mapping import mapping_text, read_mapping

from .imports import imported, tables


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
    assert read_mapping(str(again)) == mapping


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

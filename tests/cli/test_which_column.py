"""With two columns in series, what is changed or blocked says of which."""

from __future__ import annotations

from pathlib import Path

import pytest

from .test_predict import PROFILE, said

COLUMN = PROFILE[PROFILE.rindex("[[flow_path]]") :]


@pytest.mark.parametrize("columns", [1, 2])
def test_the_column_is_named_where_there_are_two(
    columns: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "coupled.toml"
    first = COLUMN.replace('part = "column"', 'part = "column"\nlabel = "first"')
    path.write_text(PROFILE.replace(COLUMN, first + COLUMN * (columns - 1)))
    named = columns == 2
    faults = " ".join(said(capsys, "faults", str(path), "--format", "markdown").split())
    assert ("50 % of the column (first)'s cross-section blocked" in faults) == named
    assert ("50 % of the bed's cross-section blocked" in faults) == (not named)
    moved = " ".join(said(capsys, "predict", str(path), "--at", "length=100 mm").split())
    assert ("What is changed of a column is changed of the column (first)." in moved) == named

"""A picture, a table or an overview calls normal only what a reading calls normal."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from limitcheck.cli.app import run

from ..page.server import served
from ..profiles_for_tests import WITH_GEOMETRY

_HIGH = "high = 172\n"
BANDS = {
    basis: WITH_GEOMETRY.replace(_HIGH, f'{_HIGH}basis = "{basis}"\n')
    for basis in ("measured", "declared", "predicted")
}
BANDS["exchanged"] = WITH_GEOMETRY.replace("low = 145\nhigh = 172", "low = 172\nhigh = 145")
BANDS["from zero"] = WITH_GEOMETRY.replace("low = 145\n", "low = 0\n", 1)
BANDS["in psi"] = WITH_GEOMETRY.replace("low = 145\nhigh = 172", "low = 2100\nhigh = 2500")
BANDS["restrictor"] = BANDS["predicted"] + '[[flow_path]]\npart = "restrictor"\n'
_PAIRS = "".join(
    f'[[measured]]\nflow = "{flow} mL/min"\npressure = "{pressure} bar"\n'
    for flow, pressure in (("0.5", 78), ("1.0", 157))
)
OUTRANKED = {f"{basis}, outranked": basis for basis in ("declared", "predicted")}
BANDS |= {name: BANDS[basis] + _PAIRS for name, basis in OUTRANKED.items()}
NORMAL = {"measured", "declared"}
"""Of these a reading of 160 bar is normal."""
_AS_NORMAL = re.compile(r"[Nn]ormal:? (?:0|145|172|2100) |highest normal|lowest normal|Normal: \d")


def said(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """What a command says, in one line."""
    run(list(arguments))
    out, err = capsys.readouterr()
    return " ".join((out + err).split())


@pytest.mark.parametrize("name", BANDS)
def test_all_that_is_drawn_or_listed_says_what_a_reading_says(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("tea.toml").write_text(BANDS[name].replace("high = 260", "high = 174"), "utf-8")
    read = said(capsys, "reading", "160", "--profile", "tea.toml")
    assert ("160 bar is normal" in read) == (name in NORMAL)
    capsys.readouterr()
    run(["report", "tea.toml", "-o", "r.html", "-o", "r.txt", "-o", "r.md"])
    run(["fleet", "tea.toml", "-o", "f.html", "-o", "f.csv", "-o", "f.json"])
    data = json.loads(Path("f.json").read_text("utf-8"))["profiles"][0]["pressures"]
    with served(tmp_path) as page:
        screens = page.ask("/").words + page.get("/profile", profile="tea.toml").words
        entry = page.get("/entry", profile="tea.toml", value="174", field="high").words
    written = [Path(f).read_text("utf-8") for f in ("r.html", "r.txt", "r.md", "f.html", "f.csv")]
    wide = said(capsys, "fleet", "tea.toml", "--format", "markdown")
    line = said(capsys, "check", "tea.toml")
    for told in (*written, screens, entry, wide, line):
        assert name in NORMAL or not _AS_NORMAL.search(told), _AS_NORMAL.search(told)
    counted = {*NORMAL, "predicted", "restrictor"}
    assert (data["high_over_expected"] is not None) == (name in counted)
    assert bool(data["expected_in_doubt"]) == (name in {"exchanged", "from zero", "in psi"})
    if name in NORMAL:
        assert "Normal: 145 bar to 172 bar" in screens
        assert "highest normal pressure" in screens
    elif name in {"predicted", "restrictor"}:
        assert "In the file, only predicted: 145 bar to 172 bar (what is normal is" in screens
        assert " predicted " in wide
        assert "predicted 145 to 172" in Path("r.txt").read_text("utf-8")
    elif basis := OUTRANKED.get(name):
        assert f"In the file, {basis}: 145 bar to 172 bar (not used: measured" in screens

"""In headless Chromium: changes at once, a slow server, none, and leaving with unsaved edits."""

from __future__ import annotations

from pathlib import Path

from ..browser.run import run_script
from ..profiles_for_tests import text
from .desk import Desk, bytes_of


def test_nothing_is_lost_and_nothing_old_stands_as_current(desk: Desk, tmp_path: Path) -> None:
    address = f"http://{desk.page.host}/?key={desk.page.key}"
    seen = run_script("racing.mjs", str(tmp_path), address)
    wanted = text(high="240", low="50")
    for race in seen["races"]:
        after, later = race["after"], race["later"]
        assert after["text"] == wanted, race
        assert (after["high"], after["low"]) == ("240", "50"), race
        assert (later["high"], later["low"]) == ("240", "50"), race
        assert later["text"] == wanted.replace("KB-TEA-014", "Other"), race
    assert seen["needed"] == [[2, 2], [2, 2], [0, 0], [2, 2]]
    assert [set(told) for told in seen["units"]] == [{"psi"}, {"MPa"}, {"bar"}, {"psi"}]
    wrong, slow, gone = seen["wrong"], seen["slow"], seen["gone"]
    assert (wrong["busy"], "Error:" in wrong["found"]) == (None, True)
    assert wrong["heading"].startswith("Found: ")
    assert (slow["busy"], slow["heading"]) == ("true", "Checking what you typed ...")
    assert (seen["answered"]["busy"], seen["answered"]["found"]) == (None, "")
    assert gone["busy"] == "true"
    assert gone["heading"].startswith("Not checked: No answer")
    assert (seen["back"]["busy"], seen["back"]["found"]) == (None, "")
    assert (seen["quietly"], seen["asked"]) == (0, 1)
    assert "?profile=kestrel.toml&saved=" in seen["saved"]["address"]
    assert "Saved: kestrel.toml" in seen["saved"]["main"]
    assert seen["reloaded"] == seen["again"] == seen["saved"]["main"]
    assert seen["askedAtLast"] == 1
    assert bytes_of(desk).decode() == text(high="230")

"""In headless Chromium: errors are never folded away, and going back shows nothing old as new."""

from __future__ import annotations

from pathlib import Path

from ..browser.run import run_script
from ..profiles_for_tests import text
from .desk import Desk, bytes_of


def test_what_is_found_is_seen_and_is_that_of_the_text(desk: Desk, tmp_path: Path) -> None:
    address = f"http://{desk.page.host}/?key={desk.page.key}"
    seen = run_script("back.mjs", str(tmp_path), address)
    assert "error" not in seen["before"]["heading"]
    assert "error" in seen["typed"]["heading"]
    assert (seen["typed"]["open"], seen["byHand"]["open"]) == (True, False)
    broken = seen["broken"]
    assert broken["heading"].startswith("Not readable as a profile yet")
    assert broken["open"] is True
    for screen in (seen["typed"], broken):
        assert (screen["now"], screen["seen"]) == (screen["heading"], True)
    back = seen["back"]
    assert (back["high"], back["text"]) == ("28", text(high="28"))
    assert back["heading"] == seen["typed"]["heading"]
    assert seen["asked"] == 1
    assert seen["partsAfter"] == seen["partsBefore"] - 1
    after = seen["after"]
    assert after["high"] == "250"
    assert "too soon and is not done" in after["heading"]
    assert seen["later"]["high"] == "245"
    assert "too soon" not in seen["later"]["heading"]
    assert seen["chosenAfter"] == seen["chosenBefore"]
    assert bytes_of(desk).decode() == text()

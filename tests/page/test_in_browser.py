"""The tasks in headless Chromium, with the keyboard, on a phone and on a wide screen."""

from __future__ import annotations

from pathlib import Path

from ..browser.run import run_script
from ..profiles_for_tests import text
from .conftest import EXAMPLES
from .server import Client

LOG = EXAMPLES / "logs/kestrel-bay-tea.csv"

SAYS = {
    "home": ("The profiles in this folder", "21 profiles: 16 with an error"),
    "chosen": ("KB-TEA-031 revision A on",),
    "entry": ("35 bar as the high cutoff: do not type it.", "high = 400 (bar)"),
    "refused": ("Not answered yet", '"1,500" has a comma'),
    "check": ("KB-TEA-031 revision A on HM-LC-07:", "unit-confusion", "high = 5221 (psi)"),
    "dropped": ("KB-TEA-014 on KB-LC-03", "high-cutoff-above-rating"),
    "unreadable": ("A file cannot be used as it is", "odd.toml:2:"),
    "transfer": (": do not accept", "copied without converting it"),
    "reading": ("48 bar (15 %) above normal", "A restriction"),
    "log": ("kestrel-bay-tea.csv: not steady", "Course in time"),
    "blockage": ("Step 1 of 6: all", "Wear eye protection", "Nothing yet."),
    "step": ("an answer would rest on the one reading of", "Read so far"),
    "convert": ("6000 psi as a high cutoff, rounded down:", "high = 413 (bar)"),
}

ORDER = [
    "Skip to the content",
    "limitcheck",
    "Overview",
    "Profile",
    "Type a number",
    "Convert",
    "Today's pressure",
    "Find the blockage",
    "Move to another instrument",
    "Profile of the method",
    "high",
    "Number",
    "Unit the display shows",
    "May it be typed?",
]
"""What the Tab key goes through; the arrow keys choose between high and low."""


def test_the_tasks(page: Client, tmp_path: Path) -> None:
    dropped = tmp_path / "dropped.toml"
    dropped.write_text(text(high="500"))
    address = f"http://{page.host}/?key={page.key}"
    seen = run_script("tasks.mjs", str(tmp_path), address, str(dropped), str(LOG))
    assert list(seen) == ["phone", "wide-dark"]
    for view, screens in seen.items():
        download = screens.pop("download")
        assert download["name"] == "transfer-kestrel-bay-report.html"
        assert "Pressure limits: KB-TEA-031" in download["text"]
        order = screens.pop("tabs")
        assert [stop["name"] for stop in order] == ORDER
        assert all(stop["shown"] for stop in order)
        for path, found in screens.pop("unseen").items():
            assert found["unseen"] == [], (view, path)
            assert found["stops"] > 10, (view, path)
        assert list(screens) == list(SAYS)
        for name, screen in screens.items():
            assert screen["told"] == [], (view, name)
            assert screen["passed"] > 10, (view, name)
            for words in SAYS[name]:
                assert words in screen["answer"], (view, name)

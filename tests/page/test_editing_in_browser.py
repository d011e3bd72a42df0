"""A person in headless Chromium makes, breaks, mends, saves and prints a profile by keyboard."""

from __future__ import annotations

import tomllib
from pathlib import Path

from limitcheck.page.saving import Writing
from limitcheck.profile.starting import starting_profiles

from ..browser.run import run_script
from .server import served


def test_a_profile_is_made_by_keyboard_alone(tmp_path: Path) -> None:
    folder, pictures = tmp_path / "profiles", tmp_path / "seen"
    folder.mkdir()
    pictures.mkdir()
    with served(folder, Writing.EDIT) as page:
        address = f"http://{page.host}/?key={page.key}"
        seen = run_script("editing.mjs", str(pictures), address)
    for name, screen in seen.items():
        assert screen.get("problems", []) == [], name
    assert "cannot be the name of a profile" in seen["refused"]["main"]
    begun = tomllib.loads(starting_profiles()["conventional-400-bar"].read_text("utf-8"))
    high, count = begun["cutoffs"]["high"], len(begun["flow_path"]) + 1
    broken, mended = seen["broken"], seen["mended"]
    assert broken["focus"]["id"] == "f.cutoffs.high"
    assert broken["focus"]["value"] == "1610"
    assert broken["invalid"] == "true"
    assert "about 111.01 bar" in broken["found"]
    assert "psi" in broken["found"]
    assert broken["said"].startswith("Found: ")
    assert "error" in broken["said"]
    assert seen["off"]["id"] == "f.cutoffs.high"
    assert seen["off"]["value"].casefold() == "off"
    assert "nothing stops the pump" in seen["off"]["found"]
    assert "write 117 bar, if hexadecimal is meant, or 75 bar" in seen["programs"]["found"]
    assert mended["focus"] == {**broken["focus"], "value": f"{high}"}
    assert mended["invalid"] is None
    assert mended["found"] == ""
    parts = seen["parts"]
    assert '\n\n[[flow_path]]\npart = "tubing"\nbore = "0.17 mm"\n\n' in parts["added"]
    assert parts["removed"] == parts["after"] == parts["before"] != parts["added"]
    assert parts["up"] == parts["added"] != parts["down"]
    assert sorted(parts["down"]) == sorted(parts["added"])
    assert "gradient = [{ minute = 5 }, {}]" in parts["points"]
    said = [step["said"].partition(".")[0] for step in parts["went"]]
    assert said[0] == f"Added: part 2 of {count}"
    assert said[1:4] == [
        f"Moved down: tubing, part 2 of {count}, now 3",
        f"Moved up: tubing, part 3 of {count}, now 2",
        f"Removed: tubing, part 2 of {count}",
    ]
    assert parts["went"][1]["name"] == f"Move down tubing, part 3 of {count}"
    assert said[-6] == "Removed: gradient point 1 of 1"
    point = '{ flow = "5 mL/min", rating = "400 bar" }'
    assert f"rating_at_flow = [{point}, {{}}]" in parts["ratings"]
    assert f"rating_at_flow = [{{}}, {point}]" in parts["ratingMoved"]
    of = f"pump, part 1 of {count - 1}, rating at a flow"
    assert said[-5:] == [
        "Added: rating at a flow 1 of 1",
        "Added: rating at a flow 2 of 2",
        f"Moved up: {of} 2 of 2, now 1",
        f"Removed: {of} 1 of 2",
        f"Removed: {of} 1 of 1",
    ]
    assert seen["text"]["focus"]["id"] == "text"
    assert "+# written by hand" in seen["confirm"]["main"]
    assert f"+high = {high}" in seen["confirm"]["main"]
    assert "Made: made.toml" in seen["saved"]["main"]
    assert f"-high = {high}" in seen["errors"]["main"]
    assert "Save it with its errors" in seen["errors"]["main"]
    assert seen["record"]["name"] == "made-report.html"
    assert "KB-NEW-001" in seen["record"]["text"]
    assert (pictures / "record.pdf").stat().st_size > 10_000
    made = (folder / "made.toml").read_text()
    assert made.endswith("# written by hand\n")
    assert tomllib.loads(made)["cutoffs"]["high"] == high
    assert tomllib.loads(made)["method"]["title"] == "Ours"
    assert [path.name for path in folder.iterdir()] == ["made.toml"]

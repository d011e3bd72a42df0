"""What a shared description gives is said beside the empty field, never as if it was typed."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from ..profiles_for_tests import text
from .desk import Desk, fields_of, opened, send
from .server import Answer

INSTRUMENT = '[instrument]\nid = "KB-LC-03"\npressure_unit = "psi"\nentry_max = 6000\n'
COLUMN = """\
[[flow_path]]
part = "column"
label = "tea"
rating = "450 bar"
reversible = false
certificate = { pressure = "80 bar", flow = "1.0 mL/min" }
[[flow_path.rating_at_temperature]]
temperature = "60 degC"
rating = "200 bar"
"""


@pytest.fixture
def using(desk: Desk) -> Desk:
    """A desk whose profile uses both."""
    (desk.folder / "shared").mkdir()
    (desk.folder / "limitcheck.toml").write_text("")
    (desk.folder / "shared" / "lc.toml").write_text(INSTRUMENT)
    (desk.folder / "shared" / "tea.toml").write_text(COLUMN)
    own = text().replace('id = "KB-LC-03"\npressure_unit = "bar"', 'use = "shared/lc.toml"')
    own = own.replace('part = "column"\nrating = "450 bar"', 'use = "shared/tea.toml#tea"')
    (desk.folder / "kestrel.toml").write_text(own)
    return desk


def held(answer: Answer, name: str) -> str:
    found = re.search(rf'<p class="held" id="f.{name}-held">(.*?)</p>', answer.text)
    return found[1] if found else ""


def test_empty_fields_say_what_holds(using: Desk) -> None:
    answer = using.page.get("/edit", profile="kestrel.toml")
    fields = fields_of(answer)
    for name, told in {
        "instrument.id": "from shared/lc.toml: KB-LC-03",
        "instrument.pressure_unit": "from shared/lc.toml: psi",
        "instrument.entry_max": "from shared/lc.toml: 6000",
        "flow_path.1.part": "from shared/tea.toml: column",
        "flow_path.1.rating": "from shared/tea.toml: 450 bar",
        "flow_path.1.reversible": "from shared/tea.toml: false",
        "flow_path.1.certificate.pressure": "from shared/tea.toml: 80 bar",
    }.items():
        assert held(answer, name) == told
        assert fields[f"f.{name}"] == ""
        field = re.search(rf'<(input|select) id="f.{name}"[^>]*>', answer.text)
        assert field is not None
        assert f"f.{name}-held" in field[0]
        assert "aria-required" not in field[0]
    assert held(answer, "flow_path.0.rating") == ""
    assert held(answer, "instrument.display_step") == ""
    assert "Rating at temperature from shared/tea.toml: temperature 60 degC, rating 200 bar" in (
        answer.words
    )
    assert "2. column, tea" in answer.words
    assert '<span class="unit" id="f.cutoffs.high-unit">psi</span>' in answer.text
    assert "Remove column, part 2 of 2" in re.sub(r"<[^>]*>", "", answer.text)
    assert "Nothing is changed" in send(using.page, fields, "save").words


def test_what_is_typed_holds_instead(using: Desk) -> None:
    fields = opened(using)
    fields["f.flow_path.1.rating"] = "400 bar"
    answer = send(using.page, fields, "check")
    assert held(answer, "flow_path.1.rating") == ""
    assert 'rating = "400 bar"' in fields_of(answer)["text"]
    assert held(answer, "flow_path.1.reversible") != ""
    moved = send(using.page, fields_of(answer), "up flow_path 1")
    assert held(moved, "flow_path.0.reversible") == "from shared/tea.toml: false"
    assert "Moved up: column, part 2 of 2, now 1" in moved.words


def test_what_cannot_be_read_is_not_called_absent(using: Desk) -> None:
    (using.folder / "shared" / "tea.toml").write_text("[[")
    answer = using.page.get("/edit", profile="kestrel.toml")
    assert "comes from the shared description, which cannot be read now" in answer.words
    assert held(answer, "instrument.id") == ""


def test_nothing_is_shown_of_a_file_outside(using: Desk, tmp_path: Path) -> None:
    (tmp_path / "limitcheck.toml").write_text("")
    (using.folder / "limitcheck.toml").unlink()
    (tmp_path / "outside.toml").write_text(INSTRUMENT.replace("6000", "5432"))
    path = using.folder / "kestrel.toml"
    path.write_text(path.read_text().replace("shared/lc.toml", "../outside.toml"))
    answer = using.page.get("/edit", profile="kestrel.toml")
    assert "lies outside of this folder" in answer.words
    assert "5432" not in answer.text


def test_nothing_outside_is_compared(using: Desk, tmp_path: Path) -> None:
    """Another profile of the folder takes its unit from outside: it is not looked at here."""
    (tmp_path / "limitcheck.toml").write_text("")
    (using.folder / "limitcheck.toml").unlink()
    (using.folder / "kestrel.toml").write_text(text())
    for place, told in (("../outside.toml", False), ("inside.toml", True)):
        (using.folder / place).write_text(INSTRUMENT)
        other = text(method='"KB-TEA-015"')
        other = other.replace('id = "KB-LC-03"\npressure_unit = "bar"', f'use = "{place}"')
        (using.folder / "other.toml").write_text(other)
        answer = using.page.get("/edit", profile="kestrel.toml")
        assert ("KB-LC-03 shows bar here, but psi" in answer.words) == told


def test_a_text_that_uses_a_file_outside_is_not_saved(using: Desk, tmp_path: Path) -> None:
    (tmp_path / "limitcheck.toml").write_text("")
    (using.folder / "limitcheck.toml").unlink()
    (tmp_path / "outside.toml").write_text(INSTRUMENT.replace("6000", "5432"))
    fields = opened(using)
    fields["f.instrument.use"] = "../outside.toml"
    before = (using.folder / "kestrel.toml").read_bytes()
    for act in ("check", "save"):
        answer = send(using.page, fields, act)
        assert "lies outside of this folder" in answer.words
        assert "5432" not in answer.text
    assert "Not saved: It is not readable as a profile yet." in answer.words
    hidden = {"profile": "kestrel.toml", "was": fields["was"], "base": fields_of(answer)["before"]}
    assert "Saved" not in send(using.page, {**hidden, "seen": "0" * 64}, "write").words
    assert (using.folder / "kestrel.toml").read_bytes() == before


def test_an_empty_margin_says_which_applies(using: Desk) -> None:
    """It is the policy's, by its file, or the default; a typed one hides it."""
    (using.folder / "limitcheck.toml").write_text('[margins]\nhigh = "30 %"\n')
    answer = using.page.get("/edit", profile="kestrel.toml")
    assert held(answer, "margins.high") == "from limitcheck.toml: 30 %"
    assert held(answer, "margins.low") == "by default: 50 %"
    assert held(answer, "margins.headroom") == "by default: 10 %"
    assert fields_of(answer)["f.margins.high"] == ""
    own = using.folder / "kestrel.toml"
    own.write_text(own.read_text() + '\n[margins]\nhigh = "20 %"\n')
    answer = using.page.get("/edit", profile="kestrel.toml")
    assert fields_of(answer)["f.margins.high"] == "20 %"
    assert held(answer, "margins.high") == ""
    assert held(answer, "margins.low") == "by default: 50 %"


def test_a_list_of_its_own_begins_with_the_described_one(using: Desk) -> None:
    """The profile's list takes the place of the description's: nothing goes unsaid."""
    key = "flow_path.1.rating_at_temperature"
    answer = send(using.page, opened(using), f"add {key} 0")
    assert "Added: rating at a temperature 2 of 2. Before it stands what the shared" in answer.words
    assert "the list of this profile counts, not that of the description" in answer.words
    fields = fields_of(answer)
    assert (fields[f"f.{key}.0.temperature"], fields[f"f.{key}.0.rating"]) == ("60 degC", "200 bar")
    assert fields[f"f.{key}.1.temperature"] == ""
    other = send(using.page, opened(using), "add flow_path.1.rating_at_flow 0")
    assert "Added: rating at a flow 1 of 1. The file" in other.words
    (using.folder / "shared" / "tea.toml").write_text("[[")
    answer = send(using.page, opened(using), f"add {key} 0")
    assert "Not done: what the shared descriptions give here can't be read now" in answer.words
    assert f"f.{key}.0.temperature" not in fields_of(answer)

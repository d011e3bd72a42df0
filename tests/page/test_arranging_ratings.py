"""The ratings at flows and temperatures within a part are arranged like the parts themselves."""

from __future__ import annotations

import pytest

from limitcheck.page.arranging import asked, buttons, first_button, listing_within, naming
from limitcheck.profile.load import load_bytes
from limitcheck.units import Pressure, Temperature

from ..profiles_for_tests import text
from .desk import Desk, bytes_of, fields_of, opened, saved, send
from .test_arranging import goes_on_at, shown
from .test_editing_bytes import HOSTILE

LIST = "flow_path.1.rating_at_temperature"
SPELLINGS = {
    "one line": (
        'rating_at_temperature = [{ temperature = "25 degC", rating = "450 bar" }, {}]\n',
        'rating_at_temperature = [{}, { temperature = "25 degC", rating = "450 bar" }]\n',
    ),
    "lines": (
        'rating_at_temperature = [\n  { temperature = "25 degC" },  # room\n  {},\n]\n',
        'rating_at_temperature = [\n  {},\n  { temperature = "25 degC" },  # room\n]\n',
    ),
    "tables": (
        '[[flow_path.rating_at_temperature]]\ntemperature = "25 degC"\n\n'
        "[[flow_path.rating_at_temperature]]\n",
        "[[flow_path.rating_at_temperature]]\n\n"
        '[[flow_path.rating_at_temperature]]\ntemperature = "25 degC"\n',
    ),
}
"""Two ratings of the column, and the same moved; the second is empty."""


@pytest.mark.parametrize("name", [name for name in HOSTILE if name != "unknown key"])
def test_a_first_rating_is_added_filled_in_saved_and_taken_out(desk: Desk, name: str) -> None:
    before = HOSTILE[name].encode()
    (desk.folder / "kestrel.toml").write_bytes(before)
    answer = send(desk.page, opened(desk), f"add {LIST} 0")
    assert goes_on_at(answer) == [f"f.{LIST}.0.temperature"]
    assert "Added: rating at a temperature 1 of 1." in answer.words
    typed = {f"f.{LIST}.0.temperature": "60 degC", f"f.{LIST}.0.rating": "300 bar"}
    answer = send(desk.page, fields_of(answer) | typed, "check")
    assert {key: fields_of(answer)[key] for key in typed} == typed
    assert "Saved" in saved(desk, fields_of(answer)).words
    column = load_bytes(bytes_of(desk), "kestrel.toml").profile.flow_path[1]
    (point,) = column.rating_at_temperature
    assert (point.temperature, point.rating) == (
        Temperature.parse("60 degC"),
        Pressure.parse("300 bar"),
    )
    answer = send(desk.page, opened(desk), f"remove {LIST} 0")
    assert goes_on_at(answer) == ["f.flow_path.1"]
    told = "Removed: column, part 2 of 2, rating at a temperature 1 of 1."
    assert told in answer.words
    assert "Saved" in saved(desk, fields_of(answer)).words
    assert bytes_of(desk) == before


@pytest.mark.parametrize("spelling", SPELLINGS)
def test_ratings_move_and_their_fields_with_them(desk: Desk, spelling: str) -> None:
    there, moved = (text() + end for end in SPELLINGS[spelling])
    (desk.folder / "kestrel.toml").write_text(there)
    answer = send(desk.page, opened(desk), f"down {LIST} 0")
    assert shown(answer) == moved
    assert goes_on_at(answer) == [f"up-{LIST}-1"]
    fields = fields_of(answer)
    assert fields[f"f.{LIST}.0.temperature"] == ""
    assert fields[f"f.{LIST}.1.temperature"] == "25 degC"
    told = "Moved down: column, part 2 of 2, rating at a temperature 1 of 2, now 2."
    assert told in answer.words
    answer = send(desk.page, fields, f"up {LIST} 1")
    assert shown(answer) == there
    answer = send(desk.page, fields_of(answer), f"remove {LIST} 1")
    assert goes_on_at(answer) == [f"f.{LIST}.0"]
    assert f"f.{LIST}.1.temperature" not in fields_of(answer)


def test_the_buttons_stand_with_their_part(desk: Desk) -> None:
    """What is empty is begun among what else is possible; each rating has its own buttons."""
    (desk.folder / "kestrel.toml").write_text(text() + SPELLINGS["lines"][0])
    page = desk.page.get("/edit", profile="kestrel.toml").text
    pump, column = page.index('id="f.flow_path.0"'), page.index('id="f.flow_path.1"')
    first = page.index('id="add-flow_path.0.rating_at_flow-0"')
    assert pump < page.rindex("<details>", 0, first) < first < page.index("</details>", first)
    assert first < column < page.index(f'id="f.{LIST}.0"') < page.index(f'id="down-{LIST}-0"')
    assert f'id="add-{LIST}-0"' not in page
    assert "2. column: rating at a temperature 1" in page


def test_a_finding_stands_at_its_rating(desk: Desk) -> None:
    (desk.folder / "kestrel.toml").write_text(text())
    fields = fields_of(send(desk.page, opened(desk), f"add {LIST} 0"))
    fields |= {f"f.{LIST}.0.temperature": "60", f"f.{LIST}.0.rating": "300 bar"}
    answer = send(desk.page, fields, "check")
    assert "Not readable as a profile yet" in answer.words
    field = answer.text.index(f'id="f.{LIST}.0.temperature-found"')
    assert '<p class="wrong error">' in answer.text[field : answer.text.index("</div>", field)]


def test_acts_and_buttons_agree() -> None:
    listing = listing_within(("flow_path", 7), "rating_at_flow")
    made = buttons(listing, 1, 3, naming(listing, 1, 3, "column"), 60)
    acts = [asked(button.act) for button in (*made, first_button(listing, "column"))]
    assert [act and (act.verb, act.place) for act in acts] == [
        ("up", 1),
        ("down", 1),
        ("remove", 1),
        ("add", 2),
        ("add", 0),
    ]
    assert all(act is not None and act.listing == listing for act in acts)
    for forged in ("add flow_path.x.rating_at_flow 0", "add flow_path.1.rating 0",
                   "add flow_path.1000.rating_at_flow 0"):  # fmt: skip
        assert asked(forged) is None


def test_nothing_moves_to_where_it_has_no_fields() -> None:
    listing = listing_within(("flow_path", 7), "rating_at_flow")
    for index, count, down in ((58, 61, True), (59, 61, False), (59, 60, False), (58, 60, True)):
        made = buttons(listing, index, count, "rating", 60)
        assert ("Move down" in [button.label for button in made]) == down

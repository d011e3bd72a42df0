"""Parts, points and pairs are added, removed and moved by the buttons of the form."""

from __future__ import annotations

import re

import pytest

from limitcheck.page.arranging import LISTS, asked, buttons, naming
from limitcheck.profile.load import load_bytes

from ..profiles_for_tests import WITH_GEOMETRY, text
from .desk import Desk, bytes_of, fields_of, opened, saved, send
from .server import Answer
from .test_editing_bytes import HOSTILE

GRADIENT = """
[conditions]
gradient = [
  { minute = 0, percent_b = 5 },  # start
  { minute = 20, percent_b = 95 },
]
"""


def goes_on_at(answer: Answer) -> list[str]:
    """What has the focus after the page has come: exactly one element, where there is one."""
    return re.findall(r'<\w+[^>]* id="([^"]*)"[^>]* autofocus>', answer.text)


def shown(answer: Answer) -> str:
    return fields_of(answer)["text"].replace("\r\n", "\n")


@pytest.mark.parametrize("newline", [b"\n", b"\r\n"])
def test_a_part_is_added_chosen_moved_removed_and_saved(desk: Desk, newline: bytes) -> None:
    before = bytes_of(desk).replace(b"\n", newline)
    (desk.folder / "kestrel.toml").write_bytes(before)
    answer = send(desk.page, opened(desk), "add flow_path 1")
    assert goes_on_at(answer) == ["f.flow_path.1.part"]
    assert "Added: part 2 of 3." in answer.words
    assert "Not readable as a profile yet" in answer.words
    options = re.search(r'<select id="f.flow_path.1.part".*?</select>', answer.text, re.S)
    assert options is not None
    assert {"guard column", "tubing", "detector cell"} <= set(re.findall(r">([\w ]+)<", options[0]))
    fields = fields_of(answer)
    assert "f.flow_path.1.bore" not in fields
    fields["f.flow_path.1.part"] = "tubing"
    fields = fields_of(send(desk.page, fields, "check"))
    part = {"f.flow_path.1.part": fields["f.flow_path.1.part"], "f.flow_path.1.bore": "0.17 mm"}
    fields = {**part, **fields, **part}  # as a browser sends them: in the order of the form
    answer = send(desk.page, fields, "up flow_path 2")
    assert goes_on_at(answer) == ["up-flow_path-1"]
    assert "Moved up: column, part 3 of 3, now 2." in answer.words
    assert saved(desk, fields_of(answer)).words.count("Saved: kestrel.toml") == 1
    added = b'[[flow_path]]\npart = "tubing"\nbore = "0.17 mm"\n'.replace(b"\n", newline)
    assert bytes_of(desk) == before + newline + added
    answer = send(desk.page, opened(desk), "remove flow_path 2")
    assert goes_on_at(answer) == ["f.flow_path.1"]
    assert "Removed: tubing, part 3 of 3." in answer.words
    assert "Saved: kestrel.toml" in saved(desk, fields_of(answer)).words
    assert bytes_of(desk) == before


@pytest.mark.parametrize("name", HOSTILE)
def test_every_spelling_is_the_same_after_adding_and_removing(desk: Desk, name: str) -> None:
    (desk.folder / "kestrel.toml").write_bytes(HOSTILE[name].encode())
    added = send(desk.page, opened(desk), "add flow_path 1")
    assert "Added: part 2 of 3." in added.words
    moved = send(desk.page, fields_of(added), "down flow_path 1")
    assert "now 3" in moved.words
    back = send(desk.page, fields_of(moved), "up flow_path 2")
    removed = send(desk.page, fields_of(back), "remove flow_path 1")
    assert "Removed: part 2 of 3." in removed.words
    shown_ = send(desk.page, fields_of(removed), "save")
    assert "Nothing is changed" in shown_.words or name == "unknown key"
    assert fields_of(removed)["base"] == opened(desk)["base"]


def test_what_was_typed_before_the_button_is_in_the_text(desk: Desk) -> None:
    fields = opened(desk)
    fields["f.cutoffs.high"] = "240"
    after = fields_of(send(desk.page, fields, "down flow_path 0"))
    assert "high = 240" in after["text"]
    assert [after[f"f.flow_path.{n}.part"] for n in (0, 1)] == ["column", "pump"]
    back = fields_of(send(desk.page, after, "up flow_path 1"))
    assert back["text"].replace("\r\n", "\n") == text(high="240")


def test_each_button_is_named_by_its_element(desk: Desk) -> None:
    (desk.folder / "kestrel.toml").write_text(WITH_GEOMETRY)
    answer = desk.page.get("/edit", profile="kestrel.toml")
    names = [
        re.sub(r"<[^>]*>", "", inner)
        for inner in re.findall(r"<button id=[^>]*data-arranges>(.*?)</button>", answer.text)
    ]
    count = len(load_bytes(WITH_GEOMETRY.encode(), "x").profile.flow_path)
    assert f"Remove column, part 5 of {count}" in names
    assert f"Move up tubing, part 2 of {count}" in names
    assert f"Move up pump, part 1 of {count}" not in names
    assert f"Add a part after it: pump, part 1 of {count}" in names
    assert "Add a gradient point" in names
    assert "Add a measured pair" in names
    assert f"Add a rating at a flow: pump, part 1 of {count}" in names
    assert len(names) == len(set(names)) == 4 * count - 2 + 2 + 2 * count  # two lists in each part


def test_gradient_points_and_pairs(desk: Desk) -> None:
    (desk.folder / "kestrel.toml").write_text(text() + GRADIENT)
    answer = send(desk.page, opened(desk), "add conditions.gradient 1")
    assert goes_on_at(answer) == ["f.conditions.gradient.1.minute"]
    fields = fields_of(answer)
    fields |= {"f.conditions.gradient.1.minute": "10", "f.conditions.gradient.1.percent_b": "50"}
    answer = send(desk.page, fields, "down conditions.gradient 0")
    assert goes_on_at(answer) == ["down-conditions.gradient-1"]
    assert "go backwards" in answer.words
    lines = ["  { minute = 10, percent_b = 50 },", "  { minute = 0, percent_b = 5 },  # start"]
    assert "\n".join(lines) in shown(answer)
    assert "Comments that went with it: # start" in answer.words
    answer = send(desk.page, fields_of(answer), "add measured 0")
    assert goes_on_at(answer) == ["f.measured.0.pressure"]
    assert shown(answer).endswith("\n\n[[measured]]\n")
    answer = send(desk.page, fields_of(answer), "remove measured 0")
    assert goes_on_at(answer) == ["f.measured"]
    answer = send(desk.page, fields_of(answer), "up conditions.gradient 1")
    assert goes_on_at(answer) == ["down-conditions.gradient-0"]
    answer = send(desk.page, fields_of(answer), "remove conditions.gradient 1")
    assert goes_on_at(answer) == ["f.conditions.gradient.1"]
    assert shown(answer) == text() + GRADIENT


def test_comments_left_behind_are_told(desk: Desk) -> None:
    own = text().replace('[[flow_path]]\npart = "column"', '# mine\n[[flow_path]]\npart = "column"')
    (desk.folder / "kestrel.toml").write_text(own.rstrip() + "\n# whose?\n[[measured]]\n")
    answer = send(desk.page, opened(desk), "remove flow_path 1")
    assert "Comments that went with it: # mine" in answer.words
    assert "Comments that stayed where they were" in answer.words
    assert "# whose?" in shown(answer)
    assert "# mine" not in shown(answer)


REMARKED = text(high="250  # why").replace(
    'part = "column"\n', 'part = "column"  # serial 7\nbore = "4.6 mm" # from its sheet\n'
)


@pytest.mark.parametrize(
    ("acts", "column"),
    [
        (["add flow_path 1"], 2),
        (["add flow_path 2"], 1),
        (["up flow_path 1"], 0),
        (["down flow_path 0", "down flow_path 0"], 1),
        (["add measured 0"], 1),
        (["add flow_path.1.rating_at_flow 0", "remove flow_path.1.rating_at_flow 0"], 1),
        (["remove flow_path 0"], 0),
        (["add conditions.gradient 0", "add flow_path 1", "down flow_path 1"], 1),
    ],
)
def test_an_emptied_value_keeps_its_remark_whatever_is_arranged(
    desk: Desk, acts: list[str], column: int
) -> None:
    (desk.folder / "kestrel.toml").write_text(REMARKED)
    without = opened(desk)
    for act in acts:
        without = fields_of(send(desk.page, without, act))
    fields = opened(desk)
    fields |= {"f.cutoffs.high": "", "f.flow_path.1.bore": ""}
    for act in acts:
        fields = fields_of(send(desk.page, fields, act))
        assert "# why" not in fields["text"]
        assert "# from its sheet" not in fields["text"]
    fields |= {"f.cutoffs.high": "240", f"f.flow_path.{column}.bore": "2.1 mm"}
    again = fields_of(send(desk.page, fields, "check"))
    assert again["text"] == without["text"].replace("250  #", "240  #").replace("4.6", "2.1")
    assert "# from its sheet" in again["text"]


def test_a_value_emptied_in_a_part_that_is_removed_is_gone(desk: Desk) -> None:
    (desk.folder / "kestrel.toml").write_text(REMARKED)
    fields = opened(desk) | {"f.flow_path.1.bore": "", "f.cutoffs.high": ""}
    fields = fields_of(send(desk.page, fields, "remove flow_path 1"))
    fields = fields_of(send(desk.page, fields | {"f.cutoffs.high": "240"}, "check"))
    assert "# from its sheet" not in fields["text"]
    assert "high = 240  # why" in fields["text"]
    assert "f.flow_path.1.bore" not in fields


@pytest.mark.parametrize(
    ("act", "old", "new", "told"),
    [
        ("remove flow_path 1", "high = 250", "high = 240", "changed by hand meanwhile"),
        ("remove flow_path 1", "[[flow_path]]", "[[", "changed by hand meanwhile"),
    ],
)
def test_a_text_changed_by_hand_is_shown_first(
    desk: Desk, act: str, old: str, new: str, told: str
) -> None:
    fields = opened(desk)
    fields["text"] = fields["text"].replace(old, new)
    answer = send(desk.page, fields, act)
    assert told in answer.words
    assert shown(answer) == text().replace(old, new)


@pytest.mark.parametrize(
    "act",
    ["remove flow_path 9", "up flow_path 0", "down flow_path 1", "add flow_path 7",
     "add flow_path 0", "remove measured 0", "up conditions.gradient 999",
     "remove flow_path.1.rating_at_flow 0", "add flow_path.9.rating_at_flow 0",
     "add flow_path.1.rating_at_flow 3", "up flow_path.0.rating_at_temperature 0"],
)  # fmt: skip
def test_forged_buttons_change_nothing(desk: Desk, act: str) -> None:
    answer = send(desk.page, opened(desk), act)
    assert "Not done:" in answer.words
    assert shown(answer) == text()


def test_acts_and_buttons_agree() -> None:
    for listing in LISTS.values():
        for index in range(3):
            what = naming(listing, index, 3)
            acts = [asked(button.act) for button in buttons(listing, index, 3, what, 60)]
            assert all(act is not None and act.listing is listing for act in acts)
            assert len(acts) == (4 if index == 1 else 3)
        assert [b.label for b in buttons(listing, 0, 1, "x", 1)] == ["Remove"]
    for act in ("check", "add method 0", "add flow_path -1", "add flow_path \u0663", ""):
        assert asked(act) is None


def test_each_comment_that_went_is_on_its_own_line(desk: Desk) -> None:
    own = text().replace(
        '[[flow_path]]\npart = "column"', '# mine\n# holds \\n\n[[flow_path]]\npart = "column"'
    )
    (desk.folder / "kestrel.toml").write_text(own)
    answer = send(desk.page, opened(desk), "remove flow_path 1")
    assert "<pre># mine\n# holds \\n</pre>" in answer.text

"""Fields and the text changed one after the other, or at once: nothing is undone unsaid."""

from __future__ import annotations

from typing import Any
from urllib.parse import unquote

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from limitcheck.page.draft import Change, both
from limitcheck.profile.toml import parse

from ..profiles_for_tests import WITH_GEOMETRY, text
from .desk import Desk, bytes_of, fields_of, opened, saved, send


def box(fields: dict[str, str]) -> str:
    return fields["text"].replace("\r\n", "\n")


def test_the_text_and_a_field_changed_at_once_are_both_taken(desk: Desk) -> None:
    fields = opened(desk)
    fields["f.cutoffs.high"] = "240"
    fields["text"] = fields["text"].replace("low = 60", "low = 50")
    answer = send(desk.page, fields, "check")
    assert "were not" not in answer.words
    now = fields_of(answer)
    assert (now["f.cutoffs.high"], now["f.cutoffs.low"]) == ("240", "50")
    assert box(now) == text(high="240", low="50")
    now["f.method.title"] = "Tea"
    later = fields_of(send(desk.page, now, "check"))
    assert ("high = 240" in later["text"], "low = 50" in later["text"]) == (True, True)
    assert "Saved" in saved(desk, fields).words
    assert bytes_of(desk).decode() == text(high="240", low="50")


@pytest.mark.parametrize(("in_text", "taken"), [("230", "230"), ("240", "240")])
def test_one_place_changed_in_both_is_as_the_text_says(
    desk: Desk, in_text: str, taken: str
) -> None:
    fields = opened(desk)
    fields["f.cutoffs.high"] = "240"
    fields["text"] = fields["text"].replace("high = 250", f"high = {in_text}")
    answer = send(desk.page, fields, "check")
    assert ("cutoffs.high = 240" in answer.words) == (in_text != "240")
    assert fields_of(answer)["f.cutoffs.high"] == taken
    assert box(fields_of(answer)) == text(high=taken)
    shown = send(desk.page, fields, "save").words
    assert ("Not saved: Some of what you typed" in shown) == (in_text != "240")


def test_a_field_of_a_part_is_not_written_into_another_part(desk: Desk) -> None:
    fields = opened(desk)
    fields["f.flow_path.1.rating"] = "500 bar"
    fields["text"] = fields["text"].replace(
        '[[flow_path]]\r\npart = "column"',
        '[[flow_path]]\r\npart = "mixer"\r\n\r\n[[flow_path]]\r\npart = "column"',
    )
    answer = send(desk.page, fields, "check")
    assert "flow_path[1].rating = 500 bar" in answer.words.replace("[2]", "[1]")
    assert "500 bar" not in fields_of(answer)["text"]
    assert fields_of(answer)["f.flow_path.2.rating"] == "450 bar"


def test_a_field_changed_with_a_text_that_is_broken_is_told(desk: Desk) -> None:
    fields = opened(desk)
    fields["f.cutoffs.high"] = "240"
    fields["text"] = fields["text"].replace("low = 60", "low = ")
    answer = send(desk.page, fields, "check")
    assert "cutoffs.high = 240" in answer.words
    assert "low = \r\n" in fields_of(answer)["text"]


def test_earlier_changes_of_fields_are_no_changes_beside_the_text(desk: Desk) -> None:
    fields = opened(desk)
    fields["f.cutoffs.high"] = ""
    fields = fields_of(send(desk.page, fields, "check"))
    fields["text"] = fields["text"].replace("[cutoffs]\r\n", "[cutoffs]\r\nhigh = 250\r\n")
    fields["f.cutoffs.low"] = "50"
    answer = send(desk.page, fields, "check")
    assert "were not" not in answer.words
    assert box(fields_of(answer)) == text(low="50")


@pytest.mark.parametrize(
    ("old", "new", "fields"),
    [
        ('rating = "450 bar"', 'rating = "450 bar"\ncolour = "red"', {"f.flow_path.1.colour": ""}),
        ('rating = "450 bar"', 'rating = "450 bar"\nlength = "5 cm"\nparticle_size = "5 um"',
         {"f.flow_path.1.part": "tubing", "f.flow_path.1.particle_size": ""}),
        ("high = 250", "high = 250\nhih = 5", {"f.cutoffs.low": "", "f.cutoffs.hih": ""}),
        ("high = 250", 'high = 250\n"a.b" = 5', {"f.cutoffs.a%2Eb": ""}),
    ],
)  # fmt: skip
def test_a_key_taken_out_stays_out(desk: Desk, old: str, new: str, fields: dict[str, str]) -> None:
    (desk.folder / "kestrel.toml").write_text(text().replace(old, new))
    now = opened(desk)
    assert set(fields) <= set(now)
    for name, typed in fields.items():  # one by one, the kind of the part first
        if name in now:
            now[name] = typed
            now = fields_of(send(desk.page, now, "check"))
    for _ in range(2):
        now = fields_of(send(desk.page, now, "check"))
        assert all(name not in now or now[name] == typed for name, typed in fields.items())
    written = "Saved" in saved(desk, now).words
    assert written == ("f.flow_path.1.part" not in fields)  # without a column it is no profile
    for name, typed in fields.items():
        assert at(parse(bytes_of(desk).decode() if written else box(now)), name) == typed


def at(data: Any, name: str) -> str:
    """What a file has for the name of a field; "" for nothing."""
    for step in map(unquote, name.removeprefix("f.").split(".")):
        if isinstance(data, list):
            data = data[int(step)]
        else:
            data = data.get(step, "")
    return str(data)


def test_a_key_of_another_kind_does_not_come_back(desk: Desk) -> None:
    (desk.folder / "kestrel.toml").write_text(WITH_GEOMETRY)
    now = opened(desk)
    for name, typed in (
        ("part", "mixer"), ("length", ""), ("bore", ""), ("label", "m"), ("part", "tubing"),
        ("bore", "0.12 mm"),
    ):  # fmt: skip
        now[f"f.flow_path.1.{name}"] = typed
        now = fields_of(send(desk.page, now, "check"))
    part = parse(box(now))["flow_path"][1]
    assert part == {"part": "tubing", "label": "m", "bore": "0.12 mm"}


@settings(max_examples=60, suppress_health_check=list(HealthCheck))
@given(
    st.lists(
        st.tuples(
            st.sampled_from(
                ["cutoffs.high", "cutoffs.low", "cutoffs.odd", "flow_path.1.part",
                 "flow_path.1.rating", "flow_path.1.bore", "method.title"]
            ),
            st.sampled_from(["", "5", "tubing", "column", "4 mm"]),
        ),
        max_size=6,
    )
)  # fmt: skip
def test_what_the_form_shows_is_what_it_sends_back(
    desk: Desk, steps: list[tuple[str, str]]
) -> None:
    (desk.folder / "kestrel.toml").write_text(text().replace("low = 60", "low = 60\nodd = 1"))
    now = opened(desk)
    for name, typed in steps:
        if f"f.{name}" not in now:
            continue
        now[f"f.{name}"] = typed
        told = fields_of(send(desk.page, now, "check"))
        again = fields_of(send(desk.page, told, "check"))
        assert (again["text"], again["before"]) == (told["text"], told["before"])
        assert again[f"f.{name}"] == typed if f"f.{name}" in again else typed == ""
        now = again


@pytest.mark.parametrize(
    ("old", "new", "path", "kept"),
    [
        ("a = 1\nb = 2", "a = 1\nb = 3", ("a",), True),
        ("a = 1\nb = 2", "b = 2", ("a",), False),
        ("l = [{a = 1}, {a = 2}]", "l = [{a = 1}, {a = 3}]", ("l", 0, "a"), True),
        ("l = [{a = 1}, {a = 2}]", "l = [{a = 1}]", ("l", 0, "a"), False),
        ("l = [{a = 1}, {a = 2}, {a = 2}]", "l = [{a = 2}, {a = 2}, {}]", ("l", 1, "a"), False),
        ("l = 5", "l = 5", ("l", 0, "a"), False),
        ("l = [{a = 1, b = 1}]", "l = [{a = 1, b = 2}]", ("l", 0, "a"), False),
        ("l = [{a = 1, b = 1, c = 1}]", "l = [{a = 1, b = 2, c = 1}]", ("l", 0, "a"), True),
        ("l = [{a = 1, c = 1}]", "l = [{a = 1, b = 2, c = 1}]", ("l", 0, "a"), True),
        ("l = [{a = 1, b = 5}, {a = 2, b = 6}]", "l = [{a = 3, b = 5}, {a = 2, b = 6}]",
         ("l", 1, "a"), True),
        ("l = [{a = 1, b = 5}, {a = 2, b = 6}]", "l = [{a = 2, b = 8}, {a = 3, b = 5}]",
         ("l", 0, "b"), False),
        ("l = [{a = 1, b = 5}, {a = 2, b = 6}]", "l = [{a = 2, b = 6}, {a = 1, b = 5}]",
         ("l", 0, "a"), False),
        ('l = [{part = "a", r = 1, s = 1}]', 'l = [{part = "b", r = 1, s = 1}]',
         ("l", 0, "r"), False),
        ("l = [{n = [{a = 1, b = 1}, {a = 2, b = 2}], k = 1}]",
         "l = [{n = [{a = 1, b = 1}, {a = 2, b = 3}], k = 1}]", ("l", 0, "n", 0, "a"), True),
        ("a = 1.0", "a = 1.00", ("a",), False),
    ],
)  # fmt: skip
def test_where_a_path_means_the_same_in_two_texts(
    old: str, new: str, path: tuple[str | int, ...], kept: bool
) -> None:
    change = Change(path, "number", "7")
    assert both(old, new, [change]) == (([change], []) if kept else ([], [change]))


def test_another_key_of_the_part_in_the_text_and_its_rating_in_the_field(desk: Desk) -> None:
    fields = opened(desk)
    fields["f.flow_path.1.rating"] = "500 bar"
    old = 'part = "column"\r\n'
    fields["text"] = fields["text"].replace(old, f'{old}label = "new"\r\n')
    assert 'label = "new"' in fields["text"]
    answer = send(desk.page, fields, "check")
    assert "were not" not in answer.words
    column = parse(box(fields_of(answer)))["flow_path"][1]
    assert (column["label"], column["rating"]) == ("new", "500 bar")


def test_why_a_field_was_not_taken_is_said_as_it_is(desk: Desk) -> None:
    fields = opened(desk)
    fields["f.cutoffs.high"] = "240"
    fields["f.flow_path.1.rating"] = "500 bar"
    fields["text"] = (
        fields["text"]
        .replace("high = 250", "high = 230")
        .replace('part = "column"', 'part = "mixer"')
    )
    told = send(desk.page, fields, "check").words
    assert "cutoffs.high = 240: the text has 230 there now" in told
    assert "rating = 500 bar: the text changed around it, and which place is meant can't" in told

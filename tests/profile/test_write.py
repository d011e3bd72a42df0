"""Changing single values of a text, and putting files in place whole."""

from __future__ import annotations

import os
import stat
import tomllib
from datetime import date
from decimal import Decimal
from pathlib import Path
from random import Random
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from limitcheck.findings import KeyPath
from limitcheck.profile.atomic import CannotWrite, create_file, replace_file
from limitcheck.profile.places import Source, Span
from limitcheck.profile.removal import remove
from limitcheck.profile.toml import parse
from limitcheck.profile.write import ChangeRefused, append_table, assign, dump_profile

from .documents import DATA, StyledWriter, leaves

TEXT = (
    "\ufeff#:schema x.json\r\nformat = 1\r\n\r\n[cutoffs]  # as typed\r\n"
    "  high = 6_000 # psi\r\n\r\n[[flow_path]]\r\npart = 'pump'\r\n"
    "at = {flow = 1, unit = 'ml'}\r\nnone = {}\r\n"
    "[[flow_path]]\r\nlist = [\r\n1, # one\r\n2]\r\ndeep.er = 1\r\n"
)


@given(DATA, st.randoms(use_true_random=False), st.data())
def test_a_change_touches_one_value_and_no_other_character(
    data: dict[str, Any], random: Random, choose: st.DataObject
) -> None:
    text = StyledWriter(random).write(data)
    paths = list(leaves(parse(text)))
    assume(paths)
    path = choose.draw(st.sampled_from(paths))
    new = choose.draw(st.sampled_from(["350", "0.5", '"24.1 MPa"', "true", "[1, 2]", "2027-06-30"]))
    changed = assign(text, {path: new})
    span = Source(text).value_span(path)
    assert span is not None
    assert changed == text[: span.start] + new + text[span.end :]
    expected = leaves(tomllib.loads(text.removeprefix("\ufeff"), parse_float=Decimal))
    del expected[path]
    after = leaves(tomllib.loads(changed.removeprefix("\ufeff"), parse_float=Decimal))
    kept = {p: v for p, v in after.items() if p[: len(path)] != path}
    assert repr(sorted(kept.items(), key=repr)) == repr(sorted(expected.items(), key=repr))


def test_several_values_at_once() -> None:
    changed = assign(
        TEXT, {("flow_path", 1, "list", 1): "22", ("cutoffs", "high"): "413", ("format",): "2"}
    )
    assert changed == (
        TEXT.replace("6_000", "413")
        .replace("\r\n2]", "\r\n22]")
        .replace("format = 1", "format = 2")
    )


@pytest.mark.parametrize(
    ("changes", "old", "new"),
    [
        ({("cutoffs", "low"): "30"}, "# psi\r\n", "# psi\r\n  low = 30\r\n"),
        (
            {("cutoffs", "low"): "30", ("cutoffs", "b c"): "1"},
            "# psi\r\n",
            '# psi\r\n  low = 30\r\n  "b c" = 1\r\n',
        ),
        ({("title",): "'x'"}, "format = 1\r\n", "format = 1\r\ntitle = 'x'\r\n"),
        ({("flow_path", 0, "rating"): "'4'"}, "none = {}\r\n", "none = {}\r\nrating = '4'\r\n"),
        ({("flow_path", 0, "at", "x"): "2"}, "'ml'}", "'ml', x = 2}"),
        ({("flow_path", 0, "none", "x"): "2"}, "{}", "{ x = 2 }"),
        ({("flow_path", 1, "deep", "b"): "2"}, "er = 1\r\n", "er = 1\r\ndeep.b = 2\r\n"),
    ],
)
def test_a_missing_key_joins_its_table(
    changes: dict[tuple[str | int, ...], str], old: str, new: str
) -> None:
    assert TEXT.count(old) == 1
    assert assign(TEXT, changes) == TEXT.replace(old, new)


def test_a_missing_table_is_added_at_the_end() -> None:
    band: dict[tuple[str | int, ...], str] = {
        ("expected", "low"): "120",
        ("expected", "high"): "200",
        ("cutoffs", "high"): "5",
    }
    table = "\r\n[expected]\r\nlow = 120\r\nhigh = 200\r\n"
    assert assign(TEXT, band) == TEXT.replace("6_000", "5") + table
    assert assign("a = 1", {("b", "c d", "e"): "2"}) == 'a = 1\n\n[b."c d"]\ne = 2\n'


def test_a_text_without_a_last_line_end() -> None:
    assert assign("[a]\nb = 1", {("a", "c"): "2", ("a", "d"): "3"}) == "[a]\nb = 1\nc = 2\nd = 3"
    assert assign("[a]", {("a", "c"): "2", ("b", "d"): "3"}) == "[a]\nc = 2\n\n[b]\nd = 3\n"


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({("cutoffs", "high"): "1\nlow = 2"}, "not one TOML value"),
        ({("cutoffs", "high"): "1 # one"}, "not one TOML value"),
        ({("cutoffs", "high"): "400 bar"}, "not a TOML value"),
        ({("cutoffs", "high"): ""}, "not a TOML value"),
        ({("format", "x"): "1"}, "no place for format.x"),
        ({("flow_path", 2, "x"): "1"}, "no place for"),
        ({("flow_path", 0, "new", "x"): "1"}, "element of a list"),
        ({("flow_path", 1, "list", 2): "3"}, "no place for"),
        ({("cutoffs",): "1"}, "not be TOML"),
        ({("flow_path", 0, "none", "x"): "1", ("flow_path", 0, "none", "y"): "1"}, "not be TOML"),
    ],
)
def test_changes_with_side_effects_are_refused(
    changes: dict[tuple[str | int, ...], str], reason: str
) -> None:
    with pytest.raises(ChangeRefused, match=reason):
        assign(TEXT, changes)


def test_a_wrong_place_would_be_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    right = Source.value_span

    def misplaced(self: Source, path: tuple[str | int, ...]) -> Span | None:
        return right(self, ("format",) if path == ("high",) else path)

    monkeypatch.setattr(Source, "value_span", misplaced)
    with pytest.raises(ChangeRefused, match="more than the values"):
        assign("format = 1\nhigh = 2\n", {("high",): "3"})


def test_new_text_keeps_the_digits() -> None:
    profile = {"format": 1, "instrument": {"display_step": Decimal("0.10")}}
    assert dump_profile(profile) == "format = 1\n\n[instrument]\ndisplay_step = 0.10\n"


def test_replace_keeps_permissions_and_leaves_nothing_behind(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    file.write_bytes(b"old")
    file.chmod(0o640)
    replace_file(file, b"new\r\n")
    assert file.read_bytes() == b"new\r\n"
    assert stat.S_IMODE(file.stat().st_mode) == 0o640
    assert os.listdir(tmp_path) == ["a.toml"]


def test_replace_writes_through_a_link(tmp_path: Path) -> None:
    target = tmp_path / "below" / "a.toml"
    target.parent.mkdir()
    target.write_bytes(b"old")
    link = tmp_path / "link.toml"
    link.symlink_to(Path("below", "a.toml"))
    replace_file(link, b"new")
    assert link.is_symlink()
    assert target.read_bytes() == b"new"


def test_a_new_file_takes_the_usual_permissions(tmp_path: Path) -> None:
    replace_file(tmp_path / "a", b"x")
    create_file(tmp_path / "b", b"y")
    (tmp_path / "c").touch()
    modes = {stat.S_IMODE((tmp_path / name).stat().st_mode) for name in "abc"}
    assert len(modes) == 1
    assert (tmp_path / "b").read_bytes() == b"y"


def test_create_never_overwrites(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"old")
    (tmp_path / "link").symlink_to("nowhere")
    for name in ("a", "link"):
        with pytest.raises(CannotWrite, match="exists already"):
            create_file(tmp_path / name, b"new")
    assert (tmp_path / "a").read_bytes() == b"old"
    assert not (tmp_path / "nowhere").exists()


@pytest.mark.parametrize("name", ["missing/a.toml", "a\0b", "x" * 300, "."])
def test_places_that_take_no_file(tmp_path: Path, name: str) -> None:
    for write in (replace_file, create_file):
        with pytest.raises(CannotWrite) as refusal:
            write(tmp_path / name, b"x")
        assert refusal.value.advice
    assert os.listdir(tmp_path) == []


def test_a_failed_write_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "a"
    file.write_bytes(b"old")

    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(CannotWrite, match="No space left"):
        replace_file(file, b"new")
    with pytest.raises(CannotWrite, match="No space left"):
        create_file(tmp_path / "b", b"new")
    assert file.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["a"]


def test_a_write_protected_file_is_left_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "a"
    file.write_bytes(b"old")
    monkeypatch.setattr(os, "access", lambda path, mode: mode != os.W_OK)
    with pytest.raises(CannotWrite, match="write-protected"):
        replace_file(file, b"new")
    assert file.read_bytes() == b"old"


@given(DATA, st.randoms(use_true_random=False))
def test_a_table_at_the_end_leaves_every_character(data: dict[str, Any], random: Random) -> None:
    text = StyledWriter(random).write(data)
    assume("accepted" not in data)
    pairs = {"check": '"low-cutoff-off"', "limit": '{"a b" = "1 bar"}', "until": "2027-06-30"}
    after = append_table(append_table(text, "accepted", pairs), "accepted", pairs)
    assert after.startswith(text)
    entry = {"check": "low-cutoff-off", "limit": {"a b": "1 bar"}, "until": date(2027, 6, 30)}
    assert parse(after) == parse(text) | {"accepted": [entry, entry]}


@pytest.mark.parametrize("text", ["accepted = []\n", "accepted = 1\n", "[accepted]\nx = 1\n"])
def test_a_table_is_not_added_to_what_is_no_list_of_tables(text: str) -> None:
    with pytest.raises(ChangeRefused):
        append_table(text, "accepted", {"check": '"x"'})


def test_a_table_takes_one_value_a_key() -> None:
    with pytest.raises(ChangeRefused, match="is not one TOML value"):
        append_table("", "accepted", {"check": '"x"\nby = "y"'})


@pytest.mark.parametrize("braces", ["{}", "{ }", "{  }", "{\t}"])
@pytest.mark.parametrize("line", ["t = %s # why", "l = [1, %s, %s]", "a = { t = %s, b = 2 }"])
def test_what_was_put_into_empty_braces_and_taken_out_leaves_them_as_they_were(
    line: str, braces: str
) -> None:
    text = line.replace("%s", braces) + "\n"
    path: KeyPath = {"t": ("t",), "l": ("l", 1), "a": ("a", "t")}[line[0]]
    one = assign(text, {(*path, "x"): "1"})
    both = assign(one, {(*path, "y"): "'2'"})
    for first, second in ("xy", "yx"):
        assert remove(remove(both, (*path, first)), (*path, second)) == text

"""Whatever is refused: the text comes back with why, and nothing is written."""

from __future__ import annotations

import base64
import re
from collections.abc import Callable
from html import unescape
from pathlib import Path

import pytest

from limitcheck.page.guard import LARGEST_TEXT
from limitcheck.page.posted import LARGEST, MOST_CHECKED
from limitcheck.page.saving import ChangedMeanwhile, save
from limitcheck.profile import atomic

from ..profiles_for_tests import text, write
from .desk import Desk, bytes_of, fields_of, opened, saved, send
from .server import Answer

NEW = {"like": "conventional-400-bar", "id": "KB-NEW-001", "instrument": "KB-LC-03"}


def kept(answer: Answer) -> str:
    """The text that stands there to copy."""
    box = re.search(r'<textarea id="(?:copy|text)"[^>]*>\n(.*?)</textarea>', answer.text, re.S)
    return unescape(box[1]) if box else ""


def deleted(folder: Path) -> None:
    (folder / "kestrel.toml").unlink()


def linked_out(folder: Path) -> None:
    deleted(folder)
    outside = folder.parent / "outside.toml"
    outside.write_text(text())
    (folder / "kestrel.toml").symlink_to(outside)


def linked_within(folder: Path) -> None:
    (folder / "kestrel.toml").rename(folder / "real.toml")
    (folder / "kestrel.toml").symlink_to(folder / "real.toml")


def settings_in_error(folder: Path) -> None:
    (folder / "limitcheck.toml").write_text("[margins]\nhigh = ")


def settings_with_a_wrong_value(folder: Path) -> None:
    (folder / "limitcheck.toml").write_text('[margins]\nhigh = "a lot"\n')


def folder_gone(folder: Path) -> None:
    folder.rename(folder.parent / "elsewhere")


def not_text(folder: Path) -> None:
    (folder / "kestrel.toml").write_bytes(b"\xff\xfe")


HAPPENED = {
    deleted: "is no longer in this folder",
    linked_out: "outside of this folder",
    linked_within: "reached by a link",
    settings_in_error: "limitcheck.toml",
    settings_with_a_wrong_value: "limitcheck.toml",
    folder_gone: "is gone",
    not_text: "was changed since this form was opened",
}


@pytest.mark.parametrize("happens", HAPPENED)
@pytest.mark.parametrize("act", ["check", "save", "write", "add flow_path 1"])
def test_what_happens_to_the_file_meanwhile_keeps_the_text(
    desk: Desk, act: str, happens: Callable[[Path], None]
) -> None:
    fields = opened(desk)
    fields["f.cutoffs.high"] = "240"
    if act == "write":
        fields = fields_of(send(desk.page, fields, "save"))
    happens(desk.folder)
    there = {
        path: path.read_bytes() for path in desk.folder.parent.rglob("*.toml") if path.exists()
    }
    answer = send(desk.page, fields, act)
    assert answer.status == 200
    assert "high = 240" in kept(answer)
    if act in ("save", "write"):
        assert HAPPENED[happens] in answer.words
        assert "Not saved: kestrel.toml" in answer.words
    assert there == {
        path: path.read_bytes() for path in desk.folder.parent.rglob("*.toml") if path.exists()
    }


def test_a_deleted_file_can_be_saved_under_another_name(desk: Desk) -> None:
    fields = opened(desk)
    fields["f.cutoffs.high"] = "240"
    deleted(desk.folder)
    fields = fields_of(send(desk.page, fields, "save"))
    assert fields["was"] == ""
    fields["profile"] = "again"
    assert "Made: again.toml" in saved(desk, fields).words
    assert bytes_of(desk, "again.toml").decode() == text(high="240")


@pytest.mark.parametrize("act", ["save", "write"])
def test_a_name_taken_meanwhile_can_be_changed(desk: Desk, act: str) -> None:
    fields = fields_of(desk.page.get("/new", name="new", **NEW))
    fields["f.cutoffs.high"] = "120"
    if act == "write":
        fields = fields_of(send(desk.page, fields, "save"))
    write(desk.folder, "new.toml")
    answer = send(desk.page, fields, act)
    assert "new.toml exists already" in answer.words
    assert "high = 120" in kept(answer)
    again = fields_of(answer)
    again["profile"] = "../x"
    refused = send(desk.page, again, "save")
    assert "outside of this folder" in refused.words
    assert "high = 120" in kept(refused)
    again = fields_of(refused)
    again["profile"] = "site/x"
    again = fields_of(send(desk.page, again, "save"))
    again["profile"] = "other"
    assert "Made: other.toml" in saved(desk, again).words
    assert b"high = 120" in bytes_of(desk, "other.toml")
    assert bytes_of(desk, "new.toml") == text().encode()


@pytest.mark.parametrize("size", [LARGEST + 1, MOST_CHECKED + 1, 1_200_000])
def test_a_text_that_is_too_large_comes_back_whole(desk: Desk, size: int) -> None:
    fields = opened(desk)
    fields["text"] += "#" * (size - len(text()))
    answer = send(desk.page, fields, "save")
    assert "too large to be changed here" in answer.words
    assert len(kept(answer)) == size
    wrong = {**fields_of(answer), "seen": "0" * 64}
    assert "too large to be changed here" in send(desk.page, wrong, "write").words
    assert bytes_of(desk) == text().encode()


def test_the_largest_text_is_saved_and_opened(desk: Desk) -> None:
    fields = opened(desk)
    fields["text"] += "#" * (LARGEST - len(text()))
    assert "Saved" in saved(desk, fields).words
    assert len(bytes_of(desk)) == LARGEST
    assert opened(desk)["profile"] == "kestrel.toml"
    (desk.folder / "kestrel.toml").write_bytes(bytes_of(desk) + b"#")
    assert "too large to be changed here" in desk.page.get("/edit", profile="kestrel.toml").words


def test_no_more_than_that_is_read(desk: Desk) -> None:
    answer = desk.page.post("/edit", b"#" * (LARGEST_TEXT + 1), "multipart/form-data; boundary=x")
    assert answer.status == 413


def test_a_damaged_form_gives_its_text_back(desk: Desk) -> None:
    fields = opened(desk) | {"base": "%%%", "text": "format = 1 # mine"}
    assert "# mine" in kept(send(desk.page, fields, "save"))


def test_fields_that_cannot_be_written_stop_saving_and_stay(desk: Desk) -> None:
    fields = opened(desk)
    fields |= {"f.cutoffs.high": "1,200", "f.cutoffs.low": "50"}
    for act in ("check", "save"):
        answer = send(desk.page, fields, act)
        assert "write 1200, or 1.200, whichever is meant" in answer.words
        assert fields_of(answer)["f.cutoffs.high"] == "1,200"
        assert "high = 250\r\nlow = 50" in fields_of(answer)["text"]
    assert "Not saved: Some of what you typed is not in the text." in answer.words
    hidden = {"profile": "kestrel.toml", "was": fields["was"], "base": fields["base"]}
    assert "What changes" not in send(desk.page, {**fields, **hidden}, "write").words
    assert bytes_of(desk) == text().encode()


@pytest.mark.parametrize(
    ("typed", "taken"), [("120,5", "120.5"), ("1.234,5", "1234.5"), ("7", "7")]
)
def test_a_number_is_understood_as_people_write_it(desk: Desk, typed: str, taken: str) -> None:
    fields = opened(desk)
    fields["f.cutoffs.high"] = typed
    answer = send(desk.page, fields, "check")
    assert f"high = {taken}\r\n" in fields_of(answer)["text"]
    assert fields_of(answer)["f.cutoffs.high"] == taken
    assert "has no unit" not in answer.words


def test_a_file_that_changes_while_it_is_written_is_kept(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The write itself finds the other content, after the look before it."""
    fields = opened(desk)
    fields["f.cutoffs.high"] = "240"
    confirmation = fields_of(send(desk.page, fields, "save"))
    other = text(low="50").encode()
    inner = atomic.replace_file

    def slow(path: str, content: bytes, **rest: str) -> None:
        Path(path).write_bytes(other)
        inner(path, content, **rest)

    monkeypatch.setattr("limitcheck.page.saving.replace_file", slow)
    answer = send(desk.page, confirmation, "write")
    assert "was changed since this form was opened" in answer.words
    assert "Compare it with the file as it is now" in answer.words
    assert "high = 240" in kept(answer)
    assert bytes_of(desk) == other


def test_the_error_says_what_is_there_now(tmp_path: Path) -> None:
    from limitcheck.page.folder import Folder
    from limitcheck.page.saving import digest

    write(tmp_path)
    folder = Folder(str(tmp_path))
    folder.look()
    with pytest.raises(ChangedMeanwhile) as caught:
        save(folder, "kestrel.toml", b"x", digest(b"something else"))
    assert caught.value.now == digest(text().encode())


def test_nothing_is_read_for_a_name_outside(desk: Desk) -> None:
    other = desk.folder.parent / "other"
    other.mkdir()
    (other / "limitcheck.toml").write_text("[margins]\nhigh = [secret")
    (desk.folder / "within").symlink_to(other)
    whole = base64.b64encode(text().encode()).decode()
    for name in ("../other/x.toml", "within/x.toml", "../other", "x\0.toml"):
        for act in ("check", "save", "write"):
            answer = send(desk.page, {"profile": name, "was": "", "base": whole}, act)
            assert "secret" not in answer.text
            assert "outside of this folder" in answer.words
            assert "KB-TEA-014" in kept(answer)

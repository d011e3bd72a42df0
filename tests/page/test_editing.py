"""Making and changing profiles on the page: what is written, and what is refused without loss."""

from __future__ import annotations

import base64
import os
import re
from pathlib import Path

import pytest

from limitcheck.cli.app import run
from limitcheck.page.saving import Writing

from ..profiles_for_tests import text, write
from .desk import Desk, bytes_of, fields_of, opened, saved, send
from .server import served


@pytest.mark.parametrize("writing", [Writing.OFF, Writing.READ_ONLY])
def test_without_edit_nothing_can_be_changed(tmp_path: Path, writing: Writing) -> None:
    write(tmp_path)
    with served(tmp_path, writing) as page:
        for answer in (
            page.get("/edit", profile="kestrel.toml"),
            page.get("/new"),
            send(page, {"profile": "x.toml", "base": "", "was": ""}, "write"),
        ):
            assert answer.status == 403
            assert "nothing can be changed here" in answer.words
            assert ("--read-only" in answer.words) == (writing is Writing.READ_ONLY)
        told = page.get("/profile", profile="kestrel.toml")
        assert "Nothing is written" in told.words
        assert "/edit" not in told.text
    assert [path.name for path in tmp_path.iterdir()] == ["kestrel.toml"]


def test_the_footer_says_that_profiles_can_be_changed(desk: Desk) -> None:
    told = desk.page.ask("/").words
    assert "only after you have seen the change and confirmed it" in told
    assert "Nothing is written" not in told


def test_edit_and_read_only_contradict(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["page", str(tmp_path), "--edit", "--read-only", "--no-browser"]) == 2
    assert "--edit and --read-only contradict each other" in capsys.readouterr().err


def test_one_value_is_changed_and_saved(desk: Desk) -> None:
    before = bytes_of(desk)
    fields = opened(desk)
    assert fields["f.cutoffs.high"] == "250"
    assert fields["f.flow_path.1.rating"] == "450 bar"
    fields["f.cutoffs.high"] = "240"
    shown = send(desk.page, fields, "save")
    assert "-high = 250" in shown.text
    assert "+high = 240" in shown.text
    assert bytes_of(desk) == before
    assert "Saved: kestrel.toml" in send(desk.page, fields_of(shown), "write").words
    assert bytes_of(desk) == before.replace(b"high = 250", b"high = 240")


def test_findings_stand_at_the_field_and_in_the_list(desk: Desk) -> None:
    fields = opened(desk)
    fields["f.cutoffs.high"] = "500"
    answer = send(desk.page, fields, "check")
    at = re.search(r'id="f.cutoffs.high-found".*?</div>', answer.text, re.S)
    assert at is not None
    assert "Error:" in at[0]
    assert 'href="#f.cutoffs.high"' in answer.text
    assert "high-cutoff-above-rating" in answer.words
    assert "high = 500" in fields_of(answer)["text"]
    field = re.search(r'<input id="f.cutoffs.high"[^>]*>', answer.text)
    assert field is not None
    assert 'aria-invalid="true"' in field[0]


def test_errors_are_saved_only_after_they_are_shown(desk: Desk) -> None:
    before = bytes_of(desk)
    fields = opened(desk)
    wrong = base64.b64encode(before.replace(b"high = 250", b"high = 500")).decode()
    hidden = {"profile": "kestrel.toml", "was": fields["was"], "base": wrong}
    for seen in ("", "0" * 64):
        answer = send(desk.page, {**hidden, "seen": seen}, "write")
        assert "in what you save" in answer.words
        assert bytes_of(desk) == before
    assert "Saved" in send(desk.page, fields_of(answer), "write").words
    assert b"high = 500" in bytes_of(desk)


@pytest.mark.parametrize(
    ("old", "new"),
    [("format = 1", "format = 2"), ("high = 250", "high = "), ('"KB-TEA-014"', "5"), ("[[", "[[[")],
)
def test_what_is_no_profile_is_not_saved(desk: Desk, old: str, new: str) -> None:
    before = bytes_of(desk)
    fields = opened(desk)
    fields["text"] = fields["text"].replace(old, new, 1)
    answer = send(desk.page, fields, "save")
    assert "Not saved: It is not readable as a profile yet." in answer.words
    assert new in fields_of(answer)["text"]
    whole = {key: fields[key] for key in ("profile", "was")}
    body = base64.b64encode(fields["text"].encode()).decode()
    send(desk.page, {**whole, "base": body, "seen": "x"}, "write")
    assert bytes_of(desk) == before


def test_a_file_changed_meanwhile_is_not_written_over(desk: Desk) -> None:
    fields = opened(desk)
    fields["f.cutoffs.high"] = "240"
    confirmation = fields_of(send(desk.page, fields, "save"))
    other = bytes_of(desk).replace(b"low = 60", b"low = 50")
    (desk.folder / "kestrel.toml").write_bytes(other)
    for answer in (send(desk.page, confirmation, "write"), send(desk.page, fields, "save")):
        assert "was changed since this form was opened, here or by somebody else" in answer.words
        assert "high = 240" in answer.text
        assert bytes_of(desk) == other
    compared = send(desk.page, fields_of(answer), "save")
    assert "-low = 50" in compared.text
    assert "Saved" in send(desk.page, fields_of(compared), "write").words
    assert b"high = 240" in bytes_of(desk)


def test_a_file_that_is_gone_is_said_and_the_text_kept(desk: Desk) -> None:
    fields = opened(desk)
    fields["f.cutoffs.high"] = "240"
    confirmation = fields_of(send(desk.page, fields, "save"))
    (desk.folder / "kestrel.toml").unlink()
    answer = send(desk.page, confirmation, "write")
    assert "no longer in this folder" in answer.words
    assert "high = 240" in answer.text
    assert list(desk.folder.iterdir()) == []


def test_an_emptied_field_keeps_its_place_until_it_is_saved(desk: Desk) -> None:
    before = (desk.folder / "kestrel.toml").read_text().replace("high = 250", "high = 250  # why")
    (desk.folder / "kestrel.toml").write_text(before)
    fields = opened(desk)
    fields["f.cutoffs.high"] = ""
    emptied = fields_of(send(desk.page, fields, "check"))
    assert "high = 250" not in emptied["text"]
    emptied["f.cutoffs.high"] = "245"
    saved(desk, emptied)
    assert bytes_of(desk).decode() == before.replace("250  #", "245  #")


def test_a_new_profile_is_written_only_at_the_end(desk: Desk) -> None:
    begun = desk.page.get(
        "/new", like="conventional-400-bar", id="KB-NEW-001", instrument="KB-LC-03", name="new"
    )
    assert "New profile: new.toml" in begun.words
    assert not (desk.folder / "new.toml").exists()
    fields = fields_of(begun)
    fields["f.method.title"] = "Ours"
    assert "Made: new.toml" in saved(desk, fields).words
    assert run(["check", str(desk.folder / "new.toml")]) == 0
    assert b'title = "Ours"' in bytes_of(desk, "new.toml")
    again = desk.page.get("/new", like="conventional-400-bar", id="A", name="new.toml")
    assert "new.toml exists already" in again.words


@pytest.mark.parametrize(("name", "there"), [("Kestrel", "kestrel.toml"), ("A/B", "A/b.toml")])
def test_no_name_that_is_another_file_by_its_capitals_only(
    name: str, there: str, desk: Desk
) -> None:
    """Windows and macOS take both for one file: where both are copied, one is lost."""
    (desk.folder / "A").mkdir()
    for other in (there, there.replace(".toml", "-2.toml")):
        (desk.folder / other).write_bytes(bytes_of(desk))
    begun = desk.page.get("/new", like="conventional-400-bar", id="A", instrument="B", name=name)
    last = there.rpartition("/")[2]
    assert f"{name}.toml and {last}, which is there, are one file on Windows" in begun.words
    assert f"such as {name}-3.toml, or edit" in begun.words
    assert "New profile: " not in begun.words


def test_a_copy_keeps_the_text_and_has_its_own_id(desk: Desk) -> None:
    begun = desk.page.get("/new", like="file:kestrel.toml", id="KB-TEA-015", name="copy.toml")
    assert "Made" in saved(desk, fields_of(begun)).words
    assert bytes_of(desk, "copy.toml") == bytes_of(desk).replace(b"KB-TEA-014", b"KB-TEA-015")


@pytest.mark.parametrize(
    ("given", "wrong"),
    [
        ({"like": "conventional-400-bar", "id": "A", "name": "../x"}, ["name"]),
        ({"like": "conventional-400-bar", "name": "x"}, ["id"]),
        ({"name": ""}, ["like", "name"]),
        ({"like": "file:gone.toml", "id": "A", "name": "x"}, ["like"]),
    ],
)
def test_a_new_profile_that_is_refused_leads_to_its_fields(
    desk: Desk, given: dict[str, str], wrong: list[str]
) -> None:
    answer = desk.page.get("/new", **given)
    assert re.findall(r'<li><a href="#(\w+)">', answer.text) == wrong
    marked = r'id="(\w+)" name="\w+"[^>]* aria-invalid="true"[^>]*aria-describedby="[^"]*\1-wrong"'
    assert re.findall(marked, answer.text.replace("\n", "")) == wrong
    assert fields_of(answer)["name"] == given["name"]


def test_saving_is_one_link_away_from_every_section(desk: Desk) -> None:
    answer = desk.page.get("/edit", profile="kestrel.toml")
    names = re.findall(
        r'<a href="#save">Go to saving<span class="unseen">(.*?)</span>', answer.text
    )
    assert len(names) == len(set(names)) == answer.text.count("<fieldset")
    assert answer.text.count('id="save"') == 1
    assert '<a class="skip" href="#save">' in answer.text


@pytest.mark.parametrize(
    "name",
    [
        "../x.toml", "/tmp/x.toml", "a/../../x.toml", "..\\x.toml", "C:\\x.toml", ".x.toml",
        "-o.toml", "x.toml\x00", "x\r\n.toml", "con.toml", "NUL", "limitcheck.toml",
        "pyproject.toml", "nowhere/x.toml", "", " ", "x" * 400, "x.txt/", "turned\u202e.toml",
        "~/x.toml", "link/x.toml", "./x.toml", "a//b.toml", "/y.toml", "real//x.toml",
        "//real/x.toml", "real/", "kestrel.toml", "x.", "Limitcheck.TOML",
    ],
)  # fmt: skip
def test_hostile_names_are_refused(desk: Desk, name: str) -> None:
    outside = desk.folder.parent / "outside"
    outside.mkdir()
    (desk.folder / "link").symlink_to(outside)
    (desk.folder / "real").mkdir()
    answer = desk.page.get("/new", like="conventional-400-bar", id="A", name=name)
    assert answer.status == 200
    assert "Not begun yet" in answer.words
    content = base64.b64encode(text(high="240").encode()).decode()
    forged = {"profile": name, "was": "", "base": content}
    shown = send(desk.page, forged, "save")
    send(desk.page, {**forged, **fields_of(shown)}, "write")
    assert sorted(p.name for p in desk.folder.rglob("*")) == ["kestrel.toml", "link", "real"]
    assert list(outside.iterdir()) == []
    assert bytes_of(desk) == text().encode()


def test_no_link_is_written_through(desk: Desk) -> None:
    outside = desk.folder.parent / "outside.toml"
    outside.write_text(text())
    fields = opened(desk)
    fields["f.cutoffs.high"] = "240"
    confirmation = fields_of(send(desk.page, fields, "save"))
    (desk.folder / "kestrel.toml").unlink()
    (desk.folder / "kestrel.toml").symlink_to(outside)
    answer = send(desk.page, confirmation, "write")
    assert "Not saved" in answer.words
    assert outside.read_text() == text()
    inside = desk.folder / "real.txt"  # not listed itself, so that its link is
    inside.write_text(text())
    (desk.folder / "kestrel.toml").unlink()
    (desk.folder / "kestrel.toml").symlink_to(inside)
    assert "kestrel.toml" in desk.page.ask("/").words
    answer = send(desk.page, confirmation, "write")
    assert "is reached by a link" in answer.words
    assert inside.read_text() == text()
    assert (desk.folder / "kestrel.toml").is_symlink()
    (desk.folder / "kestrel.toml").unlink()
    write(desk.folder)
    (desk.folder / "real").mkdir()
    (desk.folder / "site").symlink_to(desk.folder / "real")
    new = {"profile": "site/new.toml", "was": "", "base": confirmation["base"]}
    assert "is reached by a link" in send(desk.page, new, "save").words
    assert list((desk.folder / "real").iterdir()) == []


@pytest.mark.parametrize("name", ["con", "AUX", "com1.old", "nul.d"])
def test_no_file_is_made_in_a_folder_named_like_a_device(desk: Desk, name: str) -> None:
    (desk.folder / name).mkdir()
    for file in (f"{name}/x.toml", f"{name}.toml"):
        answer = desk.page.get("/new", like="conventional-400-bar", id="A", name=file)
        assert "cannot be the name of a profile" in answer.words
    (desk.folder / "conical").mkdir()
    answer = desk.page.get("/new", like="conventional-400-bar", id="A", name="conical/x")
    assert "New profile: conical/x.toml" in answer.words


def test_other_sites_and_gets_write_nothing(desk: Desk) -> None:
    fields = opened(desk)
    fields["f.cutoffs.high"] = "240"
    confirmation = fields_of(send(desk.page, fields, "save"))
    foreign = send(desk.page, confirmation, "write", Origin="http://limits.example")
    assert foreign.status == 403
    assert desk.page.get("/edit", **confirmation, act="write").status == 200
    assert bytes_of(desk) == text().encode()


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_without_permission_is_said(desk: Desk) -> None:
    fields = opened(desk)
    fields["f.cutoffs.high"] = "240"
    desk.folder.chmod(0o500)
    answer = saved(desk, fields)
    desk.folder.chmod(0o700)
    assert "cannot be written" in answer.words
    assert "high = 240" in answer.text


@pytest.mark.parametrize(
    "error", [OSError(28, "No space left on device"), PermissionError(13, "no")]
)
def test_a_disk_that_fails_loses_nothing(
    desk: Desk, monkeypatch: pytest.MonkeyPatch, error: OSError
) -> None:
    fields = opened(desk)
    fields["f.cutoffs.high"] = "240"

    def failing(*_: object) -> None:
        raise error

    monkeypatch.setattr("limitcheck.profile.atomic._write_through", failing)
    answer = saved(desk, fields)
    assert "cannot be written" in answer.words
    assert "high = 240" in answer.text
    assert bytes_of(desk) == text().encode()
    assert [path.name for path in desk.folder.iterdir()] == ["kestrel.toml"]

"""The chosen folder: what is listed, what is read, and what is not."""

from __future__ import annotations

import os
from html import unescape
from pathlib import Path

import pytest

from limitcheck.errors import Refused
from limitcheck.page.folder import MOST_LISTED, Folder
from limitcheck.profile.text import UnreadableProfile

from ..profiles_for_tests import text, write
from .server import served


def names(folder: Folder) -> list[str]:
    folder.look()
    return [choice.name for choice in folder.choices()]


def test_profiles_are_listed_with_what_tells_them_apart(tmp_path: Path) -> None:
    write(tmp_path)
    (tmp_path / "site").mkdir()
    write(tmp_path / "site", "broken.toml", high='"what"')
    (tmp_path / "other.toml").write_text("[tool]\nname = 1\n")
    (tmp_path / "notes.txt").write_text("no profile")
    folder = Folder(str(tmp_path))
    folder.look()
    assert [choice.label for choice in folder.choices()] == [
        "kestrel.toml: KB-TEA-014 on KB-LC-03, bar",
        "site/broken.toml: cannot be used as it is",
    ]


def test_a_label_follows_the_file_and_the_files_it_uses(tmp_path: Path) -> None:
    shared = tmp_path / "instrument.toml"
    shared.write_text('[instrument]\nid = "KB-LC-03"\npressure_unit = "bar"\n')
    table = '[instrument]\nid = "KB-LC-03"\npressure_unit = "bar"\ndisplay_step = 1\n'
    assert table in text()
    profile = tmp_path / "kestrel.toml"
    profile.write_text(text().replace(table, '[instrument]\nuse = "instrument.toml"\n'))
    folder = Folder(str(tmp_path))
    folder.names = ["kestrel.toml"]
    (choice,) = folder.choices()
    assert choice.label.endswith("KB-LC-03, bar")
    shared.write_text('[instrument]\nid = "KB-LC-07"\npressure_unit = "psi"\n')
    os.utime(shared, ns=(1, 1))
    (choice,) = folder.choices()
    assert choice.label.endswith("KB-LC-07, psi")
    profile.unlink()
    (choice,) = folder.choices()
    assert choice.label.endswith("cannot be used as it is")


@pytest.mark.parametrize(
    "name",
    [
        "../secret.toml",
        "site/../../secret.toml",
        "/etc/passwd",
        "..\\secret.toml",
        ".git/x.toml",
        "kestrel.toml\x00",
        "./kestrel.toml",
        "site//inner.toml",
        "KESTREL.TOML",
        ".",
        "",
        "site",
        "~/x.toml",
        "link.toml",
        "linked/secret.toml",
        "kestrel.toml/",
    ],
)
def test_only_listed_names_are_read(tmp_path: Path, name: str) -> None:
    folder = tmp_path / "profiles"
    (folder / "site").mkdir(parents=True)
    (folder / ".git").mkdir()
    write(tmp_path, "secret.toml")
    write(folder)
    write(folder / "site", "inner.toml")
    write(folder / ".git", "x.toml")
    (folder / "link.toml").symlink_to(tmp_path / "secret.toml")
    (folder / "linked").symlink_to(tmp_path)
    chosen = Folder(str(folder))
    assert names(chosen) == ["kestrel.toml", "site/inner.toml"]
    with pytest.raises(Refused):
        chosen.load(name)


def test_a_link_inside_the_folder_is_followed(tmp_path: Path) -> None:
    (tmp_path / "site").mkdir()
    write(tmp_path / "site", "z.toml")
    (tmp_path / "a.toml").symlink_to(tmp_path / "site" / "z.toml")
    assert names(Folder(str(tmp_path))) == ["site/z.toml"]  # under its own name


def test_descriptions_outside_of_the_folder_are_not_shown(tmp_path: Path) -> None:
    (tmp_path / ".git").mkdir()
    folder = tmp_path / "profiles"
    folder.mkdir()
    (tmp_path / "secret.toml").write_text('[instrument]\nid = "SECRET"\npressure_unit = 5\n')
    uses = '[instrument]\nuse = "../secret.toml"\n[ignored]\n'
    (folder / "a.toml").write_text(text().replace("[instrument]\n", uses))
    chosen = Folder(str(folder))
    chosen.look()
    with pytest.raises(Refused, match=r"a\.toml uses .*secret\.toml, which lies outside"):
        chosen.load("a.toml")
    (tmp_path / "profiles" / "b.toml").write_text(text())
    with served(folder) as page:
        assert "SECRET" not in page.ask("/profile").text
        assert "SECRET" not in page.get("/profile", profile="a.toml").text


@pytest.mark.parametrize(
    "use",
    [
        '[instrument]\nuse = "instruments/kb-lc-05.toml"\n',
        '[[flow_path]]\nuse = "../../x.toml#y"\n',
    ],
)
def test_a_dropped_file_reads_no_other(tmp_path: Path, use: str) -> None:
    with pytest.raises(UnreadableProfile) as refused:
        Folder(str(tmp_path)).load_dropped(f"format = 1\n{use}".encode(), "dropped.toml")
    (finding,) = refused.value.findings
    assert finding.location is not None
    assert (finding.location.line, finding.location.column) == (3, 7)
    assert "put it into the folder" in finding.advice


@pytest.mark.parametrize(
    ("given", "shown"),
    [
        ("../../a.toml", "a.toml"),
        ("C:\\method\\a.toml", "a.toml"),
        ("", "dropped.toml"),
        ("/etc/a.toml", "a.toml"),
    ],
)
def test_of_a_dropped_name_only_the_end_is_kept(tmp_path: Path, given: str, shown: str) -> None:
    assert Folder(str(tmp_path)).load_dropped(text().encode(), given).path == shown


def test_names_a_browser_cannot_give_back_are_left_out(tmp_path: Path) -> None:
    write(tmp_path)
    for name in (b"bad\xff.toml", b"two\nlines.toml", "turned\u202e.toml".encode()):
        (tmp_path / os.fsdecode(name)).write_text(text())
    assert names(Folder(str(tmp_path))) == ["kestrel.toml"]


def test_of_too_many_profiles_the_name_is_typed(tmp_path: Path) -> None:
    for number in range(MOST_LISTED + 1):
        write(tmp_path, f"p{number:04}.toml")
    with served(tmp_path) as page:
        answer = page.ask("/entry")
        assert f"{MOST_LISTED + 1} files are in this folder" in answer.words
        assert "p0001.toml" not in answer.text
        assert len(answer.text) < 10_000
        assert "may be typed" in page.get("/entry", profile="p0001.toml", value="250").words
        refused = page.get("/entry", profile="p9999.toml", value="250").words
        assert '"p9999.toml" is not a profile in this folder' in refused


def test_the_policy_of_the_folder_holds_and_is_read_again(tmp_path: Path) -> None:
    write(tmp_path)
    policy = tmp_path / "limitcheck.toml"
    with served(tmp_path) as page:
        assert "bar + 25 %" in page.get("/profile", profile="kestrel.toml").words
        policy.write_text('[margins]\nhigh = "15 %"\n')
        assert "bar + 15 %" in page.get("/profile", profile="kestrel.toml").words
        assert "bar + 15 %" in page.drop(text().encode()).words
        policy.write_text("[margins]\nhigh = 15\n")
        for answer in (page.ask("/"), page.get("/profile", profile="kestrel.toml")):
            assert answer.status == 409
            assert "unreadable-settings" in answer.words
            assert "limitcheck failed" not in answer.words


def test_a_folder_that_is_gone_is_said(tmp_path: Path) -> None:
    folder = tmp_path / "gone"
    folder.mkdir()
    with served(folder) as page:
        assert "no profile is in this folder" in page.ask("/entry").words
        folder.rmdir()
        answer = page.ask("/entry")
        assert "is gone" in answer.words
        assert "Traceback" not in answer.text


@pytest.mark.parametrize("value", ["23:59:60", "0000-01-01", "1e999999999999999999999"])
def test_a_bad_file_is_one_bad_file_on_the_page(value: str, tmp_path: Path) -> None:
    """What no date or number holds: in a file of the folder, in a dropped file, in a policy."""
    good = text()
    bad = good.replace("[method]\n", f"[method]\nx = {value}\n", 1)
    (tmp_path / "good.toml").write_text(good, "utf-8")
    (tmp_path / "bad.toml").write_text(bad, "utf-8")
    line = bad[: bad.index("x = ")].count("\n") + 1
    with served(tmp_path) as page:
        assert page.get("/profile", profile="good.toml").status == 200
        told = page.get("/profile", profile="bad.toml")
        assert "bad.toml:" in told.words
        assert f":{line}:5" in told.words
        assert f":{line}:5" in page.drop(bad.encode()).words
        for path in ("/", "/profile", "/entry"):
            answer = page.get(path)
            assert answer.status == 200
            assert "fault of limitcheck" not in answer.words
        (tmp_path / "limitcheck.toml").write_text(f"x = {value}\n", "utf-8")
        told = page.get("/profile", profile="good.toml")
        assert "limitcheck.toml:1:5" in told.words
        assert "fault of limitcheck" not in told.words


def test_a_folder_that_cannot_be_listed_is_no_profile(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "shut").mkdir()
    real = os.scandir

    def denied(path: str) -> object:
        if str(path).endswith("shut"):
            raise PermissionError(13, "Permission denied", path)
        return real(path)

    monkeypatch.setattr(os, "scandir", denied)
    folder = Folder(str(tmp_path))
    folder.look()
    assert folder.names == []


def test_the_first_screen_says_what_was_skipped(tmp_path: Path) -> None:
    folder = tmp_path / "folder"
    (folder / "old").mkdir(parents=True)
    write(folder)
    write(folder / "old")
    write(tmp_path, "outside.toml")
    (folder / "limitcheck.toml").write_text('exclude = ["old", "new"]\n')
    (folder / "other.toml").write_text("[server]\n")
    (folder / "link.toml").symlink_to(tmp_path / "outside.toml")
    (folder / "old" / os.fsdecode(b"\xff.toml")).write_text("x = 1\n")
    with served(folder) as page:
        shown = " ".join(unescape(page.get("/").text).split())
    assert '3 TOML files skipped: 1 not a profile, 2 excluded by exclude = "old"' in shown
    assert 'exclude = "new"' in shown
    assert "<li>other.toml: not a profile</li>" in shown
    assert "Not shown: 1 that lead out of this folder by a link" in shown

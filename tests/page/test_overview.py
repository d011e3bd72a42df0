"""The overview: every profile with the state that `limitcheck check` gives it, and a filter."""

from __future__ import annotations

import json
import os
import re
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from limitcheck.cli.app import run
from limitcheck.page.folder import MOST_LISTED
from limitcheck.page.overview import PAGE

from ..profiles_for_tests import text, write
from .conftest import EXAMPLES
from .server import Answer, Client, served


def rows(answer: Answer) -> dict[str, str]:
    """The words of each row, by the name of its file."""
    body = answer.text[answer.text.index("<tbody>") : answer.text.index("</tbody>")]
    found = {}
    for row in body.split("<tr>")[1:]:
        words = " ".join(unescape(re.sub(r"<[^>]*>", " ", row)).split())
        names = re.findall(r'<span class="file">([^<]*\.toml)</span>', row)
        found[unescape(names[0])] = words
    return found


def checked(capsys: pytest.CaptureFixture[str]) -> list[dict[str, Any]]:
    run(["check", str(EXAMPLES), "--format", "json"])
    found: list[dict[str, Any]] = json.loads(capsys.readouterr().out)["profiles"]
    return found


def test_each_state_is_that_of_the_command(
    page: Client, capsys: pytest.CaptureFixture[str]
) -> None:
    shown = rows(page.ask("/"))
    profiles = checked(capsys)
    assert len(shown) == len(profiles) > 15
    for profile in profiles:
        name = Path(profile["path"]).relative_to(EXAMPLES).as_posix()
        open_ones = [f for f in profile["findings"] if not f["accepted"] and not f["known"]]
        grades = [f["severity"] for f in open_ones]
        worst = next((g for g in ("error", "warning", "note") if g in grades), None)
        rest = "not decided" if profile["checks"]["not_decided"] else "nothing open"
        assert f" {worst or rest} " in shown[name]
        assert profile["instrument"] in shown[name]
        if worst:
            first = next(f["check"] for f in open_ones if f["severity"] == worst)
            assert first in shown[name]


@pytest.mark.parametrize(
    ("fields", "names"),
    [
        ({"instrument": "hm-lc-11"}, {"transfer/harrow-mill-11.toml"}),
        ({"instrument": "hm-lc-11", "state": "error"}, {"transfer/harrow-mill-11.toml"}),
        ({"method": "um column xanthines", "instrument": "hm-lc-11", "state": ""},
         {"transfer/harrow-mill-11.toml"}),
        ({"method": "outlet-frit"}, {"cutoffs/outlet-frit-too-coarse.toml"}),
        ({"state": "note"}, set()),
        ({"method": "<b>", "state": "no such"}, set()),
    ],
)  # fmt: skip
def test_the_filter(page: Client, fields: dict[str, str], names: set[str]) -> None:
    answer = page.get("/", **fields)
    assert answer.status == 200
    if names:
        assert set(rows(answer)) == names
    else:
        assert "make the filter wider" in answer.words
    assert f"{len(names)} shown of 21 profiles: 16 with an error, 3 with a warning" in answer.words
    for value in fields.values():
        assert not value or f'value="{value}"' in unescape(answer.text) or "state" in fields


def test_the_worst_stands_first_then_the_weakest_margin(page: Client) -> None:
    shown = list(rows(page.ask("/")).values())
    grades = [" error ", " warning ", " not decided ", " nothing open "]
    order = [next(number for number, grade in enumerate(grades) if grade in row) for row in shown]
    assert order == sorted(order)
    beyond = [float(m[1]) for row in shown if (m := re.search(r"([0-9.]+) % over the rating", row))]
    assert len(beyond) > 3
    assert beyond == sorted(beyond, reverse=True)


def test_what_is_not_decided_is_a_state_of_its_own(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Attack on issue 18, 4: "nothing open" of a profile with checks not decided; the table of
    the command counts it apart."""
    write(tmp_path)
    write(tmp_path, "band.toml", expected_low="", expected_high="", method='"KB-TEA-099"')
    path = tmp_path / "band.toml"
    path.write_text(path.read_text().replace("[expected]\n\n", "[conditions]\n"))
    (tmp_path / "limitcheck.toml").write_text("[require]\nchecks = []\n")
    with served(tmp_path) as page:
        answer = page.ask("/")
        assert " not decided no findings; " in rows(answer)["band.toml"]
        assert "checks not decided" in rows(answer)["band.toml"]
        told = answer.words
        assert set(rows(page.get("/", state="not decided"))) == {"band.toml", "kestrel.toml"}
        assert "make the filter wider" in page.get("/", state="nothing open").words
    run(["check", str(tmp_path)])
    table = capsys.readouterr().out
    number = re.search(r"(\d+) with checks not decided", " ".join(table.split()))
    assert number is not None
    assert f"{number[1]} with checks not decided" in told


def test_what_cannot_be_read_is_listed_first(tmp_path: Path) -> None:
    write(tmp_path)
    write(tmp_path, "broken.toml", high='"what"')
    with served(tmp_path) as page:
        shown = rows(page.ask("/"))
        assert list(shown) == ["broken.toml", "kestrel.toml"]
        assert "cannot be read" in shown["broken.toml"]
        assert "not known" in shown["broken.toml"]
        assert "high cutoff" in shown["kestrel.toml"]
        assert "2 profiles: 1 cannot be read" in page.ask("/").words


def test_a_changed_file_is_checked_again(tmp_path: Path) -> None:
    path = tmp_path / "tea.toml"
    path.write_text(text())
    with served(tmp_path) as page:
        before = rows(page.ask("/"))["tea.toml"]
        path.write_text(text(high="900"))
        os.utime(path, ns=(1, 1))
        after = rows(page.ask("/"))["tea.toml"]
        assert before != after
        assert "high-cutoff-above-rating" in after
        assert "low-cutoff-off" not in after
        path.write_text(text(low="0"))
        assert " warning low-cutoff-off" in rows(page.ask("/"))["tea.toml"]
        (tmp_path / "limitcheck.toml").write_text('[severity]\nlow-cutoff-off = "error"\n')
        assert " error low-cutoff-off" in rows(page.ask("/"))["tea.toml"]


def test_files_that_contradict_each_other_say_so(tmp_path: Path) -> None:
    write(tmp_path, "one.toml")
    two = text().replace('pressure_unit = "bar"', 'pressure_unit = "MPa"')
    (tmp_path / "two.toml").write_text(two)
    with served(tmp_path) as page:
        shown = rows(page.ask("/"))
        assert all(" error " in words for words in shown.values())


def test_of_many_files_a_page_is_checked_at_a_time(tmp_path: Path) -> None:
    for number in range(MOST_LISTED + 1):
        write(tmp_path, f"p{number:04}.toml")
    with served(tmp_path) as page:
        first = page.ask("/")
        assert len(rows(first)) == PAGE
        assert "page 1 of 3" in first.words
        assert "compared with the files of that page only" in first.words
        (onward,) = re.findall(r'href="([^"]*)">Next page', first.text)
        second = page.ask(unescape(onward))
        assert "page 2 of 3" in second.words
        assert not set(rows(first)) & set(rows(second))
        assert "Page before" in second.words
        assert list(rows(page.get("/", method="p0007"))) == ["p0007.toml"]
        _told_of_what_was_looked_at(page, first)
        for odd in ("0", "-1", "99", "x", "1" * 5000, "²"):
            assert "page 1 of 3" in page.get("/", page=odd).words


def _told_of_what_was_looked_at(page: Client, first: Answer) -> None:
    """Attack on issue 18, 11: "No profile is like that", said of 100 files out of 250."""
    files = MOST_LISTED + 1
    assert f"100 of {files} files looked at: 100 with " in first.words
    assert "have such a name" not in first.words
    for asked in ({"instrument": "I-99"}, {"state": "note"}, {"state": "note", "page": "2"}):
        none = page.get("/", **asked)
        assert f"0 shown; 100 of {files} files looked at: " in none.words
        assert (
            f"None of those looked at is like that. {files - 100} files of the folder" in none.words
        )
        assert "No profile is like that" not in none.words
    named = page.get("/", method="p00", instrument="I-99")
    assert f"100 of the {files} files have such a name; page 1 of 1" in named.words
    assert "were not looked at: make the filter wider" in named.words


def test_a_file_that_takes_values_from_outside_is_not_judged(tmp_path: Path) -> None:
    (tmp_path / ".git").mkdir()
    folder = tmp_path / "profiles"
    folder.mkdir()
    (tmp_path / "secret.toml").write_text('[instrument]\nid = "SECRET"\npressure_unit = "bar"\n')
    uses = '[instrument]\nuse = "../secret.toml"\n[ignored]\n'
    (folder / "a.toml").write_text(text().replace("[instrument]\n", uses))
    write(folder, "b.toml")
    with served(folder) as page:
        answer = page.ask("/")
        assert "SECRET" not in answer.text
        assert list(rows(answer)) == ["b.toml"]


def test_a_profile_is_compared_with_the_others_as_in_the_overview(page: Client) -> None:
    answer = page.get("/profile", profile="transfer/kestrel-bay.toml")
    assert "duplicate-method-revision" in rows(page.ask("/"))["transfer/kestrel-bay.toml"]
    assert "duplicate-method-revision" in answer.words
    assert "KB-TEA-031 revision A on KB-LC-05: 1 error." in answer.words
    assert "Not compared with other files" not in answer.words
    report = page.get("/report", profile="transfer/kestrel-bay.toml")
    assert "duplicate-method-revision" in report.words


def test_where_it_is_not_compared_that_is_said(page: Client, tmp_path: Path) -> None:
    assert "Not compared with other files" in page.drop(text().encode()).words
    for number in range(MOST_LISTED + 1):
        write(tmp_path, f"p{number:04}.toml")
    with served(tmp_path) as other:
        assert "Not compared" in other.get("/profile", profile="p0001.toml").words


def test_a_file_put_there_with_the_time_and_size_of_the_old_one_is_seen(tmp_path: Path) -> None:
    """As by `cp -p` and by tools that copy folders with the times of their files."""
    path = write(tmp_path)
    before = path.stat()
    with served(tmp_path) as page:
        assert "25 % above the highest normal pressure" in page.ask("/").words
        path.write_text(path.read_text("utf-8").replace("high = 250", "high = 190"), "utf-8")
        os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
        assert path.stat().st_size == before.st_size
        assert "below the highest normal pressure" in page.ask("/").words

"""What holds for every screen: nothing is written, names are escaped, a fault is told."""

from __future__ import annotations

import time
import tomllib
from pathlib import Path
from urllib.parse import quote

import pytest

from limitcheck.page.guard import FIXED

from ..profiles_for_tests import text
from .commands import COPIED, TEA
from .conftest import EXAMPLES
from .server import Client, served
from .test_guard import OURS

TODAY = tomllib.loads((EXAMPLES / "logs/kestrel-bay-today.toml").read_text())


def test_without_a_profile_one_is_asked_for(page: Client) -> None:
    for path, fields in (
        ("/entry", {"value": "35", "profile": ""}),
        ("/profile", {"profile": ""}),
        ("/transfer", {"profile": TEA, "to": ""}),
        ("/reading", {"pressure": "300"}),
    ):
        answer = page.get(path, **fields)
        assert "no profile is chosen" in answer.words
        assert 'aria-invalid="true"' in answer.text


def test_nothing_is_written(tmp_path: Path) -> None:
    (tmp_path / "tea.toml").write_text(text(high="35"))
    before = (tmp_path / "tea.toml").stat()
    with served(tmp_path) as page:
        page.get("/entry", profile="tea.toml", value="35")
        page.get("/profile", profile="tea.toml")
        page.get("/report", profile="tea.toml")
        page.get("/reading", profile="tea.toml", pressure="300")
        page.get("/transfer", **{"profile": "tea.toml", "to": "tea.toml"})
        page.drop(b"#" * 250_000)
    assert [path.name for path in tmp_path.iterdir()] == ["tea.toml"]
    after = (tmp_path / "tea.toml").stat()
    assert (after.st_mtime_ns, after.st_size) == (before.st_mtime_ns, before.st_size)


EVIL = '"><script>alert(1)</script>\\u202e\\u001b[2J&'


def test_names_are_escaped_everywhere(tmp_path: Path) -> None:
    profile = text().replace('id = "KB-TEA-014"', f'id = "{EVIL}"\ntitle = "{EVIL}"')
    profile = profile.replace('part = "pump"', f'part = "pump"\nlabel = "{EVIL}"')
    (tmp_path / "<b>&.toml").write_text(profile)
    with served(tmp_path) as page:
        asked = [page.ask(path) for path in ("/", "/entry", "/profile", "/transfer", "/reading")]
        name = "<b>&.toml"
        asked += [
            page.get("/entry", profile=name, value="900"),
            page.get("/profile", profile=name),
            page.get("/transfer", **{"profile": name, "to": name}),
            page.get("/blockage", profile=name, step=EVIL, **{f"read.{EVIL}": EVIL}),
            page.get("/blockage", profile=name, ask=EVIL, flow=EVIL, **{"read.all": EVIL}),
            page.get("/convert", pressure=EVIL, to=EVIL, step=EVIL, **{"as": EVIL}),
            page.get("/", profile=name, method=EVIL, instrument=EVIL, state=EVIL, **{"for": EVIL}),
            page.give(profile.encode(), EVIL, f"/reading?profile={quote(name)}"),
            page.get("/entry", profile=EVIL, value=EVIL, unit=EVIL, field=EVIL),
            page.get("/reading", profile=name, pressure=EVIL, flow=EVIL),
            page.get("/report", profile=name),
            page.drop(profile.encode(), EVIL),
            page.ask("/%3Cscript%3E"),
            page.get("/report", profile=EVIL),
        ]
    for answer in asked:
        assert "<script" not in answer.text.replace(OURS, "", 1)
        assert "<b>" not in answer.text
        assert "\u202e" not in answer.text or "attachment" in str(answer.headers)
        assert "\x1b" not in answer.text or "attachment" in str(answer.headers)
        assert "limitcheck failed" not in answer.text


def test_a_fault_of_ours_is_a_plain_page(
    page: Client, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("<i>broken")

    monkeypatch.setattr("limitcheck.page.numbers.ask", broken)
    answer = page.get("/entry", profile=TEA, value="35")
    assert answer.status == 500
    assert "limitcheck failed: RuntimeError: <i>broken" in answer.words
    assert "<i>" not in answer.text
    assert "Traceback" not in answer.text
    assert answer.headers["content-security-policy"]
    told = ""
    while "RuntimeError" not in told:  # said after the answer is sent
        time.sleep(0.01)
        told += capsys.readouterr().err
    assert "Traceback" not in told


def test_every_screen_weighs_little(page: Client) -> None:
    """The whole page with its style and script, at most 100 kB."""
    steps = {f"read.{step}": str(value) for step, value in TODAY["readings"].items()}
    screens = [
        page.ask("/"),
        page.get("/entry", profile=TEA, value="35"),
        page.get("/profile", profile=COPIED),
        page.drop(text().encode()),
        page.get("/transfer", **{"profile": TEA, "to": COPIED}),
        page.get("/reading", profile=TEA, pressure="368"),
        page.get("/blockage", profile=TEA, **steps),
    ]
    fixed = sum(len(page.ask(path).text) for path in FIXED)
    assert max(len(screen.text) for screen in screens) + fixed <= 100_000

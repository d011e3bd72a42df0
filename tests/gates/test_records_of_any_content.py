"""Known findings, records and qualifications: whatever is in them, or in their place."""

from __future__ import annotations

import os
import zlib
from pathlib import Path

import pytest

from limitcheck.checking.policy_file import forget_policies
from limitcheck.cli.app import run
from tests.profiles_for_tests import TEXT

DEEP = b"[" * 200_000
CONTENTS = {
    "nested beyond any stack": DEEP,
    "nested inside": b'{"format": 1, "known": ' + DEEP + b"]" * 200_000 + b"}",
    "a number of 10,000 digits": b'{"format": 1, "known": ' + b"9" * 10_000 + b"}",
    "every byte": bytes(range(256)),
    "half of a pair": b'{"format": 1, "known": [{"check": "\\ud800"}]}',
    "60,000 wrong entries": b'{"format": 1, "known": [' + b'{"check": 5},' * 59_999 + b"5]}",
    "not numbers": b'{"format": NaN, "known": [1e999]}',
    "a web page": b'<script type="application/json" id="record">' + DEEP + b"</script>",
    "a PDF that swells": b"%PDF-1.7 /Type /EmbeddedFile stream\n"
    + zlib.compress(b" " * 300_000_000, 9),
}
COMMANDS = {
    "check tea.toml --known it": "it",
    "check tea.toml --write-known it": "it",
    "transfer --verify it": "not a record of limitcheck transfer",
    "transfer tea.toml tea.toml --qualification it": "not a qualification record",
}


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    Path("tea.toml").write_text(TEXT, "utf-8")
    return tmp_path


@pytest.mark.parametrize("line", COMMANDS)
@pytest.mark.parametrize("content", CONTENTS.values(), ids=CONTENTS.keys())
def test_it_is_refused_by_name_and_left_as_it_is(
    line: str, content: bytes, capsys: pytest.CaptureFixture[str]
) -> None:
    Path("it").write_bytes(content)
    assert run(line.split()) == 2
    said = capsys.readouterr().err
    assert COMMANDS[line] in said
    assert "This is a fault of limitcheck" not in said
    assert len(said) < 1000
    assert Path("it").read_bytes() == content


@pytest.mark.skipif(os.name != "posix", reason="places of POSIX")
@pytest.mark.parametrize("line", [*COMMANDS, "isolate tea.toml --file it", "baseline it"])
@pytest.mark.parametrize("device", ["/dev/zero", ""], ids=["endless", "a pipe nobody writes to"])
def test_what_never_ends_is_not_read(
    line: str, device: str, capsys: pytest.CaptureFixture[str]
) -> None:
    if device:
        os.symlink(device, "it")
    else:
        os.mkfifo("it")
    assert run(line.split()) == 2
    assert "not a regular file" in capsys.readouterr().err + capsys.readouterr().out


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes of POSIX")
def test_a_pipe_in_the_place_of_a_policy_ends_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    """Nobody waits for it; one called pyproject.toml is somebody else's."""
    os.mkfifo("pyproject.toml")
    assert run(["check", "tea.toml"]) == 0
    os.mkfifo("limitcheck.toml")
    forget_policies()
    assert run(["check", "tea.toml"]) == 2
    assert "limitcheck.toml:1:1" in capsys.readouterr().err

"""What the commands say of the examples, to compare the page with."""

from __future__ import annotations

import json
from typing import Any

import pytest

from limitcheck.cli.app import run

TEA = "transfer/kestrel-bay.toml"
COPIED = "transfer/harrow-mill-copied.toml"


def command(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """What a command prints, without its line breaks."""
    run(arguments)
    captured = capsys.readouterr()
    return " ".join((captured.out + captured.err).split())


def document(capsys: pytest.CaptureFixture[str], *arguments: str) -> Any:
    """What a command prints as JSON."""
    run([*arguments, "--format", "json"])
    return json.loads(capsys.readouterr().out)

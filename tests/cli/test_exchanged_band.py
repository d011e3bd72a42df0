"""An expected band whose ends are exchanged: no answer takes it for the normal pressure."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from limitcheck.cli.app import run
from tests.profiles_for_tests import WITH_GEOMETRY

EXCHANGED = re.sub(r"low = (145)\nhigh = (172)", r"low = \2\nhigh = \1", WITH_GEOMETRY)
WITHOUT = re.sub(r"\[expected\].*\n(?:\w+ = .*\n)+", "", EXCHANGED)


@pytest.fixture
def exchanged(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """The file's name; `without.toml` beside it is the same profile without a band."""
    monkeypatch.chdir(tmp_path)
    Path("exchanged.toml").write_text(EXCHANGED, "utf-8")
    Path("without.toml").write_text(WITHOUT, "utf-8")
    return "exchanged.toml"


def said(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """What a command says, in one line."""
    run(list(arguments))
    out, err = capsys.readouterr()
    return " ".join((out + err).split())


@pytest.mark.parametrize("read", [[], ["all=170", "column-inlet=12"], ["all=90"], ["all=240"]])
@pytest.mark.parametrize("at", [[], ["--at", "flow=0.8 mL/min"]])
def test_a_restriction_is_sought_as_if_there_were_no_band(
    exchanged: str, read: list[str], at: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    given = [word for item in read for word in ("--reading", item)]
    found = []
    for profile in (exchanged, "without.toml"):
        run(["isolate", profile, *given, *at, "--format", "json"])
        found.append(json.loads(capsys.readouterr().out))
    assert "expected-inverted" in found[0]["band_in_doubt"]
    for data in found:
        del data["profile"], data["band_in_doubt"]
    assert found[0] == found[1]

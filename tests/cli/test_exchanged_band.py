"""An expected band whose ends are exchanged: no answer takes it for the normal pressure."""

from __future__ import annotations

import json
import re
from datetime import date
from pathlib import Path

import pytest

from limitcheck.checking.file import check_file
from limitcheck.checking.margins import margins_of
from limitcheck.checks.required import CORE
from limitcheck.cli.app import run
from limitcheck.documents.findings import finding_blocks
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import load, load_bytes
from tests.profiles_for_tests import WITH_GEOMETRY

WHY = "the expected minimum is above the maximum"
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


def test_a_transfer_goes_by_neither_band_whose_ends_are_exchanged(
    exchanged: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """As the sender's: normal runs cannot be predicted. As the receiver's: it was not measured."""
    measured = WITH_GEOMETRY.replace("high = 172\n", 'high = 172\nbasis = "measured"\n')
    inverted = EXCHANGED.replace("high = 145\n", 'high = 145\nbasis = "measured"\n')
    Path("measured.toml").write_text(measured, "utf-8")
    Path(exchanged).write_text(inverted, "utf-8")
    for sending, receiving, side in (
        (exchanged, "measured.toml", "sending"),
        ("measured.toml", exchanged, "receiving"),
    ):
        told = said(capsys, "transfer", sending, receiving, "-o", "record.json")
        assert "do not accept" in told
        assert "172 bar to 145 bar" not in told
        assert "measured here" not in told
        why = f"the {side} profile's expected band is not used: {WHY}"
        assert f"expected low: {why}" in told or f"bar: {why}" in told
    data = json.loads(Path("record.json").read_text("utf-8"))
    scaled = data["expected"]["scaled"]
    assert scaled["high"]["central"]["value"] == "172"


def test_no_profile_is_made_with_exchanged_ends(
    exchanged: str, capsys: pytest.CaptureFixture[str]
) -> None:
    told = said(capsys, "transfer", exchanged, "--new", "new.toml", "--instrument", "without.toml")
    assert "no high cutoff can be proposed" in told
    assert "correct the sending profile first" in told
    assert not Path("new.toml").exists()
    assert WHY in said(capsys, "fit", exchanged, "--on", "without.toml")


def test_nothing_shows_the_ends_as_what_is_normal(
    exchanged: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Neither scale draws them; the prediction and the check say what is to be done first."""
    why = "low 172 bar is above high 145 bar"
    told = said(capsys, "predict", exchanged)
    assert "[expected] is in doubt (expected-inverted, " in told
    assert "It is not used here: correct it first." in told
    assert "The profile expects" not in told
    told = said(capsys, "report", exchanged, "-o", "report.html", "-o", "report.txt")
    told += Path("report.txt").read_text("utf-8") + Path("report.html").read_text("utf-8")
    assert f"Expected pressure in doubt, not drawn: {why}" in told
    assert f"? expected pressure in doubt: {why}" in told
    assert not re.search(r"[Nn]ormal:? (145|172) ", told)
    below = EXCHANGED.replace("high = 260", "high = 140")
    Path(exchanged).write_text(below, "utf-8")  # a scale stands under a finding about a cutoff
    told = said(capsys, "check", exchanged)
    assert f"? expected pressure in doubt: {why}" in told
    assert "the expected minimum is above the maximum; correct [expected] first" in told
    assert "add low and high" not in told


def test_no_margin_is_counted_from_exchanged_ends() -> None:
    found = margins_of(load_bytes(EXCHANGED.encode(), "exchanged.toml").profile, doubt="")
    assert {margin.of for margin in found.known} == {"the rating of the pump"}
    assert "normal band in doubt: low 172 bar is above high 145 bar" in found.missing


@pytest.mark.parametrize("ends", ["low = 172\nhigh = 145", "low = 380\nhigh = 390"])
def test_no_bound_and_no_way_is_drawn_from_a_band_in_doubt(
    ends: str, exchanged: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exchanged, or far from what is predicted."""
    Path(exchanged).write_text(WITH_GEOMETRY.replace("low = 145\nhigh = 172", ends), "utf-8")
    run(["propose", exchanged, "--format", "json"])
    (data,) = json.loads(capsys.readouterr().out)["proposals"]
    assert "the expected band is in doubt" in data["high"]["withheld"]
    assert (data["high"]["bounds"], data["ways_to_make_room"]) == ([], [])
    told = said(capsys, "propose", exchanged)
    assert "makes room" not in told
    assert "expected high" not in told


def test_a_log_is_not_compared_with_exchanged_ends(
    exchanged: str, log: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The normal band of the log was "elsewhere than the measured one", and not written."""
    inverted = EXCHANGED.replace("high = 145\n", 'high = 145\nbasis = "measured"\n')
    Path(exchanged).write_text(inverted, "utf-8")
    told = said(capsys, "baseline", str(log), "--profile", exchanged, "--write")
    assert f"not compared: {WHY}" in told
    assert "elsewhere" not in told
    band = load(exchanged).profile.expected
    assert band is not None
    assert band.low < band.high


RESTING = {
    *("high-cutoff-below-expected", "high-cutoff-margin-thin", "high-cutoff-margin-wide"),
    *("low-cutoff-above-expected", "low-cutoff-margin-thin", "low-cutoff-margin-wide"),
    *("expected-above-rating", "expected-against-prediction"),
}


@pytest.mark.parametrize("high", [100, 145, 146, 160, 172, 173, 260])
@pytest.mark.parametrize("low", [0, 30, 145, 171, 172, 250])
def test_no_check_that_rests_on_the_band_holds(high: int, low: int) -> None:
    """Below both ends a cutoff is below the band however they are meant; nothing else is decided.

    What is left open counts, also where somebody accepts that the ends are exchanged.
    """
    text = EXCHANGED.replace("high = 260", f"high = {high}").replace("low = 30", f"low = {low}")
    report = check_file(load_bytes(text.encode(), "a.toml"), DEFAULT_POLICY, date(2026, 11, 27))
    off = {name for name in RESTING if name.startswith("low-") and not low}
    assert not (RESTING - off) & set(report.holds)
    assert ("high-cutoff-below-expected" in report.broken) == (high <= 145)
    assert ("low-cutoff-above-expected" in report.broken) == (low >= 172)
    left = {item.check for item in report.undecided}
    assert left | {"high-cutoff-below-expected", "low-cutoff-above-expected"} >= RESTING - off
    boxes = [block.check for block in finding_blocks(report.findings)]
    assert "expected-inverted" in boxes
    assert "not-decided" not in boxes  # said below the error that is its cause
    accepted = f"""{text}
[[accepted]]
check = "expected-inverted"
at = "expected.low"
value = "172 bar"
limit = "145 bar"
reason = "a test"
by = "method owner"
until = 2027-01-01
"""
    file = load_bytes(accepted.encode(), "a.toml")
    report = check_file(file, DEFAULT_POLICY, date(2026, 11, 27))
    open_ones = {block.check for block in finding_blocks(report.findings) if block.grade == "error"}
    undecided = {item.check for item in report.undecided} & CORE
    assert ("not-decided" in open_ones) == bool(undecided)

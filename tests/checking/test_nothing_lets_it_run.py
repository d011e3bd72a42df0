"""No high cutoff is advised that stops every run, whichever output is asked."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from limitcheck.api import propose
from limitcheck.checking.file import check_file
from limitcheck.checks import Subject
from limitcheck.cli.app import run
from limitcheck.physics.left_out import left_out_allowance
from limitcheck.physics.predict import predict
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import ProfileFile, load_bytes
from tests.physics.profiles import COLUMN, conditions

TODAY = date(2026, 11, 25)
HIGH, LOW = ("cutoffs", "high"), ("cutoffs", "low")
NARROW = '{part = "column", length = "150 mm", bore = "2.1 mm", particle_size = "1.7 um"}'


def file_of(high: str, column: str, rating: float, more: str = "", **changed: str) -> ProfileFile:
    """A method without [expected] on a pump and a column of a rating [bar]."""
    parts = ", ".join(
        part.replace("{", f'{{rating = "{rating:.2f} bar", ')
        for part in ('{part = "pump"}', column)
    )
    text = "\n".join(
        (
            "format = 1",
            f"cutoffs = {{{high}, low = 20}}",
            conditions(**changed),
            more,
            f"flow_path = [{parts}]",
            'method = {id = "KB-TEST-1"}',
            'instrument = {id = "KB-LC-09", pressure_unit = "bar", display_step = 1}',
        )
    )
    return load_bytes(text.encode(), "tea.toml")


OVER = file_of("high = 390", NARROW, 400)


def test_the_method_reaches_more_than_any_cutoff_under_its_rating() -> None:
    assert predict(OVER.profile).highest.low > 400e5


@pytest.mark.parametrize("high", ["high = 390", "high = 401", "high = 0", "high = 390.5"])
def test_no_output_offers_a_cutoff_that_stops_every_run(high: str) -> None:
    file = file_of(high, NARROW, 400)
    report = check_file(file, DEFAULT_POLICY, TODAY, propose=True)
    assert [item for item in report.recommendations if item.path == HIGH] == []
    (withheld,) = [item for item in report.withheld if item.path == HIGH]
    assert withheld.reason.startswith("these runs are predicted to reach at least ")
    assert "360 bar, would stop them all" in withheld.reason
    assert all(item.path != HIGH for finding in report.findings for item in finding.recommendations)
    told = [f for f in report.findings if f.check == "high-cutoff-below-expected"]
    assert all("Check the unit" in f.advice and "then set" not in f.advice for f in told)


def test_commands_offer_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("tea.toml").write_text(OVER.text, "utf-8")
    on = Path("lc.toml")
    on.write_text(OVER.text.replace("KB-LC-09", "KB-LC-10"), "utf-8")
    asked = (
        ["check", "tea.toml"],
        ["propose", "tea.toml"],
        ["propose", "--diff", "tea.toml"],
        ["propose", "--write", "tea.toml"],
        ["fit", "tea.toml", "--on=lc.toml"],
        ["transfer", "tea.toml", "--new=new.toml", "--instrument=lc.toml"],
        ["entry", "390", "--profile=tea.toml"],
    )
    for arguments in asked:
        run(arguments)
        told = " ".join(" ".join(capsys.readouterr()).split())
        assert "would stop them all" in told, arguments
        assert "high = 360" not in told, arguments
    assert Path("tea.toml").read_text("utf-8") == OVER.text
    assert not Path("new.toml").exists()
    assert propose("tea.toml").cutoffs.number("high") is None


def test_a_cutoff_that_may_stop_these_runs_is_not_proposed() -> None:
    """Just under and just over what 90 % of the rating must be above: all that they may reach."""
    slow = {"flow": '"0.2 mL/min"'}
    profile = file_of("high = 390", NARROW, 400, **slow).profile
    predicted = predict(profile)
    most = (predicted.highest.high + left_out_allowance(profile, predicted)) / 1e5
    least = predicted.highest.low / 1e5
    told = {}
    for bar, offered in ((0.99 * least, False), (0.99 * most, False), (1.1 * most, True)):
        file = file_of(f"high = {bar / 0.9 + 20:.0f}", NARROW, bar / 0.9, **slow)
        report = check_file(file, DEFAULT_POLICY, TODAY, propose=True)
        assert any(item.path == HIGH for item in report.recommendations) == offered
        told[bar] = " ".join(item.reason for item in report.withheld)
    assert "would stop them all" in told[0.99 * least]
    assert "may stop them: measure the normal pressure" in told[0.99 * most]


def test_a_band_decides_not_the_prediction() -> None:
    """Of a band that the prediction contradicts, another check speaks; it is in doubt itself."""
    band = 'expected = {low = 200, high = 280, basis = "measured"}'
    file = file_of("high = 390", NARROW, 400, band)
    assert Subject(file.profile, DEFAULT_POLICY, TODAY).proposal.high is not None
    report = check_file(file, DEFAULT_POLICY, TODAY, propose=True)
    assert "predicted to reach" not in " ".join(item.reason for item in report.withheld)


def test_a_prediction_that_may_not_judge_withholds_nothing() -> None:
    """A monolith of which only its kind is known: to a factor, no evidence against a number."""
    usual = '{part = "column", length = "150 mm", bore = "2 mm", particle = "monolith"}'
    file = file_of("high = 95", usual, 100, flow='"6 mL/min"')
    assert predict(file.profile).highest.low > 100e5
    report = check_file(file, DEFAULT_POLICY, TODAY, propose=True)
    (item,) = [item for item in report.recommendations if item.path == HIGH]
    assert item.enter == "90"


def test_within_reach_the_rating_binds() -> None:
    report = check_file(file_of("high = 390", COLUMN, 400), DEFAULT_POLICY, TODAY, propose=True)
    (item,) = [item for item in report.recommendations if item.path == HIGH]
    assert item.enter == "360"


def test_a_number_that_was_meant_and_may_stop_runs_is_said_to() -> None:
    """5 for 5 MPa on a display in bar is 50 bar, which these runs may reach."""
    file = file_of("high = 5", COLUMN, 400)
    report = check_file(file, DEFAULT_POLICY, TODAY)
    meant = [f for f in report.findings if f.suggestion and f.suggestion.path == HIGH]
    assert [f.suggestion.enter for f in meant if f.suggestion] == ["50"]
    advice = meant[0].advice
    assert "The number meant may stop runs, whose highest pressure is predicted to be " in advice
    assert advice.endswith("type the proposed limit instead.")
    (item,) = [item for item in report.recommendations if item.path == HIGH]
    assert (item.enter, item.basis) == ("360", "proposal")


@pytest.mark.parametrize("high", [200, 20000])
def test_only_the_cutoff_that_may_stop_runs_is_said_to(high: int) -> None:
    """3600 for 3600 kPa is 36 bar, which these runs may make at their lowest.

    Of 20000 kPa beside it, 200 bar, it was said that it leaves too little under 400 bar.
    """
    band = 'expected = {low = 40, high = 140, basis = "predicted"}'
    text = file_of(f"high = {high}", COLUMN, 400, band).text.replace("low = 20}", "low = 3600}")
    report = check_file(load_bytes(text.encode(), "tea.toml"), DEFAULT_POLICY, TODAY)
    typed = {item.path: (item.enter, item.basis) for item in report.recommendations}
    assert typed[LOW] == ("20", "proposal")
    assert high == 200 or typed[HIGH] == ("200", "slip")
    advice = {f.suggestion.path: f.advice for f in report.findings if f.suggestion}
    assert "The number meant may stop runs, whose lowest pressure is predicted to" in advice[LOW]
    assert "The number meant" not in advice.get(HIGH, "")

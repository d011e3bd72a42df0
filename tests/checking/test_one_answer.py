"""What a reviewer and an analyst found: outputs that contradict each other, or say too much.

Each case is the same question asked twice; each once had two answers.
"""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from limitcheck.checking.entry import Answer, ask
from limitcheck.checking.file import check_file
from limitcheck.checking.proposed import Proposed
from limitcheck.checking.results import FileReport
from limitcheck.cli.app import run
from limitcheck.documents.proposal import proposal_document
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import ProfileFile, load_bytes
from limitcheck.render.text import render
from tests.profiles_for_tests import profile_file, text

TODAY = date(2026, 11, 25)
ROOT = Path(__file__).parents[2]


def checked(file: ProfileFile) -> FileReport:
    return check_file(file, DEFAULT_POLICY, TODAY)


def typed(report: FileReport) -> dict[str, str]:
    """What is recommended for the cutoffs, by name."""
    items = report.recommendations
    return {str(item.path[1]): item.enter for item in items if item.path[0] == "cutoffs"}


def asked(file: ProfileFile, field: Any) -> Answer:
    cutoff = getattr(file.profile.cutoffs, field)
    return ask(file.profile, cutoff.number, field, DEFAULT_POLICY, TODAY)


def with_acceptance(check: str, at: str, value: str, limit: str, **values: str) -> ProfileFile:
    accepted = (
        f'\n[[accepted]]\ncheck = "{check}"\nat = "{at}"\nvalue = "{value}"\nlimit = "{limit}"\n'
        'reason = "known"\nby = "owner"\nuntil = 2027-06-30\n'
    )
    return load_bytes((text(**values) + accepted).encode(), "a.toml")


def answer_of(capsys: pytest.CaptureFixture[str], *arguments: str) -> Any:
    run([*arguments, "--format", "json"])
    return json.loads(capsys.readouterr().out)


def in_conflict(folder: Path) -> Path:
    """Two files of one instrument that show bar and psi; the second needs another number."""
    (folder / "a.toml").write_text(text())
    psi = {"unit": '"psi"', "low": "870", "expected_low": "1740", "expected_high": "2900"}
    second = folder / "b.toml"
    second.write_text(text(high="5802", method='"KB-TEA-015"', **psi))
    return second


def test_no_number_where_another_file_contradicts_the_unit(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One instrument, psi here and bar there: `check` must not say "Type: high = 5801 (psi)"."""
    in_conflict(tmp_path)
    reports = answer_of(capsys, "check", str(tmp_path))["profiles"]
    found = next(r for r in reports if r["path"].endswith("b.toml"))
    assert "instrument-unit-conflict" in [f["check"] for f in found["findings"]]
    assert found["recommendations"] == []


def test_fix_leaves_a_file_alone_whose_unit_another_contradicts(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`check --fix` must not write a number in psi while the same run says: psi or bar?"""
    second = in_conflict(tmp_path)
    before = second.read_text()
    run(["check", str(tmp_path), "--fix"])
    assert second.read_text() == before


def test_propose_knows_of_the_conflicts_that_check_finds(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One pump rated 400 bar in one file and 600 bar in another: no cutoff above 400 bar."""
    (tmp_path / "a.toml").write_text(text())
    second = text(
        pump='"600 bar"', column='"600 bar"', expected_high="350", high="430", method='"OTHER"'
    )
    (tmp_path / "b.toml").write_text(second)
    assert run(["check", str(tmp_path)]) == 1
    capsys.readouterr()
    proposals = answer_of(capsys, "propose", str(tmp_path))["proposals"]
    found = next(p for p in proposals if p["profile"]["path"].endswith("b.toml"))
    number = found["high"]["recommendation"]
    assert number is None or float(number["enter"]) <= 400  # 437 today


def test_a_report_shows_a_conflict_in_both_files(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A record to sign says "No findings" of a file whose unit the next one contradicts."""
    in_conflict(tmp_path)
    reports = answer_of(capsys, "report", str(tmp_path))["profiles"]
    assert all(
        "instrument-unit-conflict" in [f["check"] for f in report["findings"]] for report in reports
    )


def test_a_low_cutoff_above_every_rating_may_not_be_typed() -> None:
    """9999 bar as the low cutoff, rated 400 bar: "may be typed" today, without a remark."""
    file = profile_file(low="9999")
    without_band = file.profile.model_copy(update={"expected": None})
    assert not ask(without_band, "9999", "low", DEFAULT_POLICY, TODAY).may_be_typed


def test_a_number_in_doubt_is_not_rounded() -> None:
    """`check` doubts the high cutoff ("MPa as well") and says "Type: high = 33 (bar)"."""
    file = profile_file(high="33.1", low="44", expected_low="94", expected_high="20.0")
    report = checked(file)
    assert "expected-inverted" in [f.check for f in report.findings]
    assert asked(file, "high").enter is None
    assert "high" not in typed(report)


def test_an_accepted_doubt_of_the_unit_is_a_doubt_in_each_output() -> None:
    """The instrument's unit is in doubt and accepted: entry decides nothing, check says 16."""
    file = with_acceptance(
        "unit-confusion",
        "instrument.pressure_unit",
        "psi",
        "MPa, possible",
        unit='"psi"',
        high="19.5",
        low="3.6",
        expected_low="6.0",
        expected_high="13.4",
        pump='"26.1 MPa"',
        column='"26.1 MPa"',
    )
    said = asked(file, "high")
    assert (said.enter.enter if said.enter else None) == typed(checked(file)).get("high")


def test_an_unused_acceptance_does_not_hold_back_a_correction() -> None:
    """Two slips and an acceptance: "Nothing to type: it would bring: acceptance-unused"."""
    file = with_acceptance(
        "high-cutoff-margin-thin",
        "cutoffs.high",
        "304 psi",
        "300 psi",
        high="7043",
        low="1139",
        expected_low="183",
        expected_high="304",
        pump='"57.6 MPa"',
        column='"57.6 MPa"',
    )
    assert typed(checked(file))["high"] == "485"


def test_a_new_profile_is_not_refused_for_the_senders_acceptance(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Acceptances are not taken over, says `new_profile`; yet one keeps it from being made."""
    to, sent = tmp_path / "new.toml", ROOT / "examples/units/kestrel-bay.toml"
    instrument = ROOT / "examples/transfer/instruments/hm-lc-11.toml"
    run(["transfer", str(sent), "--new", str(to), "--instrument", str(instrument)])
    assert "acceptance-unused" not in capsys.readouterr().err
    assert to.exists()


TWO_SLIPS = {
    "unit": '"psi"',
    "high": "298",
    "low": "12",
    "expected_low": "1531",
    "expected_high": "3357",
    "pump": '"414 bar"',
    "column": '"414 bar"',
}


def test_advice_and_what_to_type_agree() -> None:
    """ "Do: ... then enter high = 4322 (psi)." and, next line, "Nothing to type: ..."."""
    for finding in checked(profile_file(**TWO_SLIPS)).findings:
        assert not (finding.withheld and "then enter" in finding.advice)


def test_entry_does_not_give_what_check_withholds() -> None:
    """`check` and `propose` have nothing to type for this field; `entry` types 4322."""
    file = profile_file(**TWO_SLIPS)
    said = asked(file, "high")
    assert (said.enter.enter if said.enter else None) == typed(checked(file)).get("high")


SLIP_IN_BOTH = {
    "unit": '"psi"',
    "high": "38.2",
    "low": "7.4",
    "expected_low": "155",
    "expected_high": "302",
    "pump": '"44.5 MPa"',
    "column": '"44.5 MPa"',
}
KILOPASCAL = {
    "unit": '"psi"',
    "high": "21127",
    "low": "5070",
    "expected_low": "11.5",
    "expected_high": "2687",
    "pump": '"245 bar"',
    "column": '"3936 psi"',
}


@pytest.mark.parametrize(("values", "field"), [(SLIP_IN_BOTH, "low"), (KILOPASCAL, "high")])
def test_entry_and_check_give_one_number(values: dict[str, str], field: str) -> None:
    """Entry 78, check 108 for a low cutoff; entry 3064, check 3198 for a high one."""
    file = profile_file(**values)
    said = asked(file, field).enter
    assert said is None or said.enter == typed(checked(file))[field]


def test_a_rounding_is_corrected_before_anything_is_proposed() -> None:
    """5802 over 400 bar becomes 5801; the limits, 4125 and lower, are proposed after that."""
    file = profile_file(
        unit='"psi"', high="5802", low="870", expected_low="1740", expected_high="2900"
    )
    found = Proposed(file, DEFAULT_POLICY, TODAY)
    item = found.cutoffs.number("high")
    assert item is not None
    assert (item.enter, item.basis) == ("5801", "rounding")
    told = render(proposal_document([found], TODAY))
    assert "correct this first, then propose again:" in " ".join(told.split())
    assert typed(checked(file))["high"] == "5801"


def test_typing_what_is_recommended_settles_the_place() -> None:
    """Check says type low = 178; with 178 typed, entry says "Better: low = 729"."""
    file = profile_file(
        unit='"psi"',
        high="3366",
        low="177.541",
        expected_low="1457",
        expected_high="2163",
        pump='"28.4 MPa"',
        column='"32.5 MPa"',
    )
    number = typed(checked(file)).get("low", "729")
    better = ask(file.profile, number, "low", DEFAULT_POLICY, TODAY).enter
    assert better is None or better.enter == number


def test_fit_and_transfer_new_give_one_pair(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One method on one instrument: fit says 5221 / 1820, transfer --new writes 5221 and 1813."""
    folder, to = ROOT / "examples/transfer", tmp_path / "new.toml"
    sent, instrument = str(folder / "kestrel-bay.toml"), str(folder / "instruments/hm-lc-07.toml")
    run(["transfer", sent, "--new", str(to), "--instrument", instrument])
    capsys.readouterr()
    run(["fit", sent, "--on", instrument])
    told = capsys.readouterr().out
    made = load_bytes(to.read_bytes(), "new.toml").profile.cutoffs
    assert made.high is not None
    assert made.low is not None
    assert f"{made.high.number} / {made.low.number}" in told


def test_parts_in_json_count_from_one(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """The pump is flow_path 1 in every path of the JSON, but `data.parts` says 0."""
    path = tmp_path / "a.toml"
    path.write_text(text(high="500"))
    (report,) = answer_of(capsys, "check", str(path))["profiles"]
    parts = next(f["data"]["parts"] for f in report["findings"] if "parts" in f["data"])
    assert parts[0] == "flow_path[1].rating"


def test_check_fits_a_terminal_of_sixty_columns(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All other commands take the width of the terminal; check prints 80 columns in any case."""
    monkeypatch.setenv("COLUMNS", "60")
    path = tmp_path / "a.toml"
    path.write_text(text(high="25"))
    monkeypatch.chdir(tmp_path)
    run(["check", "a.toml"])
    assert max(map(len, capsys.readouterr().out.splitlines())) <= 60


def test_entry_does_not_replace_a_cutoff_that_check_finds_right() -> None:
    """The band was typed in bar: `check` corrects the band; `entry 3065` says "Type: 232 (psi)"."""
    file = profile_file(
        unit='"psi"',
        high="3065",
        low="500",
        expected_low="84",
        expected_high="186",
        pump='"329 bar"',
        column='"329 bar"',
    )
    assert "high" not in typed(checked(file))
    assert asked(file, "high").enter is None


def test_entry_does_not_type_where_check_finds_no_safe_value() -> None:
    """Check: "the largest safe value, 3672 psi, ..."; entry types 3901, rating 4081 psi."""
    file = profile_file(
        unit='"psi"',
        high="269",
        low="1913",
        expected_low="22.3",
        expected_high="3495",
        pump='"4081 psi"',
        column='"4081 psi"',
    )
    assert "high" not in typed(checked(file))
    assert asked(file, "high").enter is None

"""Moving a method: what came across, what did not, and the column rules of the pharmacopoeias."""

from __future__ import annotations

import json
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from limitcheck.transfer.receiving_cutoffs import entry_moved

from limitcheck.cli.app import run
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import ProfileFile, load, load_bytes
from limitcheck.profile.model import Instrument
from limitcheck.transfer import Transfer, transfer
from limitcheck.transfer.came_across import predicted_ratio
from limitcheck.transfer.record import pressures
from limitcheck.units import TRADE_UNITS, Pressure
from tests.profiles_for_tests import profile_file

EXAMPLES = Path(__file__).parents[1] / "examples" / "transfer"
TODAY = date(2026, 11, 25)


def moved(sending: ProfileFile, receiving: ProfileFile) -> Transfer:
    return transfer(sending, receiving, (DEFAULT_POLICY, DEFAULT_POLICY), TODAY)


def example(receiving: str) -> Transfer:
    return moved(load(EXAMPLES / "kestrel-bay.toml"), load(EXAMPLES / f"{receiving}.toml"))


def against(found: Transfer) -> str:
    return " | ".join(reason.text for reason in found.reasons if reason.blocking)


# Cutoffs, one by one. Factors: NIST SP 811 (2008), App. B: 1 bar = 14.503 77 psi.


@pytest.mark.parametrize(
    ("name", "sent", "got", "verdict", "blocking"),
    [
        ("high", "400 bar", "400 psi", "copied unconverted", True),
        ("low", "125 bar", "125 psi", "copied unconverted", True),
        ("high", "400 bar", "400 MPa", "copied unconverted", True),
        ("high", "400 bar", "6000 psi", "by rule of thumb", True),  # 15 psi to the bar: 413.7 bar
        ("low", "125 bar", "1875 psi", "by rule of thumb", False),
        ("high", "400 bar", "5600 psi", "by rule of thumb", False),  # 14 to the bar: lower, safe
        ("high", "400 bar", "5801 psi", "rounded the safe way", False),  # 5802 psi
        ("high", "400 bar", "5802 psi", "rounded the wrong way", False),
        ("low", "125 bar", "1813 psi", "rounded the safe way", False),  # 1812.97 psi
        ("low", "125 bar", "1812 psi", "rounded the wrong way", False),
        ("high", "400 bar", "40 MPa", "same pressure", False),
        ("high", "400 bar", "400 bar", "same pressure", False),
        ("high", "400 bar", "5221 psi", "set anew", False),
        ("high", "400 bar", None, "missing", True),
        ("low", "125 bar", None, "missing", False),
        ("low", "125 bar", "0 psi", "missing", False),
        ("low", None, "100 psi", "added", False),
        ("low", "0 bar", None, "off on both", False),
    ],
)
def test_how_a_cutoff_came_across(
    name: str, sent: str | None, got: str | None, verdict: str, blocking: bool
) -> None:
    unit = got.split()[1] if got else "psi"
    there = Instrument.model_validate({"id": "HM-LC-07", "pressure_unit": unit})
    entry = entry_moved(
        name,
        sent and Pressure.parse(sent),
        got and Pressure.parse(got),
        there,
        None,  # type: ignore[arg-type]
    )
    assert (entry.verdict, entry.blocking) == (verdict, blocking), entry.text


# The example between two laboratories.


def test_a_number_copied_without_converting_it() -> None:
    found = example("harrow-mill-copied")
    assert found.decision == "do not accept"
    assert "the number 400 was copied without converting it: 400 psi is 27.6 bar" in against(found)
    assert "proposed for this hardware: enter 5221 psi" in against(found)


def test_fifteen_psi_to_the_bar_passes_the_rating() -> None:
    found = example("harrow-mill-times-15")
    assert found.decision == "do not accept"
    assert "6000 psi is 400 bar by the rule 15 psi to the bar" in against(found)
    assert "the cutoff is 198.5 psi above the rating" in against(found)


def test_a_rating_rounded_up() -> None:
    found = example("harrow-mill-rounded")
    assert found.decision == "do not accept"
    assert against(found).startswith("rounded-over-rating in the receiving profile: The high")
    assert [entry.verdict for entry in found.entries] == [
        "rounded the wrong way",
        "rounded the safe way",
    ]


@pytest.mark.parametrize("receiving", ["harrow-mill-07", "harrow-mill-11"])
def test_profiles_made_by_the_tool_are_accepted(receiving: str) -> None:
    found = example(receiving)
    assert found.decision == "accept", against(found)
    assert found.receiving.report.findings == ()
    assert found.expected is not None
    assert found.expected.verdict == "agrees"


def test_weaker_ratings_are_pointed_out() -> None:
    pairs = {pair.part: pair.weaker for pair in example("harrow-mill-07").ratings}
    assert pairs == {
        "pump": True,
        "tubing": True,
        "injector": True,
        "fitting": True,
        "column": False,
        "detector cell": True,
    }


def test_another_method_or_revision_is_not_accepted() -> None:
    first = profile_file()
    for old, new, says in (
        ('id = "KB-TEA-014"', 'id = "KB-TEA-015"', "another method: KB-TEA-015"),
        ('id = "KB-TEA-014"', 'id = "KB-TEA-014"\nrevision = "C"', "another revision: C, not none"),
    ):
        second = load_bytes(first.text.replace(old, new).encode(), "harrow.toml")
        assert says in against(moved(first, second))


def test_the_senders_own_errors_stand_against_it() -> None:
    assert "above-rating in the sending profile" in against(
        moved(profile_file(high="420"), profile_file())
    )


def test_an_expected_band_copied_without_converting_it() -> None:
    there = profile_file(unit='"psi"', high="3600", low="900")
    found = moved(profile_file(), there)
    assert found.expected is not None
    assert found.expected.verdict == "copied unconverted"
    assert "1740 psi to 2901 psi" in against(found)


def test_an_expected_band_that_is_none_or_far_off() -> None:
    band = "[expected]\nlow = 120\nhigh = 200\n"
    without = load_bytes(profile_file().text.replace(band, "").encode(), "harrow.toml")
    far = profile_file(expected_low="220", expected_high="340", high="360", low="110")
    verdicts = []
    for there in (without, far):
        found = moved(profile_file(), there)
        assert found.expected is not None
        assert found.expected.no_ratio == "no conditions.flow"
        verdicts.append(found.expected.verdict)
    assert verdicts == ["none given", "apart"]
    assert moved(without, far).expected is None


# Every pressure, exactly.


def test_every_pressure_of_both_files_is_listed() -> None:
    found = example("harrow-mill-07")
    listed = [row for row in found.pressures if row.role == "sending"]
    assert [row.path for row in listed] == [path for path, _ in pressures(found.sending.profile)]
    assert len(listed) == 10
    import pint

    ureg = pint.UnitRegistry(non_int_type=Fraction)
    for row in listed:
        assert ureg.Quantity(row.in_sending, "bar").to("psi").magnitude == row.in_receiving


@given(st.integers(1, 10**7), st.sampled_from(TRADE_UNITS), st.sampled_from(TRADE_UNITS))
def test_there_and_back_is_the_same_pressure(hundredths: int, one: str, other: str) -> None:
    sent = Pressure.of(Fraction(hundredths, 100), one)
    there = Pressure.of(sent.to(other), other)
    assert Pressure.of(there.to(one), one).to(one) == Fraction(hundredths, 100)
    assert there == sent


@given(
    st.integers(1, 15_000),
    st.sampled_from(TRADE_UNITS),
    st.sampled_from(TRADE_UNITS),
    st.sampled_from([Fraction(1), Fraction(1, 10), Fraction(1, 100), Fraction(5)]),
)
def test_the_safe_number_never_protects_less(
    number: int, one: str, other: str, step: Fraction
) -> None:
    sent = Pressure.of(number, one)
    there = Instrument.model_construct(id="A", pressure_unit=other, display_step=step)
    high = entry_moved("high", sent, None, there, None)
    low = entry_moved("low", sent, None, there, None)
    assert high.safe is not None
    assert low.safe is not None
    assert Pressure.of(high.safe, other) <= sent <= Pressure.of(low.safe, other)
    assert low.safe - high.safe in (0, step)
    assert high.exact == sent.to(other)


# The command.


def test_the_record_to_print(capsys: pytest.CaptureFixture[str]) -> None:
    files = [str(EXAMPLES / name) for name in ("kestrel-bay.toml", "harrow-mill-copied.toml")]
    assert run(["transfer", *files]) == 1
    shown = capsys.readouterr().out
    assert all(len(line) <= 80 or str(EXAMPLES) in line for line in shown.splitlines())
    assert run(["transfer", *files, "--brief"]) == 1
    brief = capsys.readouterr().out
    assert shown.startswith(brief)
    assert brief.endswith("(- stands against it; . to be looked at)\n")
    for words in (
        "Decision: do not accept",
        load(files[0]).sha256,
        load(files[0]).uses[0].sha256,
        "5801.50951 psi",
        "Signature: ____",
        "not a safety device",
        "limitcheck 0.1.0",
        "nothing is adjusted",
        "weaker 400 bar",
        "unit-confusion",
    ):
        assert words in shown


def test_the_record_as_data(capsys: pytest.CaptureFixture[str]) -> None:
    files = [str(EXAMPLES / name) for name in ("kestrel-bay.toml", "harrow-mill-07.toml")]
    assert run(["transfer", *files, "--format", "json"]) == 0
    record = json.loads(capsys.readouterr().out)
    assert record["decision"] == "accept"
    assert Fraction(record["cutoffs"][0]["exact"]) == Pressure.parse("400 bar").to("psi")
    assert record["cutoffs"][0]["proposed"] == "5221"
    assert record["to_fill_in"] == ["Reviewed by", "Date", "Signature"]
    assert record["column"]["adjustments"][0]["kept"] is True


def test_a_new_receiving_profile(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    new = tmp_path / "new.toml"
    arguments = [
        "transfer",
        str(EXAMPLES / "kestrel-bay.toml"),
        "--new",
        str(new),
        "--instrument",
        str(EXAMPLES / "instruments/hm-lc-07.toml"),
        "--site",
        "Harrow Mill",
    ]
    assert run(arguments) == 0
    assert "Decision: accept" in capsys.readouterr().out
    # The one of the examples was made the same way.
    assert new.read_bytes() == (EXAMPLES / "harrow-mill-07.toml").read_bytes()
    assert run(["check", str(new)]) == 0
    # Never over a file that is there.
    assert run(arguments) == 2
    assert "exists already" in " ".join(capsys.readouterr().err.split())


def test_a_new_profile_in_steps_of_a_tenth(tmp_path: Path) -> None:
    new, sending = tmp_path / "new.toml", tmp_path / "sending.toml"
    sending.write_text(profile_file(step="1", expected_high="201").text, encoding="utf-8")
    instrument = str(EXAMPLES / "instruments/hm-lc-11.toml")
    assert run(["transfer", str(sending), "--new", str(new), "--instrument", instrument]) == 0
    text = new.read_text(encoding="utf-8")
    assert "high = 25.1\n" in text  # 251.25 bar, down
    assert 'high = "201 bar"\n' in text
    assert load(new).profile.method.site is None


def test_a_band_that_other_tubing_moves_is_scaled(tmp_path: Path) -> None:
    narrow, new = tmp_path / "narrow.toml", tmp_path / "new.toml"
    text = (EXAMPLES / "instruments/hm-lc-11.toml").read_text(encoding="utf-8")
    narrow.write_text(text.replace("0.13 mm", "0.09 mm"), encoding="utf-8")
    sending = EXAMPLES / "kestrel-bay.toml"
    assert run(["transfer", str(sending), "--new", str(new), "--instrument", str(narrow)]) == 0
    first, second = load(sending).profile, load(new).profile
    ratio, _ = predicted_ratio(first, second)
    assert ratio is not None
    assert ratio > 1.1
    assert second.expected is not None
    assert second.expected.basis == "predicted"
    assert float(second.expected.high) == pytest.approx(320e5 * ratio, abs=1e5)
    assert second.expected.high.unit == "MPa"


def test_no_new_profile_without_safe_limits(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    new, sending = tmp_path / "new.toml", tmp_path / "sending.toml"
    sending.write_text(profile_file(column='"300 bar"', expected_high="260").text, encoding="utf-8")
    instrument = str(EXAMPLES / "instruments/hm-lc-07.toml")
    assert run(["transfer", str(sending), "--new", str(new), "--instrument", instrument]) == 2
    assert not new.exists()
    shown = capsys.readouterr().err
    assert "no safe limits for KB-TEA-014 on HM-LC-07" in shown
    assert "no part up to the column rated under" in shown


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["b.toml", "--new", "c.toml"],
        ["--new", "c.toml"],
        ["--instrument", "i.toml"],
        ["b.toml", "--format", "xml"],
    ],
)
def test_arguments_that_cannot_be_used(tmp_path: Path, arguments: list[str]) -> None:
    sending = tmp_path / "a.toml"
    sending.write_text(profile_file().text, encoding="utf-8")
    assert run(["transfer", str(sending), *arguments]) == 2

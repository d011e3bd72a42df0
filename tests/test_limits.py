"""Proposed limits: bounds, rounding, what would make room, and that they pass their own checks."""

from __future__ import annotations

import json
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.checks.engine import check_profile
from limitcheck.cli.app import run
from limitcheck.limits import propose
from limitcheck.limits.feasible import remedies
from limitcheck.physics.ratio import ratio
from limitcheck.physics.system import Change
from limitcheck.policy import DEFAULT_POLICY, Margins
from limitcheck.profile.load import load
from limitcheck.profile.model import USUAL_STEP, Profile, validate_profile
from limitcheck.units import TRADE_UNITS, Length, Pressure, Temperature, plain
from tests.profiles_for_tests import profile_file, write

TODAY = date(2026, 11, 25)


def test_the_arithmetic_of_the_two_limits() -> None:
    proposal = propose(profile_file().profile, Margins())
    assert proposal.high is not None
    assert proposal.low is not None
    # 200 bar + 25 % = 250 bar; 400 bar - 10 % = 360 bar; 120 bar - 50 % = 60 bar.
    assert [str(b.pressure) for b in proposal.high.bounds] == ["250 bar", "360 bar"]
    assert proposal.high.binding.path == ("expected", "high")
    assert (proposal.high.enter, proposal.low.enter) == ("250", "60")


def test_the_weakest_rating_binds_and_rounds_down_in_psi() -> None:
    file = profile_file(unit='"psi"', expected_high='"320 bar"', expected_low='"120 bar"')
    proposal = propose(file.profile, Margins())
    assert proposal.high is not None
    assert proposal.low is not None
    # 360 bar = 5221.36 psi, down; 60 bar = 870.23 psi, up (NIST SP 811: 1 bar = 14.50377 psi).
    assert (proposal.high.enter, proposal.low.enter) == ("5221", "871")
    assert proposal.high.binding.path == ("flow_path", 0, "rating")
    # Against pint, the second source of the factors.
    import pint

    ureg = pint.UnitRegistry(non_int_type=Fraction)
    exact = ureg.Quantity(Fraction(360), "bar").to("psi").magnitude
    assert proposal.high.binding.pressure.to("psi") == exact


def test_a_margin_that_would_be_wide_is_cut() -> None:
    margins = Margins(high=Fraction(3, 2), low=Fraction(99, 100))
    proposal = propose(profile_file(expected_high="150").profile, margins)
    assert proposal.high is not None
    assert proposal.low is not None
    assert (proposal.high.enter, proposal.low.enter) == ("300", "6")
    assert proposal.high.binding.reason == "expected high 150 bar + 100 %, more would be wide"
    assert proposal.low.binding.reason == "expected low 120 bar - 95 %, more would be wide"


def test_what_the_field_takes_is_a_bound() -> None:
    file = profile_file(step="1\nentry_max = 240")
    proposal = propose(file.profile, Margins())
    assert proposal.high is not None
    assert proposal.high.enter == "240"
    assert proposal.high.binding.path == ("instrument", "entry_max")


@pytest.mark.parametrize(
    ("values", "reason"),
    [
        ({"expected_high": "380"}, "the largest safe value, 360 bar, is not 10 % above"),
        ({"step": "500"}, "no storable number is left"),
        ({"step": "70\nentry_max = 69"}, "no storable number is left"),
    ],
)
def test_no_safe_high_cutoff(values: dict[str, str], reason: str) -> None:
    proposal = propose(profile_file(**values).profile, Margins())
    assert proposal.high is None
    assert reason in (proposal.no_high or "")


@pytest.mark.parametrize(
    ("values", "reason"),
    [
        ({"step": "110"}, "the display step 110 bar is too coarse"),
        ({"expected_low": "0"}, "leaves nothing to set"),
        ({"step": "1\nentry_max = 50"}, "the field takes no more than 50 bar"),
    ],
)
def test_no_useful_low_cutoff(values: dict[str, str], reason: str) -> None:
    proposal = propose(profile_file(**values).profile, Margins())
    assert proposal.low is None
    assert reason in (proposal.no_low or "")


def test_nothing_is_proposed_from_an_inverted_band() -> None:
    file = profile_file(expected_low="200", expected_high="120")
    proposal = propose(file.profile, Margins())
    reason = "the expected minimum 200 bar is above the expected maximum 120 bar"
    assert (proposal.no_high, proposal.no_low) == (reason, reason)
    assert remedies(file.profile, Margins()).found == ()


def test_parts_without_a_rating_are_named() -> None:
    assert propose(profile_file(pump="").profile, Margins()).unrated == ("pump",)


def test_a_rating_not_stated_at_the_methods_flow_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pump = '"400 bar"\nrating_at_flow = [{flow = "1 mL/min", rating = "380 bar"}]'
    path = write(tmp_path, pump=pump)
    flow = '\n[conditions]\nflow = "2 mL/min"\n'
    path.write_text(path.read_text(encoding="utf-8") + flow, encoding="utf-8")
    assert run(["propose", str(path)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "What the pump holds at 2 mL/min is not stated, at most 380 bar: ask the maker" in said


KESTREL = Path(__file__).parents[1] / "examples/transfer/kestrel-bay.toml"


def strained() -> Profile:
    """The example's method where its band leaves no room under 600 bar."""
    profile = load(KESTREL).profile
    assert profile.expected is not None
    band = {"low": Pressure.parse("400 bar"), "high": Pressure.parse("520 bar")}
    return profile.model_copy(update={"expected": profile.expected.model_copy(update=band)})


def test_what_would_make_room_does() -> None:
    profile, margins = strained(), Margins()
    assert propose(profile, margins).high is None
    found = {remedy.kind: remedy.value for remedy in remedies(profile, margins).found}
    assert set(found) == {"rating", "flow", "temperature", "column length"}
    assert profile.expected is not None
    for kind, change in (
        ("flow", Change(flow=float(found["flow"] or 0))),
        ("temperature", Change(temperature=float(found["temperature"] or 0))),
        ("column length", Change(column_length=float(found["column length"] or 0))),
    ):
        # 540 bar (600 - 10 %) must be 10 % above the band's upper end, by the sure ratio.
        pressure = float(profile.expected.high) * ratio(profile, change).high
        assert pressure * 1.1 <= 540e5, kind
        assert pressure * 1.1 > 0.97 * 540e5, kind
    assert isinstance(found["temperature"], Temperature)
    assert isinstance(found["column length"], Length)
    # 520 bar + 10 % = 572 bar = 635.6 bar - 10 %: a rating of 636 bar.
    assert str(found["rating"]) == "636 bar"


def test_where_nothing_can_be_predicted_it_is_said() -> None:
    found = remedies(profile_file(expected_high="380").profile, Margins())
    assert [remedy.kind for remedy in found.found] == ["rating"]
    assert found.not_computed == "no conditions.flow"
    assert remedies(profile_file().profile, Margins()).found == ()


def test_a_margin_or_a_field_that_leaves_no_room() -> None:
    file = profile_file(step="1\nentry_max = 210")
    assert [r.text for r in remedies(file.profile, Margins()).found] == [
        "a field that takes 220 bar"
    ]
    kinds = [r.kind for r in remedies(profile_file().profile, Margins(high=Fraction(1, 20))).found]
    assert kinds == ["margin"]


STEPS = {unit: (step, step / 10, step * 5) for unit, step in USUAL_STEP.items()}
IN_BAR = {unit: float(Pressure.of(1, "bar").to(unit)) for unit in TRADE_UNITS}


def shares(least: int, most: int) -> st.SearchStrategy[str]:
    return st.integers(least, most).map(lambda n: f"{n} %")


MARGINS = st.fixed_dictionaries(
    {}, optional={"high": shares(8, 150), "low": shares(10, 110), "headroom": shares(0, 60)}
)


@st.composite
def profiles(draw: st.DrawFn) -> dict[str, object]:
    """Profiles of any unit, step, margins, band and ratings, deratings among them."""

    def text(bar: int) -> str:
        unit = draw(st.sampled_from(TRADE_UNITS))
        return f"{bar * IN_BAR[unit]:.2f} {unit}"

    def rating() -> str:
        return text(draw(st.integers(200, 1500)))

    unit = draw(st.sampled_from(TRADE_UNITS))
    low = draw(st.integers(5, 300))
    instrument: dict[str, object] = {"id": "KB-LC-03", "pressure_unit": unit}
    if draw(st.booleans()):
        instrument["display_step"] = float(draw(st.sampled_from(STEPS[unit])))
    if draw(st.booleans()):
        instrument["entry_max"] = int(draw(st.integers(100, 1500)) * IN_BAR[unit])
    pump: dict[str, object] = {"part": "pump", "rating": rating()}
    if draw(st.booleans()):
        pump["rating_at_flow"] = [
            {"flow": flow, "rating": rating()} for flow in ("1 mL/min", "3 mL/min")
        ]
    return {
        "format": 1,
        "method": {"id": "KB-TEA-014"},
        "instrument": instrument,
        "expected": {"low": text(low), "high": text(draw(st.integers(low, 400)) + 1)},
        "conditions": {"flow": "2 mL/min"},
        "flow_path": [pump, {"part": "column", "rating": rating()}],
        "margins": draw(MARGINS),
    }


MARGINS_AND_RATINGS = {
    "entry-not-storable",
    "entry-beyond-field",
    "high-cutoff-missing",
    "high-cutoff-above-rating",
    "high-cutoff-below-expected",
    "high-cutoff-margin-thin",
    "high-cutoff-margin-wide",
    "low-cutoff-off",
    "low-cutoff-above-expected",
    "low-cutoff-margin-thin",
    "low-cutoff-margin-wide",
    "low-cutoff-not-below-high",
    "rating-derated",
    "rounded-over-rating",
}


@given(profiles())
def test_what_is_proposed_passes_the_checks_on_margins_and_ratings(data: dict[str, object]) -> None:
    profile = validate_profile(data)
    proposal = propose(profile, margins := _margins(profile))
    if proposal.high is None or proposal.low is None:
        # Nothing storable lies between the bounds, or the reason would be wrong.
        assert proposal.no_high or proposal.no_low
        return
    entered = validate_profile(
        {**data, "cutoffs": {"high": float(proposal.high.enter), "low": float(proposal.low.enter)}}
    )
    findings = check_profile(entered, DEFAULT_POLICY, TODAY).findings
    assert [f.check for f in findings if f.check in MARGINS_AND_RATINGS] == []
    # The largest, and the smallest: one step further breaks a bound.
    step, unit = profile.instrument.step, profile.instrument.pressure_unit
    assert proposal.high.pressure.to(unit) + step > min(
        bound.pressure.to(unit) for bound in proposal.high.bounds
    )
    assert proposal.low.pressure.to(unit) - step < proposal.low.binding.pressure.to(unit)
    assert margins.headroom < 1


def _margins(profile: Profile) -> Margins:
    from limitcheck.policy import margins_for

    return margins_for(profile, DEFAULT_POLICY)


def test_propose_writes_the_two_numbers_and_nothing_else(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write(tmp_path, high="300   # as before", low="")
    before = path.read_text(encoding="utf-8")
    assert run(["propose", str(path), "--diff"]) == 0
    assert path.read_text(encoding="utf-8") == before
    diff = capsys.readouterr().out
    assert "-high = 300   # as before\n+high = 250   # as before\n" in diff
    assert run(["propose", str(path), "--write"]) == 0
    after = path.read_text(encoding="utf-8")
    assert after == before.replace("high = 300", "high = 250", 1).replace(
        "# as before\n", "# as before\nlow = 60\n", 1
    )
    assert run(["check", str(path)]) == 0
    capsys.readouterr()
    assert run(["propose", str(path), "--diff"]) == 0
    assert capsys.readouterr().out == ""


def test_propose_says_where_everything_comes_from(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write(tmp_path, unit='"psi"', expected_high='"320 bar"', expected_low='"120 bar"')
    (tmp_path / "limitcheck.toml").write_text('[margins]\nlow = "40 %"\n', encoding="utf-8")
    run(["propose", str(path)])
    shown = capsys.readouterr().out
    assert all(len(line) <= 80 or str(tmp_path) in line for line in shown.splitlines())
    for words in (
        "High cutoff: enter 5221 (now 250 psi)",
        "5221.3586 psi",
        "stored rounded down",
        "Low cutoff: enter 1045 (now 60 psi)",
        "high 25 % (default)",
        f"low 40 % ({tmp_path / 'limitcheck.toml'})",
        "not a safety device",
    ):
        assert " ".join(words.split()) in " ".join(shown.split())


def test_propose_where_there_is_nothing_safe(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write(tmp_path, expected_high="380")
    before = path.read_bytes()
    assert run(["propose", str(path), "--write"]) == 1
    assert path.read_bytes() == before
    shown = " ".join(capsys.readouterr().out.split())
    assert "High cutoff: none is safe" in shown
    assert "no part up to the column rated under 465 bar" in shown  # 418 / 0.9, up
    assert "could not be worked out: no conditions.flow" in shown


def test_propose_is_not_written_where_the_band_may_be_in_another_unit(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write(tmp_path, expected_low='"1740 bar"', expected_high='"2900 bar"')
    before = path.read_bytes()
    run(["propose", str(path)])
    assert "Settle the unit first" in capsys.readouterr().out
    assert run(["propose", str(path), "--write"]) == 1
    assert path.read_bytes() == before


def test_proposals_as_data(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = write(tmp_path, unit='"psi"', expected_high='"320 bar"', expected_low='"120 bar"')
    assert run(["propose", str(path), "--format", "json"]) == 0
    (proposal,) = json.loads(capsys.readouterr().out)["proposals"]
    assert proposal["high"]["enter"] == "5221"
    binding = proposal["high"]["binding"]
    assert Fraction(binding["exact"]) == Pressure.parse("360 bar").to("psi")
    assert proposal["margins"]["headroom"] == {"share": "0.1", "from": "default"}
    assert proposal["low"]["enter"] == plain(Fraction(871))


@pytest.mark.parametrize("arguments", [["--format", "xml"], ["no-such.toml"]])
def test_arguments_that_cannot_be_used(tmp_path: Path, arguments: list[str]) -> None:
    assert run(["propose", *arguments, str(write(tmp_path))]) == 2


def test_propose_over_a_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write(tmp_path, pump="")
    (tmp_path / "other.toml").write_text('[tool]\nname = "x"\n', encoding="utf-8")
    assert run(["propose", str(tmp_path)]) == 0
    shown = capsys.readouterr().out
    assert "High cutoff: enter 250 (as it is)" in shown
    assert "Not held against, for want of a rating: pump." in shown

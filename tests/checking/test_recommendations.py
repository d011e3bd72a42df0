"""What to type: one number a place, never worse than what was there, never on a doubtful basis."""

from __future__ import annotations

import json
from collections import Counter
from datetime import date
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from limitcheck.checking.entry import ask
from limitcheck.checking.file import check_file
from limitcheck.checking.results import FileReport
from limitcheck.checking.run import finish
from limitcheck.findings import NOT_DECIDED, Confidence, KeyPath, Severity
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.edited import with_values
from limitcheck.profile.hardware import under_pressure, weakest
from limitcheck.profile.load import ProfileFile, load_bytes
from limitcheck.profile.write import dump_profile
from limitcheck.render.sarif import render as render_sarif
from limitcheck.units import PRESSURE_UNITS, Pressure
from tests.detection.generator import generate
from tests.profiles_for_tests import profile_file

TODAY = date(2026, 11, 25)
UNITS = st.sampled_from(["bar", "psi", "MPa", "kPa", "kgf/cm2"])
NUMBERS = st.integers(0, 9999)
CUTOFFS = (("cutoffs", "high"), ("cutoffs", "low"))


def report_of(file: ProfileFile, *, propose: bool = False) -> FileReport:
    return check_file(file, DEFAULT_POLICY, TODAY, propose=propose)


def open_places(report: FileReport) -> set[tuple[str, KeyPath]]:
    """What asks for another number: not a note, an acceptance or what is not decided."""
    return {
        (f.check, f.path)
        for f in report.findings
        if f.accepted is None
        and f.severity is not Severity.NOTE
        and "acceptance" not in f.check
        and f.check != NOT_DECIDED
    }


def typed(file: ProfileFile, report: FileReport) -> FileReport:
    """The report once everything recommended is typed."""
    items = ((item.path, item.enter, item.unit) for item in report.recommendations)
    profile = with_values(file.profile, items)
    return check_file(file._replace(profile=profile), DEFAULT_POLICY, TODAY)


@st.composite
def profiles(draw: st.DrawFn) -> ProfileFile:
    """A small profile whose numbers, units and step are anything."""
    low, high = sorted((draw(NUMBERS), draw(NUMBERS)))
    unit = draw(st.sampled_from(["", " bar", " psi", " MPa"]))
    document = {
        "format": 1,
        "method": {"id": "KB-TEA-014"},
        "instrument": {
            "id": "KB-LC-03",
            "pressure_unit": draw(UNITS),
            "display_step": draw(st.sampled_from([1, 10, 0.1, 0.01])),
        },
        "cutoffs": {"high": draw(NUMBERS), "low": draw(NUMBERS)},
        "expected": {
            "low": f"{low}{unit}" if unit else low,
            "high": f"{high}{unit}" if unit else high,
        },
        "flow_path": [
            {"part": part, "rating": f"{draw(st.integers(1, 9999))} {draw(UNITS)}"}
            for part in ("pump", "column")
        ],
    }
    return load_bytes(dump_profile(document).encode(), "any.toml")


@st.composite
def slipped(draw: st.DrawFn) -> ProfileFile:
    """A realistic clean profile with one or two numbers typed in another unit."""
    document = json.loads(
        json.dumps(generate(9, draw(st.integers(0, 400))).document, default=float)
    )
    unit = document["instrument"]["pressure_unit"]
    for _ in range(draw(st.integers(0, 2))):
        table, key = draw(st.sampled_from([*CUTOFFS, ("expected", "low"), ("expected", "high")]))
        number = document.get(table, {}).get(key)
        if isinstance(number, int | float) and number:
            factor = PRESSURE_UNITS[unit].factor / PRESSURE_UNITS[draw(UNITS)].factor
            document[table][key] = round(float(Fraction(number) * factor), 1)
    return load_bytes(dump_profile(document).encode(), "slipped.toml")


@settings(max_examples=150)
@given(st.one_of(profiles(), slipped()))
def test_what_is_recommended_brings_nothing_new(file: ProfileFile) -> None:
    report = report_of(file)
    after = typed(file, report)
    assert open_places(after) <= open_places(report)
    # What was broken may be undecided now: a band that is only predicted, for example.
    before = set(report.broken) | {item.check for item in report.undecided}
    assert {item.check for item in after.undecided} <= before


@settings(max_examples=150)
@given(st.one_of(profiles(), slipped()))
def test_one_number_a_place_and_never_a_cutoff_above_a_rating(file: ProfileFile) -> None:
    for report in (report_of(file), report_of(file, propose=True)):
        assert max(Counter(item.path for item in report.recommendations).values(), default=1) == 1
        assert not {i.path for i in report.recommendations} & {w.path for w in report.withheld}
        items = [(item.path, item.enter, item.unit) for item in report.recommendations]
        profile = with_values(file.profile, items)
        part, high = weakest(under_pressure(profile)), profile.cutoffs.high
        if part is not None and high is not None and any(i[0] == CUTOFFS[0] for i in items):
            assert high <= part.pressure


@settings(max_examples=100)
@given(st.one_of(profiles(), slipped()))
def test_every_output_gives_the_same_number(file: ProfileFile) -> None:
    """`check` and `propose` agree; SARIF offers only what may be written."""
    report, proposed = report_of(file), report_of(file, propose=True)
    numbers = {item.path: item.text for item in report.recommendations}
    for item in proposed.recommendations:
        assert numbers.get(item.path, item.text) == item.text
    for finding in report.findings:
        for item in finding.recommendations:
            assert item.text == numbers[item.path]
    written = {item.text for item in report.recommendations if item.may_be_written}
    for result in json.loads("".join(render_sarif(finish([report]))))["runs"][0]["results"]:
        for fix in result.get("fixes", ()):
            assert set(fix["description"]["text"].removeprefix("Enter ").split(", ")) <= written


@settings(max_examples=60)
@given(slipped(), st.sampled_from(["high", "low"]))
def test_entry_gives_the_number_of_check(file: ProfileFile, field: str) -> None:
    """`entry` answers about its own field only, and not where anything else is in doubt."""
    entered = getattr(file.profile.cutoffs, field)
    if entered is None:
        return
    answer = ask(file.profile, entered.number, field, DEFAULT_POLICY, TODAY)  # type: ignore[arg-type]
    if answer.enter is not None:
        assert answer.enter.path == ("cutoffs", field)
        assert not answer.undecided


def test_nothing_is_offered_where_the_band_may_be_in_another_unit() -> None:
    """4000 and 1000 psi, and a band of 130 to 190 that was meant in bar: once 237 and 65 psi."""
    file = profile_file(
        unit='"psi"',
        high="4000",
        low="1000",
        expected_low="130",
        expected_high="190",
        pump='"6000 psi"',
        column='"6000 psi"',
    )
    for report in (report_of(file), report_of(file, propose=True)):
        offered = {item.path: item for item in report.recommendations}
        for path in CUTOFFS:
            assert path not in offered or Pressure.of(offered[path].enter, "psi").to("bar") > 60
    for result in json.loads("".join(render_sarif(finish([report_of(file)]))))["runs"][0][
        "results"
    ]:
        for fix in result.get("fixes", ()):
            assert "expected.high" in fix["description"]["text"]


def test_one_number_for_a_slip_that_would_be_the_rating() -> None:
    """400 bar typed on a psi instrument: once 5801 in one finding and 5221 in the next."""
    file = profile_file(
        unit='"psi"', high="400", low="870", expected_low='"120 bar"', expected_high='"200 bar"'
    )
    report = report_of(file)
    numbers = [i.enter for f in report.findings for i in f.recommendations if i.path == CUTOFFS[0]]
    assert len(set(numbers)) == 1
    assert [i.enter for i in report.recommendations if i.path == CUTOFFS[0]] == numbers[:1]


def test_a_rounding_over_a_rating_goes_to_the_rating_rounded_down() -> None:
    """600 bar over a fitting of 8700 psi (599.84 bar) becomes 599, never a new proposal."""
    file = profile_file(
        high="600",
        low="15",
        expected_low="30",
        expected_high="61",
        pump='"8700 psi"',
        column='"1000 bar"',
    )
    report = report_of(file)
    (high,) = [item for item in report.recommendations if item.path == CUTOFFS[0]]
    assert (high.enter, high.basis, high.confidence) == ("599", "rounding", Confidence.CERTAIN)


def test_a_step_that_moves_the_number_far_is_not_written() -> None:
    """7 on a psi instrument with a step of 10 would be stored as 10; 101.5 psi was meant."""
    file = profile_file(
        unit='"psi"',
        step="10",
        high="3630",
        low="7",
        expected_low='"14 bar"',
        expected_high='"200 bar"',
    )
    report = report_of(file)
    assert all(item.basis != "step" for item in report.recommendations)
    assert not [i for i in report.recommendations if i.path == CUTOFFS[1] and i.may_be_written]

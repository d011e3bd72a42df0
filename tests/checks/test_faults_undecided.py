"""fault-unseen: the high end of the normal band counts; what no rating or pressure decides."""

from __future__ import annotations

from datetime import date

from limitcheck.checks import Skip
from limitcheck.checks.subject import Subject
from limitcheck.checks.unseen_faults import fault_unseen
from limitcheck.documents.faults import faults_document
from limitcheck.documents.faults_data import faults_data
from limitcheck.findings import Finding, Severity
from limitcheck.physics.faults import Faults
from limitcheck.physics.predict import predict
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.model import Profile
from limitcheck.render.text import render
from tests.physics.profiles import column, conditions, pair, profile
from tests.profiles_for_tests import profile_file

TODAY = date(2026, 11, 25)
PREPARATIVE = conditions(flow='"20 mL/min"', percent_b="50")
COLUMN = (
    '{part = "column", rating = "200 bar", length = "250 mm", bore = "21.2 mm", '
    'particle_size = "10 um"}'
)


def pump(*points: tuple[int, int], rating: int | None = 400) -> str:
    """A pump with a derating table: mL/min and bar."""
    table = ", ".join(f'{{flow = "{f} mL/min", rating = "{bar} bar"}}' for f, bar in points)
    plain = "" if rating is None else f'rating = "{rating} bar", '
    return f'{{part = "pump", {plain}rating_at_flow = [{table}]}}'


def preparative(first: str, *, high: int, expected: str) -> Profile:
    cutoffs = f"cutoffs = {{high = {high}, low = 8}}"
    return profile(
        first, COLUMN, conditions=PREPARATIVE, cutoffs=cutoffs, expected=f"{{{expected}}}"
    )


def judged(made: Profile) -> tuple[list[Finding], str]:
    """What is found, and what is not decided."""
    found: list[Finding] = []
    try:
        for finding in fault_unseen(Subject(made, DEFAULT_POLICY, TODAY)):
            found.append(finding)
    except Skip as skip:
        return found, str(skip)
    return found, ""


def text_of(made: Profile) -> str:
    file = profile_file()._replace(profile=made)
    return " ".join(render(faults_document(file, Faults(made), TODAY, doubt="")).split())


def test_a_pressure_at_the_high_end_of_the_band_is_normal() -> None:
    """20 to 30 bar doubled: 40 to 60, of which the middle is under the 55 bar held there."""
    table = pump((25, 400), (50, 55))
    made = preparative(table, high=62, expected='low = 20, high = 30, basis = "measured"')
    ((found,), left) = judged(made)
    assert left == ""
    assert found.data["faults"] == ["flow-doubled"]
    assert "flow doubled (about 60.1 bar" in found.message
    assert "it holds 55 bar at 40 mL/min" in found.message
    assert "1 fault can pass what a part holds" in text_of(made)
    narrow = preparative(table, high=62, expected='low = 20, high = 26, basis = "measured"')
    assert judged(narrow) == ([], "")


def test_beyond_the_last_point_of_its_table_a_rating_is_not_known() -> None:
    """The table ends at 25 mL/min with 55 bar, over the cutoff: what it holds at 40 is not said."""
    made = preparative(pump((10, 400), (25, 55)), high=48, expected="low = 18, high = 26")
    assert judged(made) == (
        [],
        "with flow doubled the flow is 40 mL/min, and no rating of the pump is given above "
        "25 mL/min",
    )
    told = "With flow doubled the flow is 40 mL/min, and no rating of the pump is given above 25"
    assert told in text_of(made)
    data = faults_data(profile_file()._replace(profile=made), Faults(made), doubt="")
    (part,) = data["not_rated"]
    assert (part["fault"], part["at"], part["above"]) == ("flow-doubled", "40 mL/min", "25 mL/min")
    known = preparative(pump((10, 400), (40, 55)), high=48, expected="low = 18, high = 26")
    assert judged(known) == ([], "")
    assert "no rating" not in text_of(known)


def test_over_the_last_point_it_is_broken_whatever_is_beyond() -> None:
    made = preparative(pump((20, 400), (25, 40)), high=48, expected="low = 18, high = 26")
    ((found,), left) = judged(made)
    assert "it holds 40 bar at 40 mL/min, beyond its last stated point" in found.message
    assert left == ""


def test_the_own_flow_beyond_the_table_is_told_once() -> None:
    table = pump((10, 100), (15, 50), rating=None)
    made = preparative(table, high=48, expected="low = 18, high = 26")
    assert judged(made)[1] == "the pump has no rating at 20 mL/min, only for less"
    told = text_of(made)
    assert "In the method the flow is 20 mL/min, and no rating of the pump is given" in told
    assert told.count("is not decided") == 1
    data = faults_data(profile_file()._replace(profile=made), Faults(made), doubt="")
    assert [part["fault"] for part in data["not_rated"]] == [None]


def test_an_oven_too_hot_beyond_the_table_is_told() -> None:
    hot = '{part = "fitting", rating_at_temperature = [{temperature = "40 degC", rating = '
    made = profile(
        '{part = "pump", rating = "400 bar"}',
        hot + '"300 bar"}]}',
        COLUMN,
        cutoffs="cutoffs = {high = 150, low = 40}",
        expected="{low = 80, high = 100}",
    )
    assert judged(made)[1] == (
        "with oven too hot the temperature is 45 degC, and no rating of the fitting is given above "
        "40 degC"
    )


def predicted_only(rating: float, low: float, measured: str = "") -> Profile:
    """No band; the column holds so much [bar], and nothing stops the pump from above."""
    column = (
        f'{{part = "column", rating = "{rating:.1f} bar", length = "150 mm", bore = "4.6 mm", '
        'particle_size = "5 um"}'
    )
    tube = '{part = "tubing", length = "600 mm", bore = "0.17 mm"}'
    return profile(
        '{part = "pump", rating = "900 bar"}',
        tube,
        column,
        cutoffs=f"cutoffs = {{low = {low:.2f}}}",
        measured=measured,
    )


def test_only_predicted_it_is_broken_from_the_most_likely_pressure_on() -> None:
    found = predict(predicted_only(400, 0))
    doubled = 2 * found.central / 1e5
    broken, left = judged(predicted_only(0.9 * doubled, 0))
    assert "flow-doubled" in broken[0].data["faults"]
    # Those that do so only from the high end of the interval are told beside it, not passed over.
    only = "the normal pressure is only predicted, and with"
    assert left.startswith(f"{only} longer column (up to about ")
    assert "flow doubled" not in left
    most = 2 * found.high / 1e5
    doubtful, left = judged(predicted_only(0.98 * most, 0))
    assert doubtful == []
    assert left.startswith(f"{only} flow doubled (up to about ")
    assert judged(predicted_only(2 * most, 0)) == ([], "")


def test_a_low_cutoff_is_compared_with_the_lowest_predicted_pressure() -> None:
    lowest = predict(predicted_only(900, 20)).lowest
    late = 0.25  # of normal: half of what is proposed
    ((found,), left) = judged(predicted_only(900, 0.98 * late * lowest.low / 1e5))
    assert found.severity is Severity.NOTE
    assert "at least 75" in found.message or "at least 76" in found.message
    assert left == ""
    found_none, left = judged(predicted_only(900, late * lowest.high / 1e5))
    assert found_none == []
    assert left.startswith("the lowest pressure is only predicted, ")
    above = 1.05 * late * (lowest.high + 69e5) / 1e5
    assert judged(predicted_only(900, above)) == ([], "")


def test_measured_pairs_decide_and_are_named() -> None:
    """A pair at the method's flow is not asked for again, and nothing is said twice."""
    pairs = ", ".join((pair(0.5, 50), pair(1.0, 100), pair(1.0, 5, column="false")))
    made = predicted_only(150, 10, pairs)
    found, left = judged(made)
    assert [finding.severity for finding in found] == [Severity.WARNING, Severity.NOTE]
    assert left == ""
    told = text_of(made)
    assert "It rests on the measured pairs" in told
    assert "measure its normal pressure" not in told
    assert "measure its normal pressure" in text_of(predicted_only(150, 10))


def test_a_column_of_which_only_the_kind_is_known_decides_nothing() -> None:
    made = profile(
        '{part = "pump", rating = "900 bar"}',
        '{part = "column", rating = "1 bar", length = "150 mm", bore = "2 mm", '
        'particle = "monolith"}',
        cutoffs="cutoffs = {}",
    )
    found, left = judged(made)
    assert found == []
    assert "what it resists is only assumed" in left


def test_each_fault_is_listed_under_the_part_that_it_passes() -> None:
    """Cold, the fitting holds 200 bar and the column 130; in the oven the fitting holds 110."""
    pump = (
        '{part = "pump", rating = "400 bar", rating_at_flow = ['
        '{flow = "1.5 mL/min", rating = "400 bar"}, {flow = "4 mL/min", rating = "90 bar"}]}'
    )
    fitting = (
        '{part = "fitting", rating_at_temperature = ['
        '{temperature = "25 degC", rating = "200 bar"}, '
        '{temperature = "60 degC", rating = "110 bar"}]}'
    )
    made = profile(
        pump,
        fitting,
        column(rating='"130 bar"'),
        cutoffs="cutoffs = {high = 300, low = 40}",
        expected="{low = 85, high = 100}",
        conditions=conditions(temperature='"60 degC"'),
    )
    listed: dict[str, str] = {}
    try:
        for finding in fault_unseen(Subject(made, DEFAULT_POLICY, TODAY)):
            for fault in finding.data.get("faults", ()):
                listed[fault] = finding.message
    except Skip:
        pass
    assert "rating of the column, 130 bar" in listed["heater-off"]
    assert "rating of the fitting, 110 bar" in listed["bed-blocked"]
    assert "what the pump holds" in listed["flow-doubled"]

"""Where nobody gave a band, a run is judged as the columns see it, and not by one composition."""

from __future__ import annotations

from datetime import date

import pytest

from limitcheck.physics.course import course, course_ends
from limitcheck.physics.faults import Faults
from limitcheck.physics.liquid import CannotPredict
from limitcheck.physics.over_course import over_course, run_ends
from limitcheck.physics.predict import predict, predict_system, predict_to_judge
from limitcheck.physics.system import Change, system
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.model import Profile
from tests.physics.profiles import CELL, INJECTOR, PUMP, TUBE, TUBE_2, column, conditions, profile
from tests.physics.test_course import with_dwell

SMALL = column(length='"50 mm"', bore='"2.1 mm"', particle_size='"1.9 um"')
PULSE = (
    "[{minute = 0, percent_b = 5}, {minute = 3, percent_b = 5}, {minute = 3, percent_b = 95},"
    " {minute = 4, percent_b = 95}, {minute = 4, percent_b = 5}, {minute = 6, percent_b = 5}]"
)
RAMP = conditions(
    solvent_b='"methanol"',
    percent_b="",
    gradient="[{minute = 0, percent_b = 10}, {minute = 15, percent_b = 90},"
    " {minute = 25, percent_b = 90}]",
)
STRONG = '{part = "pump", rating = "1300 bar"}'


def pulse(cutoffs: str = "cutoffs = {high = 290, low = 20}", gradient: str = PULSE) -> Profile:
    own = conditions(solvent_b='"methanol"', percent_b="", gradient=gradient, flow='"0.4 mL/min"')
    return profile(STRONG, TUBE, SMALL, TUBE_2, conditions=own, cutoffs=cutoffs)


def test_a_run_lies_between_its_course_and_one_composition_throughout() -> None:
    made = pulse()
    found = predict(made)
    lowest, highest = run_ends(made, found)
    run = course(made, found.ready)
    assert found.highest.central > 1.3 * run.highest.central
    mixed = [most for _, most in course_ends(made, found)]
    assert highest.central == pytest.approx((min(mixed) * max(mixed)) ** 0.5, rel=1e-3)
    assert highest.low < run.highest.low < highest.central < highest.high
    assert highest.high == found.highest.high  # mixing may make it so
    assert lowest.low <= run.lowest.low * 1.001


def test_what_only_one_composition_throughout_would_reach_stops_no_normal_run() -> None:
    """Between the course's highest and that of one composition nothing is decided."""
    plain = pulse()
    found, (_, highest) = predict(plain), run_ends(plain, predict(plain))
    between = 0.5 * (highest.central + found.highest.low) / 1e5
    assert highest.low < between * 1e5 < found.highest.low * 1.2
    for bar, decided in ((between, False), (0.8 * highest.low / 1e5, True)):
        made = pulse(f"cutoffs = {{high = {bar:.1f}, low = 20}}")
        checks = {f.check for f in judged(made)}
        assert ("high-cutoff-below-expected" in checks) is decided
    assert Faults(plain).normal.highest.low == highest.low


def judged(made: Profile):
    from limitcheck.checks.engine import check_profile

    return check_profile(made, DEFAULT_POLICY, date(2026, 11, 25)).findings


def test_a_doubled_flow_fills_more_of_the_columns() -> None:
    """The normal band is of a front that never fills them; at twice the flow it fills more."""
    ramp = "[{minute = 0, percent_b = 10}, {minute = 1, percent_b = 70},"
    ramp += " {minute = 2, percent_b = 20}, {minute = 9, percent_b = 20}]"
    own = conditions(solvent_b='"methanol"', percent_b="", gradient=ramp, flow='"0.8 mL/min"')
    plain = profile(PUMP, TUBE, column(), TUBE_2, conditions=own)
    low, high = (pascal / 1e5 for pascal in course(plain, predict(plain).ready).ends)
    band = f'{{low = {low:.2f}, high = {high:.2f}, basis = "measured"}}'
    made = profile(PUMP, TUBE, column(), TUBE_2, conditions=own, expected=band)
    doubled = next(item for item in Faults(made).effects if item.name == "flow-doubled")
    normally = predict(made)
    there = predict(made, Change(flow=2 * normally.ready.state.flow))
    seen = over_course(made, normally)[1].over(over_course(made, there)[1])
    assert seen.factor > 1.03  # what the ratio of one composition leaves out
    true = course(made, there.ready).highest.central
    assert doubled.high > true
    assert doubled.most == pytest.approx(true, rel=0.05)


def test_a_column_of_unknown_temperature_is_evidence_against_nothing() -> None:
    own = conditions(temperature="", ambient='"20 degC"')
    made = profile(PUMP, TUBE, INJECTOR, column(), CELL, conditions=own)
    assert predict(made).central > 0  # told, with what it assumes
    with pytest.raises(CannotPredict, match="temperature of the columns is not given"):
        predict_to_judge(made)
    told = system(made, Change(temperature=303.15))
    assert told.state.hot_known
    assert predict_system(told).central < predict(made).central


@pytest.mark.parametrize("dwell", ["1 mL", ""])
@pytest.mark.parametrize(("first", "second"), [(5, 93), (100, 0)])
def test_what_is_set_first_is_seen_until_the_dwell_volume_is_through(
    first: int, second: int, dwell: str
) -> None:
    """Two rows of the first minute: a run starts with the first composition in all parts."""
    jump = (
        f"[{{minute = 0, percent_b = {first}}}, {{minute = 0, percent_b = {second}}}, "
        f"{{minute = 2, percent_b = {second}}}]"
    )
    own = conditions(solvent_b='"2-propanol"', percent_b="", gradient=jump, flow='"2 mL/min"')
    made = profile(STRONG, TUBE, SMALL, TUBE_2, conditions=own)
    if dwell:
        made = with_dwell(made, dwell)
    found = predict(made)
    assert course_ends(made, found)[0] == pytest.approx(course(made, found.ready).ends, rel=0.01)


def no_other(programme: list[tuple[float, float]], flow: str, tube: str) -> None:
    """Water to methanol over a wide column: few steps find the ends of the whole course."""
    rows = ", ".join(f"{{minute = {minute}, percent_b = {b}}}" for minute, b in programme)
    flow = f'"{flow} mL/min"'
    own = conditions(solvent_b='"methanol"', percent_b="", gradient=f"[{rows}]", flow=flow)
    wide = column(length='"250 mm"', bore='"30 mm"', particle_size='"10 um"')
    made = profile(STRONG, tube, wide, conditions=own)
    found = predict(made)
    assert course_ends(made, found)[0] == pytest.approx(course(made, found.ready).ends, rel=0.02)


def test_a_steep_corner_fills_the_columns_between_two_moments() -> None:
    """It is lowest a third of the transit after the corner: 7 % were missed."""
    tube = '{part = "tubing", length = "300 mm", bore = "1.6 mm"}'
    no_other([(0, 50), (5, 100), (10, 0), (11, 0)], "100", tube)


def test_a_tube_in_transition_has_as_many_steps_as_the_whole_course() -> None:
    tube = '{part = "tubing", length = "5000 mm", bore = "0.5 mm"}'
    programme = [(0, 0), (0.1, 18), (0.1, 100), (1.11, 100), (6.11, 0), (6.21, 42), (6.21, 100)]
    no_other(programme, "50", tube)


def test_a_gentle_peak_is_found_with_few_moments() -> None:
    """10 to 90 % B in 15 minutes: with half as many its highest was 1.2 % too low."""
    made = profile(STRONG, TUBE, column(), TUBE_2, conditions=RAMP)
    found = predict(made)
    ends = course_ends(made, found)[0]
    assert ends == pytest.approx(course(made, found.ready, 600).ends, rel=4e-3)

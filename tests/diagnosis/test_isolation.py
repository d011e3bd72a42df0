"""Isolation: the plan, known blockages, contradictions, and the seeded simulation."""

from __future__ import annotations

from collections import Counter
from datetime import date
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.diagnosis.isolation import Isolation, isolate
from limitcheck.diagnosis.measurements import ReadingError
from limitcheck.diagnosis.openings import opening_named, openings
from limitcheck.documents.isolation import isolation_document
from limitcheck.physics.predict import Change, predict
from limitcheck.profile.model import validate_profile
from limitcheck.render import text as terminal
from limitcheck.units import Pressure
from tests.diagnosis.isolation_simulation import profile_of, shares, simulate
from tests.profiles_for_tests import WITH_GEOMETRY, with_geometry

WITH_GUARD = WITH_GEOMETRY.replace(
    '[[flow_path]]\npart = "column"',
    '[[flow_path]]\npart = "loop"\nlength = "400 mm"\nbore = "0.17 mm"\n'
    '[[flow_path]]\npart = "guard column"\nlength = "10 mm"\nbore = "4.6 mm"\n'
    'particle_size = "3 um"\n[[flow_path]]\npart = "column"',
)
GOOD = {
    "all": 158,
    "column-outlet": 154,
    "column-inlet": 12,
    "valve-load": 11,
    "valve-inlet": 6,
    "pump-outlet": 0,
}


def bar(readings: dict[str, float]) -> dict[str, Pressure]:
    return {name: Pressure.parse(f"{value} bar") for name, value in readings.items()}


def run(
    readings: dict[str, float],
    normal: dict[str, float] | None = None,
    of: str = WITH_GEOMETRY,
    at: Change | None = None,
) -> Isolation:
    return isolate(with_geometry(of).profile, bar(readings), normal=bar(normal or {}), at=at)


def told(found: Isolation) -> str:
    """What the command prints."""
    document = isolation_document(with_geometry(), found, date(2026, 5, 1))
    return " ".join(terminal.render(document).split())


def blocked(name: str, extra: float) -> dict[str, float]:
    """Good readings with a blockage in what the step `name` removes first."""
    order = list(GOOD)
    until = order.index(name)
    return {
        step: value + (extra if i < until else 0) for i, (step, value) in enumerate(GOOD.items())
    }


def test_plan_without_readings() -> None:
    found = run({})
    assert found.verdict == "plan"
    assert [step.name for step in found.plan] == list(GOOD)
    by_name = {step.name: step for step in found.plan}
    assert by_name["all"].low is not None
    assert by_name["all"].high is not None
    assert 140e5 < by_name["all"].low < 150e5
    assert 168e5 < by_name["all"].high < 178e5
    assert by_name["pump-outlet"].high == 0


def test_normal_pressures_of_the_plan_add_up_to_the_declared_band() -> None:
    """The expected band moves the prediction; the tubing keeps its own drop."""
    declared = run({}).plan
    other = run({}, of=WITH_GEOMETRY.replace("low = 145\nhigh = 172", "low = 200\nhigh = 220"))
    assert other.plan[0].low is not None
    assert other.plan[0].low > 190e5
    tube = [step.high for step in other.plan if step.name == "valve-inlet"]
    assert tube == pytest.approx([s.high for s in declared if s.name == "valve-inlet"], rel=0.02)


def test_parts_that_stay_after_each_step() -> None:
    steps = {step.name: step.parts for step in openings(with_geometry(WITH_GUARD).profile)}
    assert list(steps) == [
        "all",
        "column-outlet",
        "column-inlet",
        "guard-inlet",
        "valve-load",
        "valve-inlet",
        "pump-outlet",
    ]
    loop, guard = 4, 5
    assert guard in steps["column-inlet"]
    assert guard not in steps["guard-inlet"]
    assert loop in steps["guard-inlet"]
    assert loop not in steps["valve-load"]
    assert steps["pump-outlet"] == {0}


@pytest.mark.parametrize(
    ("removed_by", "part"),
    [
        ("column-outlet", "tubing (column to detector)"),
        ("column-inlet", "column"),
        ("valve-load", "loop"),
        ("valve-inlet", "tubing (injector to column)"),
        ("pump-outlet", "tubing (pump to injector)"),
    ],
)
@pytest.mark.parametrize("normal", [{}, {"all": 158}, GOOD], ids=["band", "total", "steps"])
def test_a_blockage_is_named(removed_by: str, part: str, normal: dict[str, float]) -> None:
    found = run(blocked(removed_by, 60), normal)
    assert found.verdict == "found"
    (group,) = found.named
    assert part in group.parts
    assert group.excess == pytest.approx(60e5, abs=16e5)
    assert part in [advice.part for advice in found.advice]


def test_normal_readings_name_nothing() -> None:
    assert run(GOOD).verdict == "normal"
    assert run(GOOD, GOOD).verdict == "normal"


def test_two_blockages() -> None:
    both = {**blocked("column-inlet", 60), "all": GOOD["all"] + 60 + 40}
    found = run(both, GOOD)
    assert found.verdict == "several"
    assert [group.excess for group in found.named] == pytest.approx([60e5, 40e5])


def test_a_small_excess_beside_a_large_one_is_not_named() -> None:
    readings = {**blocked("column-inlet", 90), "all": GOOD["all"] + 90 + 8}
    found = run(readings, GOOD)
    assert found.verdict == "found"
    assert found.named[0].parts == ("column",)


def test_too_high_but_not_to_be_told_apart() -> None:
    """Only two coarse readings: the excess may be before or behind the column's inlet."""
    coarse = WITH_GEOMETRY.replace("display_step = 1", "display_step = 40")
    found = run({"all": 200, "column-inlet": 20}, of=coarse)
    assert found.verdict == "undecided"
    assert "can't tell apart" in found.message


def test_pressure_below_normal_is_no_restriction() -> None:
    low = {name: value * 0.6 for name, value in GOOD.items()}
    found = run(low, GOOD)
    assert found.verdict == "low"
    assert "leak" in found.message


def test_a_rise_when_a_part_is_removed_is_said() -> None:
    found = run({"all": 200, "column-outlet": 240, "column-inlet": 12})
    assert found.verdict == "contradiction"
    assert "rises from 200 bar (all) to 240 bar (column-outlet)" in found.message
    assert found.named == ()
    assert found.advice == ()
    assert "Drop over parts" not in told(found)


def test_a_rise_within_the_resolution_is_no_contradiction() -> None:
    assert run({**GOOD, "column-outlet": 159}).verdict == "normal"


def test_the_interval_holds_the_resolution() -> None:
    coarse = WITH_GEOMETRY.replace("display_step = 1", "display_step = 5")

    def width(of: str) -> float:
        group = run(GOOD, GOOD, of=of).excesses[1]
        assert group.high is not None
        assert group.low is not None
        return group.high - group.low

    assert run(GOOD, of=coarse).resolution == 5e5
    assert width(coarse) - width(WITH_GEOMETRY) > 4e5


def test_skipped_steps_join_their_parts() -> None:
    found = run({"all": 218, "column-inlet": 12}, {"all": 158, "column-inlet": 12})
    assert found.verdict == "found"
    assert "column" in found.named[0].parts
    assert "tubing (column to detector)" in found.named[0].parts


def test_further_steps_tell_a_group_apart() -> None:
    readings = blocked("column-outlet", 60)
    found = run(readings, GOOD)
    assert found.named[0].parts == ("tubing (column to detector)", "detector cell")
    assert [step.name for step in found.further] == ["part-7"]
    cell_advice = next(advice for advice in found.advice if advice.part == "detector cell")
    assert cell_advice.steps[0] == (
        "flow off until it is clear: it holds 60 bar, and with the flow on 64 bar may be on it"
    )
    cell = run({**readings, "part-7": 157}, {**GOOD, "part-7": 157})
    assert cell.named[0].parts == ("detector cell",)
    tube = run({**readings, "part-7": 217}, {**GOOD, "part-7": 157})
    assert tube.named[0].parts == ("tubing (column to detector)",)


def test_column_reversed() -> None:
    high = blocked("column-inlet", 60)
    normal = run({**high, "column-reversed": 156})
    assert normal.reversed_column is not None
    assert "sat at its inlet" in normal.reversed_column
    still = run({**high, "column-reversed": 214})
    assert still.reversed_column is not None
    assert "bed or both frits" in still.reversed_column
    assert "Reversed, the column" in told(still)


def test_advice_for_a_column_in_order() -> None:
    (advice,) = run(blocked("column-inlet", 60)).advice
    words = [
        "reverse the column",
        "inlet frit with a new one, finer than the 3 um",
        "backwards",
        "replace the column",
    ]
    assert [word in step for word, step in zip(words, advice.steps, strict=True)] == [True] * 4


def test_one_opening_has_one_name() -> None:
    with pytest.raises(ReadingError, match="part-6 is the same opening as column-outlet"):
        run({"all": 200, "part-6": 150})


KINDS = st.lists(
    st.sampled_from(
        [
            "filter",
            "mixer",
            "tubing",
            "injector",
            "loop",
            "fitting",
            "guard column",
            "column",
            "detector cell",
            "restrictor",
        ]
    ),
    max_size=10,
)


@given(KINDS, st.integers(0, 10))
def test_each_opening_leaves_fewer_parts(kinds: list[str], column: int) -> None:
    """Plan and `part-N` together are one chain: every drop is that of the parts between."""
    data = {
        "format": 1,
        "method": {"id": "M"},
        "instrument": {"id": "I", "pressure_unit": "bar"},
        "flow_path": [{"part": k} for k in ("pump", *kinds[:column], "column", *kinds[column:])],
    }
    made = validate_profile(data)
    further = [opening_named(f"part-{n}", made) for n in range(2, len(made.flow_path) + 1)]
    steps = [*openings(made), *(step for step in further if step is not None)]
    chain = sorted({step.parts for step in steps}, key=len)
    assert all(fewer < more for fewer, more in pairwise(chain))
    assert openings(made)[0].parts == chain[-1]
    assert chain[0] == {0}


@pytest.mark.parametrize("name", ["colum", "part-1", "part-99", "part-x"])
def test_unknown_step(name: str) -> None:
    with pytest.raises(ReadingError, match="is not a step of this flow path") as caught:
        run({"all": 200, name: 10})
    assert "column-outlet" in caught.value.advice


def test_a_reading_no_pump_makes() -> None:
    with pytest.raises(ReadingError, match="above the rating of the pump, 400 bar"):
        run({"all": 2860})


def test_one_reading_is_not_enough() -> None:
    assert run({"all": 200}).verdict == "plan"
    assert run({"column-inlet": 12, "pump-outlet": 0}).verdict == "plan"


def test_normal_far_from_the_prediction_is_said() -> None:
    psi = WITH_GEOMETRY.replace("low = 145\nhigh = 172", "low = 2100\nhigh = 2500")
    found = run({"all": 250, "column-inlet": 12}, of=psi)
    assert found.doubt is not None
    assert "about 2300 bar, is far from the predicted" in found.doubt
    assert "check units, geometry" in " ".join(told(found).split())
    assert run({"all": 250, "column-inlet": 12}).doubt is None
    known = {"all": 240, "column-inlet": 12}
    assert run({"all": 250, "column-inlet": 12}, known, of=psi).doubt is None


def test_large_numbers_have_no_exponent() -> None:
    kilopascal = WITH_GEOMETRY.replace('"bar"\ndisplay_step = 1', '"kPa"\ndisplay_step = 100')
    kilopascal = kilopascal.replace("high = 260\nlow = 30", "high = 26000\nlow = 3000")
    kilopascal = kilopascal.replace("low = 145\nhigh = 172", "low = 14500\nhigh = 17200")
    found = run(blocked("column-inlet", 60), of=kilopascal)
    assert found.verdict == "found"
    assert "e+" not in told(found)


def test_without_a_prediction() -> None:
    bare = WITH_GEOMETRY.replace('particle_size = "3 um"\n', "")
    found = run(blocked("column-inlet", 60), of=bare)
    assert found.verdict == "unjudged"
    assert found.no_normal is not None
    assert "Give those of a good day" in told(found)
    known = run(blocked("column-inlet", 60), GOOD, of=bare)
    assert known.verdict == "found"
    assert known.named[0].parts == ("column",)


def test_other_conditions_and_gradients() -> None:
    half = Change(flow=0.5e-6 / 60)
    found = run({}, at=half)
    assert found.plan[0].high == pytest.approx(run({}).plan[0].high / 2, rel=0.02)  # type: ignore[operator]
    gradient = WITH_GEOMETRY.replace(
        "percent_b = 18", "gradient = [{minute = 0, percent_b = 5}, {minute = 10, percent_b = 60}]"
    )
    start = predict(with_geometry(gradient).profile, Change(percent_b=5)).central
    peak = predict(with_geometry(gradient).profile).central
    high = run({}, of=gradient).plan[0].high
    assert high is not None
    assert high > 172e5 * start / peak


@pytest.mark.parametrize(
    ("knowledge", "floor"),
    [("expected band", 0.97), ("normal total", 0.92), ("normal steps", 0.99)],
)
def test_simulated_blockages(knowledge: str, floor: float) -> None:
    """A little below what print_isolation_table.py measures: 98.5, 93.5 and 100 % at +20 %."""
    for size in (0.2, 0.8):
        said: Counter[str] = Counter()
        for counted in shares(simulate(knowledge, 12, 2, (size,))).values():
            said += counted
        assert said["wrong"] == 0, said
        assert said["right"] >= floor * said.total(), said


def test_simulated_good_days() -> None:
    """Nothing blocked: hardly ever is a part named."""
    said: Counter[str] = Counter()
    for counted in shares(simulate("normal steps", 10, 3, (0.0,))).values():
        said += counted
    assert said["missed"] >= 0.95 * said.total()


def test_simulated_profiles_are_sound() -> None:
    for scale in ("conventional", "narrow"):
        assert 50e5 < predict(profile_of(scale)).central < 600e5

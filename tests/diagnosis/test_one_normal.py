"""What is normal is one decision: of a reading, of the first step, of faults."""

from __future__ import annotations

import pytest

from limitcheck.diagnosis.bounds import Bounds, bounds, usual
from limitcheck.diagnosis.isolation import isolate
from limitcheck.diagnosis.measurements import Measurements
from limitcheck.diagnosis.reading import read
from limitcheck.documents.faults import normal_text
from limitcheck.documents.verdict import verdict
from limitcheck.physics.faults import Faults
from limitcheck.physics.faults.normal import normal_pressure
from limitcheck.physics.predict import predict
from limitcheck.physics.system import Change
from limitcheck.profile.model import Profile
from limitcheck.units import Pressure
from tests.physics.profiles import (
    COLUMN,
    GRADIENT,
    INJECTOR,
    PUMP,
    TUBE,
    pair,
    profile,
    transferred,
)

AT = {"percent_b": "18"}
PAIRS = ", ".join([pair(1.0, 172, **AT), pair(0.5, 86, **AT)])
CUTOFFS = "cutoffs = {high = 380, low = 40}"
HALF = Change(flow=0.5e-6 / 60)


def made(basis: str, pairs: str = PAIRS) -> Profile:
    """A band of 190 to 210 bar, and pairs of 172 bar at its flow and 86 at half of it."""
    band = f'{{low = 190, high = 210, basis = "{basis}"}}'
    parts = PUMP, TUBE, INJECTOR, COLUMN
    return profile(*parts, expected=band, measured=pairs, cutoffs=CUTOFFS)


@pytest.mark.parametrize("basis", ["declared", "predicted", "measured"])
@pytest.mark.parametrize("pairs", ["", PAIRS])
@pytest.mark.parametrize("change", [Change(), HALF])
@pytest.mark.parametrize("bar", [60, 86, 100, 140, 172, 200, 260])
def test_a_reading_and_the_first_step_say_the_same(
    basis: str, pairs: str, change: Change, bar: int
) -> None:
    pressure = Pressure.parse(f"{bar} bar")
    one = made(basis, pairs)
    assert (
        read(one, pressure, change, in_doubt=False).position
        == Measurements(one, {"all": pressure}, {}, change, in_doubt=False).position
    )


@pytest.mark.parametrize(("bar", "change"), [(172, Change()), (86, HALF)])
def test_what_was_measured_there_is_not_called_below_normal(bar: int, change: Change) -> None:
    """A band that somebody only declared does not outrank what was measured."""
    found = read(made("declared"), Pressure.parse(f"{bar} bar"), change, in_doubt=False)
    assert found.position == "unknown"
    assert found.normal is not None
    assert found.normal.basis == "predicted"
    other = read(made("declared"), Pressure.parse("100 bar"), HALF, in_doubt=False)
    assert other.position == "above normal"
    assert Faults(made("declared")).normal.high < 200e5
    assert Faults(made("measured")).normal.low == 190e5


def test_the_first_step_above_normal_is_said_to_be() -> None:
    found = isolate(made("measured", ""), {"all": Pressure.parse("260 bar")}, in_doubt=False)
    assert found.verdict == "undecided"
    assert "260 bar with everything connected is above normal (190 bar to 210 bar)" in found.message
    assert "one step more" in found.message
    run = profile(
        PUMP, TUBE, INJECTOR, COLUMN, conditions=GRADIENT, cutoffs=CUTOFFS,
        expected='{low = 60, high = 190, basis = "measured"}',
    )  # fmt: skip
    assert (
        "is above normal"
        in isolate(run, {"all": Pressure.parse("370 bar")}, in_doubt=False).message
    )


def test_within_what_a_typed_prediction_is_unsure_by_nothing_is_called_off() -> None:
    """A band typed narrower than what is predicted here calls a pressure beside it neither."""
    plain = profile(PUMP, TUBE, INJECTOR, COLUMN, cutoffs=CUTOFFS)
    found = predict(plain)
    middle = found.central / 1e5
    band = f'{{low = {middle:.2f}, high = {middle + 0.01:.2f}, basis = "predicted"}}'
    typed = profile(PUMP, TUBE, INJECTOR, COLUMN, cutoffs=CUTOFFS, expected=band)
    for made in (plain, typed):
        normal = normal_pressure(made, lambda: found)
        for pascal, told in (
            (0.99 * found.low, "below normal"),
            (1.01 * found.low, "unknown"),
            (0.99 * (found.high + normal.left_out), "unknown"),
            (1.01 * (found.high + normal.left_out), "above normal"),
        ):
            pressure = Pressure.parse(f"{pascal / 1e5:.3f} bar")
            assert read(made, pressure, in_doubt=False).position == told, (pascal, told)
            assert (
                Measurements(made, {"all": pressure}, {}, Change(), in_doubt=False).position == told
            )


@pytest.mark.parametrize(
    ("pairs", "why"),
    [
        ([pair(1.0, 172, **AT)], "a single pair shows no contradiction"),
        ([pair(1.0, 172, **AT), pair(1.0, 240, **AT)], "pairs 1 and 2 were read alike, 40 %"),
        ([pair(1.0, 172, **AT), pair(1.0, 173, **AT)], "all pairs were read at one flow"),
    ],
)
def test_pairs_that_say_nothing_are_named_beside_a_prediction(pairs: list[str], why: str) -> None:
    """Else "a pressure read there on a good day tells" is said of one that stands in the file."""
    parts = PUMP, TUBE, INJECTOR, COLUMN
    one = profile(*parts, measured=", ".join(pairs), cutoffs=CUTOFFS)
    found = read(one, Pressure.parse("172 bar"), in_doubt=False)
    assert found.normal is not None
    assert why in found.normal.unused_pairs
    assert f"[[measured]] is not used: {found.normal.unused_pairs}." in verdict(found, "it")
    assert f"[[measured]] is not used: {found.normal.unused_pairs}." in normal_text(
        Faults(one), in_doubt=False
    )


def test_pairs_that_are_used_are_not_said_to_be_left() -> None:
    one = profile(PUMP, TUBE, INJECTOR, COLUMN, measured=PAIRS, cutoffs=CUTOFFS)
    normal = normal_pressure(one, lambda: predict(one))
    assert normal.unused_pairs == ""
    assert "is not used" not in normal_text(Faults(one), in_doubt=False)


def test_of_a_band_in_doubt_nothing_is_normal() -> None:
    found = normal_pressure(made("measured", ""), lambda: predict(made("measured", "")))
    sure, doubted = (bounds(found, None, in_doubt=doubt) for doubt in (False, True))
    assert (sure.position(200e5), doubted.position(200e5)) == ("normal", "unknown")
    assert (doubted.least, doubted.most) == (sure.least, sure.most) == (190e5, 210e5)


@pytest.mark.parametrize("basis", ["declared", "predicted", "measured"])
@pytest.mark.parametrize("change", [Change(), HALF])
@pytest.mark.parametrize("bar", [1, 60, 86, 150, 200, 260])
def test_where_a_pressure_lies_is_not_told_by_a_band_in_doubt(
    basis: str, change: Change, bar: int
) -> None:
    """Of a band typed in another unit "below normal" sent somebody to look for a leak."""
    one, pressure = made(basis, ""), Pressure.parse(f"{bar} bar")
    found = read(one, pressure, change, in_doubt=True)
    assert (found.position, found.off_by, found.causes) == ("unknown", 0.0, ())
    opened = isolate(one, {"all": pressure}, at=change, in_doubt=True)
    assert opened.verdict == "undecided"
    assert "can't be told from normal (a band that is in doubt: " in opened.message
    assert "limitcheck check" in opened.message
    assert "one step more" not in opened.message
    assert (opened.basis, opened.no_normal) == (None, "the expected band is in doubt")
    assert {(step.low, step.high) for step in opened.plan} == {(None, None)}
    two = {"all": pressure, "column-inlet": Pressure.parse("1 bar")}
    stepwise = isolate(one, two, at=change, in_doubt=True)
    assert stepwise.verdict in ("unjudged", "contradiction")
    assert stepwise.named == ()


@pytest.mark.parametrize("bar", [60, 150, 172, 260])
def test_a_doubted_band_that_is_not_used_changes_no_answer(bar: int) -> None:
    """Measured pairs say what is normal, not the band that was only declared."""
    pressure = Pressure.parse(f"{bar} bar")
    sure, doubted = (read(made("declared"), pressure, in_doubt=doubt) for doubt in (False, True))
    assert sure.position == doubted.position
    assert {read(made("declared"), Pressure.parse("60 bar"), in_doubt=True).position} == {
        "below normal"
    }


def test_a_reading_of_a_good_day_tells_where_the_band_is_in_doubt() -> None:
    normal = {"all": Pressure.parse("150 bar")}
    for bar, said in ((150, "normal"), (100, "low")):
        given = {"all": Pressure.parse(f"{bar} bar")}
        opened = isolate(made("measured", ""), given, normal=normal, in_doubt=True)
        assert (opened.verdict, opened.no_normal) == (said, None)


def test_a_band_in_doubt_takes_no_caution_away() -> None:
    """What the parts before the column take is not known: all may be on what is behind it."""
    cell = '{part = "detector cell", rating = "60 bar"}'
    band = '{low = 1900, high = 2100, basis = "measured"}'
    one = profile(PUMP, TUBE, INJECTOR, COLUMN, cell, expected=band, cutoffs=CUTOFFS)
    opened = isolate(one, {"all": Pressure.parse("240 bar")}, in_doubt=True)
    assert opened.first is not None
    assert "lower the flow to 25 % of the method's" in opened.first
    assert "the detector cell, which holds 60 bar, may have 240 bar on it" in opened.first


def test_of_what_is_only_predicted_all_is_open_that_either_end_of_the_run_may_make() -> None:
    band = '{low = 60, high = 65, basis = "predicted"}'
    run = profile(PUMP, TUBE, INJECTOR, COLUMN, expected=band, cutoffs=CUTOFFS)
    found = normal_pressure(run, lambda: predict(run))
    assert found.basis == "predicted"
    assert found.lowest.low < found.low
    assert found.highest.high > found.high
    edges = bounds(found, None, in_doubt=False)
    assert (edges.least, edges.most, edges.normal) == (found.lowest.low, found.highest.high, None)


def test_an_end_of_what_is_normal_or_open_belongs_to_it() -> None:
    edges = Bounds(10e5, 20e5, (12e5, 18e5), in_doubt=False)
    told = {bar: edges.position(bar * 1e5) for bar in (9.9, 10, 11.9, 12, 18, 18.1, 20, 20.1)}
    assert list(told.values()) == [
        *("below normal", "unknown", "unknown", "normal"),
        *("normal", "unknown", "unknown", "above normal"),
    ]


def test_a_band_that_a_transfer_wrote_is_a_total_and_one_that_was_predicted_is_none() -> None:
    """The sender measured the first; of the second nobody read anything."""
    band = '{low = 60, high = 65, basis = "predicted"}'
    run = profile(PUMP, TUBE, INJECTOR, COLUMN, expected=band, cutoffs=CUTOFFS)
    own, sent = (usual(one, None, in_doubt=False) for one in (run, transferred(run)))
    assert own is not None
    assert own.total is None
    assert sent is not None
    assert sent.total == (sent.bounds.least, sent.bounds.most)

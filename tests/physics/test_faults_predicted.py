"""Faults that start from a pressure that is only predicted: no surer than the prediction."""

from __future__ import annotations

from datetime import date

import pytest

from limitcheck.checks.subject import Subject
from limitcheck.diagnosis.conditions import moved_band
from limitcheck.physics.faults import FaultEffect, Faults
from limitcheck.physics.faults.changes import FAULTS
from limitcheck.physics.faults.normal import Span
from limitcheck.physics.left_out import left_out_allowance
from limitcheck.physics.liquid import CannotPredict
from limitcheck.physics.over_course import run_ends
from limitcheck.physics.predict import predict
from limitcheck.physics.system import Change
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.model import Profile
from tests.physics.profiles import (
    COLUMN,
    GRADIENT,
    PARTS,
    PUMP,
    TUBE,
    column,
    conditions,
    profile,
    transferred,
)

METHANOL = conditions(solvent_b='"methanol"', percent_b="").replace(
    "}", ", gradient = [{minute = 0, percent_b = 10}, {minute = 15, percent_b = 90}]}"
)
STOPS = {"high": "flow-doubled", "low": "leak"}


def effect(made: Profile, name: str) -> FaultEffect:
    return next(item for item in Faults(made).effects if item.name == name)


def with_cutoff(which: str, bar: float, grad: str = GRADIENT, expected: str = "") -> Profile:
    other = "high = 900" if which == "low" else "low = 1"
    cutoffs = f"cutoffs = {{{other}, {which} = {bar:.3f}}}"
    return profile(conditions=grad, cutoffs=cutoffs, expected=expected)


def band(made: Profile, *, wide: bool) -> str:
    """What is predicted as [expected]: from the ends of the interval, or most likely."""
    found = predict(made)
    low, high = (
        (found.lowest.low, found.highest.high)
        if wide
        else (found.lowest.central, found.highest.central)
    )
    return f'{{low = {low / 1e5:.3f}, high = {high / 1e5:.3f}, basis = "predicted"}}'


@pytest.mark.parametrize("grad", [GRADIENT, METHANOL])
def test_the_normal_pressure_is_that_of_the_check(grad: str) -> None:
    """From the least that the lowest pressure may be to the most that the highest may be.

    With what parts left out may add, on either.
    """
    made = profile(conditions=grad)
    lowest, highest = run_ends(made, predict(made))
    more = left_out_allowance(made, predict(made))
    assert more > 0
    normal = Faults(made).normal
    assert (normal.low, normal.high, normal.left_out) == (lowest.low, highest.high + more, more)
    assert tuple(normal.lowest) == (lowest.low, lowest.central, lowest.high + more)
    assert tuple(normal.highest) == (highest.low, highest.central, highest.high + more)


@pytest.mark.parametrize("typed", ["nothing", "most likely", "interval"])
@pytest.mark.parametrize("grad", [GRADIENT, METHANOL])
@pytest.mark.parametrize("which", ["high", "low"])
def test_always_only_where_the_whole_interval_stops(which: str, grad: str, typed: str) -> None:
    """A cutoff just on either side of each end of what the extreme may be under the fault."""
    plain = profile(conditions=grad)
    expected = "" if typed == "nothing" else band(plain, wide=typed == "interval")
    lowest, highest = run_ends(plain, predict(plain))
    point = highest if which == "high" else lowest
    _, (at_lowest, at_highest) = FAULTS[STOPS[which]](Faults(plain))
    ratio = at_highest if which == "high" else at_lowest
    most = point.high + left_out_allowance(plain, predict(plain))
    ends = (point.low * ratio.low, point.central * ratio.central, most * ratio.high)
    ends = ends if which == "high" else (ends[2], ends[1], ends[0])
    words: list[str | None] = ["always", "usually", "sometimes", None]
    inside = 0.98 if which == "high" else 1.02
    for at, (end, before, after) in enumerate(zip(ends, words, words[1:], strict=False)):
        for share, word in ((inside, before), (1 / inside, after)):
            made = with_cutoff(which, share * end / 1e5, grad, expected)
            assert effect(made, STOPS[which]).certainty == word, (at, share)


def test_a_leak_of_a_gradient_that_nobody_measured_is_not_always_seen() -> None:
    """A low cutoff of 40 bar, where the lowest pressure is somewhere in 38 to 84 bar."""
    made = profile(
        PUMP,
        '{part = "tubing", length = "500 mm", bore = "0.17 mm"}',
        column(),
        '{part = "tubing", length = "300 mm", bore = "0.17 mm"}',
        conditions=METHANOL.replace("35 degC", "30 degC").replace("21 degC", "22 degC"),
        cutoffs="cutoffs = {high = 300, low = 40}",
    )
    lowest = Faults(made).normal.lowest
    assert lowest.low < 40e5 < lowest.high
    found = effect(made, "leak")
    # Where the last composition is not held it is seen late.
    assert (found.stopped_by, found.certainty) == ("low", "sometimes")


def test_a_measured_band_is_as_sure_as_it_says() -> None:
    made = profile(conditions=GRADIENT, expected='{low = 40, high = 100, basis = "measured"}')
    normal = Faults(made).normal
    assert tuple(normal.lowest) == (40e5,) * 3
    assert tuple(normal.highest) == (100e5,) * 3


def test_a_typed_prediction_without_gradient_is_no_surer_than_this_one() -> None:
    found = predict(profile())
    middle = found.central / 1e5
    expected = f'{{low = {middle:.3f}, high = {middle:.3f}, basis = "predicted"}}'
    normal = Faults(profile(expected=expected)).normal
    assert normal.low == pytest.approx(found.central, rel=1e-4)
    assert normal.highest.low == pytest.approx(found.low)
    assert normal.highest.high == pytest.approx(found.high + normal.left_out)
    assert normal.left_out == left_out_allowance(profile(), found)
    assert normal.lowest == normal.highest


def test_a_moved_band_is_as_unsure_in_proportion_and_no_surer_than_predicted_here() -> None:
    """A band from another method is no prediction by itself, nor does it rule out this one."""
    made = profile(conditions=GRADIENT, expected='{low = 400, high = 1000, basis = "predicted"}')
    assert made.expected is not None
    _, point = run_ends(made, predict(made))
    moved = made.model_copy(update={"expected": made.expected.moved({})})
    for other in (moved, transferred(made)):
        normal = Faults(other).normal
        highest = normal.highest
        assert highest.central == pytest.approx(1000e5)
        assert highest.low == point.low < 1000e5
        high = highest.high - normal.left_out
        assert high / 1000e5 == pytest.approx(point.high / point.central)
        assert normal.left_out == left_out_allowance(made, predict(made))


@pytest.mark.parametrize(("low", "high"), [(60, 100), (100, 170), (250, 400)])
def test_a_band_that_a_transfer_wrote_is_as_unsure_for_faults_as_for_checks(
    low: int, high: int
) -> None:
    expected = f'{{low = {low}, high = {high}, basis = "predicted"}}'
    made = transferred(profile(conditions=GRADIENT, expected=expected))
    normal, checked = Faults(made).normal, Subject(made, DEFAULT_POLICY, date(2026, 11, 28))
    for span, reached in ((normal.highest, checked.reached), (normal.lowest, checked.at_lowest)):
        assert reached is not None
        assert (span.low, span.high) == pytest.approx((reached.least, reached.most))


def test_a_typed_prediction_that_cannot_be_made_again_is_no_normal_pressure() -> None:
    """How unsure it is nobody can say, nor of one that was moved by a ratio."""
    made = profile(PUMP, column(length=""), expected='{low = 80, high = 100, basis = "predicted"}')
    for other in (made, transferred(made)):
        with pytest.raises(CannotPredict, match="can't be done again"):
            _ = Faults(other).normal


def test_a_typed_prediction_without_gradient_holds_from_its_low_end_to_its_high_end() -> None:
    """Wider than what is predicted here, on both sides; moved, each end is unsure by itself."""
    point = predict(profile()).highest
    made = profile(expected='{low = 10, high = 300, basis = "predicted"}')
    assert 10e5 < point.low < point.high < 300e5
    assert tuple(Faults(made).normal.highest) == (10e5, point.central, 300e5)
    moved = Faults(transferred(made)).normal
    down, up = point.low / point.central, point.high / point.central
    most = 300e5 * up + moved.left_out
    assert tuple(moved.highest) == pytest.approx((10e5 * down, 155e5, most))
    assert moved.lowest == moved.highest


def test_where_normal_may_be_no_pressure_no_blockage_is_sized() -> None:
    made = with_cutoff("high", 300, expected='{low = 40, high = 100, basis = "measured"}')
    found = Faults(made)
    found.normal = found.normal._replace(highest=Span(0.0, 50e5, 100e5))
    told = {item.name: item.reason for item in found.smallest}
    assert told["bed-blocked"] == "not computed, it may be no pressure"


@pytest.mark.parametrize(("rating", "allowed"), [("400 bar", 10e5), ("1200 bar", 69e5)])
def test_what_parts_left_out_take_stays_when_the_column_alone_changes(
    rating: str, allowed: float
) -> None:
    """Without a column they take what they took; a low cutoff under that does not always stop."""
    parts = (f'{{part = "pump", rating = "{rating}"}}', TUBE, COLUMN)
    found = Faults(profile(*parts))
    assert found.normal.left_out == allowed
    by_name = {effect.name: effect for effect in found.effects}
    for name in ("no-column", "shorter-column", "larger-particles"):
        own = (found.normal.highest.high - allowed) * by_name[name].ratio.high
        assert by_name[name].high == pytest.approx(own + allowed)
    assert by_name["flow-halved"].high < 0.6 * found.normal.highest.high
    low = (by_name["no-column"].high - 0.5 * allowed) / 1e5
    stopped = profile(*parts, cutoffs=f"cutoffs = {{high = 390, low = {low:.3f}}}")
    assert effect(stopped, "no-column").stopped_by == "low"
    assert effect(stopped, "no-column").certainty != "always"


def test_with_a_restrictor_of_unknown_resistance_no_ratio_is_worked_out() -> None:
    """It may take nearly all of a measured band."""
    made = profile(*PARTS, '{part = "restrictor"}', expected="{low = 90, high = 120}")
    found = Faults(made)
    missing = {item.name: item.reason for item in found.not_computed}
    assert {"no-column", "only-b", "heater-off", "shorter-column"} <= set(missing)
    assert "restrictor: no resistance_at" in missing["no-column"]
    with pytest.raises(CannotPredict, match="may take any pressure"):
        moved_band(made, Change(flow=2e-6 / 60))

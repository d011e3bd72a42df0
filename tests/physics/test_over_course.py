"""How far one composition throughout is from what the columns see of it, and how sure that is."""

from __future__ import annotations

from math import log

import pytest

from limitcheck.physics.course import course, course_ends, transits
from limitcheck.physics.over_course import OverCourse, about_end, is_gentle, over_course, run_ends
from limitcheck.physics.predict import RunPoint, predict
from limitcheck.profile.model import Profile

from .profiles import CELL, INJECTOR, PUMP, TUBE, column, conditions, profile

LONG = column(length='"250 mm"')


def run_of(points: list[tuple[float, float]], solvent_b: str = "acetonitrile") -> Profile:
    listed = ", ".join(f"{{minute = {m:.4f}, percent_b = {b:.4f}}}" for m, b in points)
    own = conditions(percent_b="", gradient=f"[{listed}]", solvent_b=f'"{solvent_b}"')
    return profile(PUMP, TUBE, INJECTOR, LONG, CELL, conditions=own)


def transit_of(made: Profile) -> float:
    """Minutes through the column."""
    (time,) = transits(made, predict(made).ready.state.flow)
    assert time is not None
    return time


def bounded(made: Profile) -> None:
    """Both factors hold what the course makes, but for its own error."""
    found = predict(made)
    throughout = found.lowest_central, found.highest.central
    seen = course(made, found.ready).ends
    for one, other, by in zip(throughout, seen, over_course(made, found), strict=True):
        assert by.least * 0.979 <= one / other <= by.most * 1.021


@pytest.mark.parametrize("sign", [-1.0, 1.0])
def test_gentle_is_what_lies_within_the_error_of_the_course(sign: float) -> None:
    assert is_gentle(OverCourse((sign * 0.012, 0.0), 0.007))
    assert not is_gentle(OverCourse((sign * 0.012, 0.0), 0.009))
    assert not is_gentle(OverCourse((0.0, sign * 0.021), 0.0))


def test_of_two_runs_the_factors_divide_and_their_errors_add_up() -> None:
    found = OverCourse((0.5, 0.7), 0.1).over(OverCourse((-0.2, 0.3), 0.2))
    assert found.logs == pytest.approx((0.7, 0.4))  # each way of mixing by itself
    assert (log(found.least), log(found.most)) == pytest.approx((0.1, 1.0))
    assert (log(found.factor), found.half_width) == pytest.approx((0.55, 0.45))


def test_a_last_composition_is_as_the_course_has_it_or_held() -> None:
    """From 95 to 10 % B, which makes the most: the lowest is passed, the highest comes last."""
    made = run_of([(0, 10), (15, 90)])
    found = predict(made)
    lowest, _ = run_ends(made, found)
    seen = [least / found.lowest_central for least, _ in course_ends(made, found)]
    assert 1.03 < seen[0] < seen[1] < seen[2]  # the more is mixed, the less of it is seen
    unsure = max(seen) ** 0.1
    assert lowest.low == pytest.approx(found.lowest.low / unsure)
    assert lowest.central == pytest.approx(found.lowest_central * max(seen) ** 0.5)
    assert lowest.high == pytest.approx(found.lowest.high * max(seen) * unsure)


def test_a_composition_that_is_over_before_it_fills_the_column_is_as_the_course_has_it() -> None:
    """A tenth of the way, in ln, is unsure either way; what is mixed moves the short peak."""
    points = [(0.0, 90.0), (5.0, 90.0), (5.0, 45.0), (6.0, 45.0), (6.0, 90.0), (20.0, 90.0)]
    made = run_of(points, "methanol")
    found = predict(made)
    _, highest = run_ends(made, found)
    seen = [most / found.highest.central for _, most in course_ends(made, found)]
    least, most = min(seen), max(seen)
    assert least < 0.98 * most < 0.9
    assert highest.central == pytest.approx(found.highest.central * (least * most) ** 0.5)
    assert highest.low == pytest.approx(found.highest.low * least**1.1)
    assert highest.high == found.highest.high


@pytest.mark.parametrize("held", [0.3, 0.8])
def test_what_passes_between_two_short_holds_counts(held: float) -> None:
    """A transit of the column apart, the composition is the same, and was another between."""
    first = run_of([(0, 40), (60, 40.5)])
    apart = transit_of(first) - 0.5 * held
    hold = held * 0.5
    made = run_of([
        (0, 40), (20, 40), (20.01, 95), (20.01 + hold, 95), (20.02 + hold, 40),
        (20 + apart, 40), (20.01 + apart, 95), (20.01 + apart + hold, 95),
        (20.02 + apart + hold, 40), (40, 40),
    ])  # fmt: skip
    lowest, _ = over_course(made, predict(made))
    assert lowest.factor < 0.8
    bounded(made)


def test_a_peak_between_two_compositions_counts_although_both_make_the_same() -> None:
    """Water and 87 % of methanol are nearly as viscous, what is between them far more."""
    transit = transit_of(run_of([(0, 40), (60, 40.5)], "methanol"))
    top = predict(run_of([(0, 0), (60, 100)], "methanol"))
    peak = top.highest.percent_b
    at_zero = top.central_at(0.0)
    same = min((abs(top.central_at(b) - at_zero), b) for b in range(60, 100))[1]
    made = run_of(
        [
            (0, peak), (20, peak), (20.01, 0), (20.1, 0), (20.05 + transit, same),
            (20.15 + transit, same), (20.16 + transit, peak), (45, peak),
        ],
        "methanol",
    )  # fmt: skip
    lowest, _ = over_course(made, predict(made))
    assert lowest.factor < 0.9
    bounded(made)


@pytest.mark.parametrize("minutes", [20, 30, 40, 60, 90, 140, 200, 300])
def test_the_slower_a_gradient_the_nearer_to_one(minutes: float) -> None:
    """Short of the course only what moves the pressure by 2 % at most while a transit passes."""
    made = run_of([(0, 40), (minutes, 80), (minutes + 0.01, 60), (minutes + 20, 60)])
    found = predict(made)
    assert found.ends[0] == 80.0
    lowest, highest = over_course(made, found)
    for by in (lowest, highest):
        short_way = len(set(by.logs)) == 1
        assert is_gentle(by) or not short_way
    bounded(made)


@pytest.mark.parametrize("held", [1.02, 1.2, 1.4])
def test_what_is_stirred_before_the_column_keeps_a_hold_from_filling_it(held: float) -> None:
    """Held a little longer than a transit: without mixing it fills the column, mixed it does not.

    No dwell volume is given: up to half of a usual one, half a minute, may be stirred.
    """
    until = 20.01 + held * transit_of(run_of([(0, 40), (60, 40.5)]))
    made = run_of([(0, 40), (20, 40), (20.01, 95), (until, 95), (until + 0.01, 40), (60, 40)])
    found = predict(made)
    assert found.ends[0] == 95.0
    lowest, _ = over_course(made, found)
    for least, _ in course_ends(made, found):
        assert lowest.least * 0.979 <= found.lowest_central / least <= lowest.most * 1.021


def test_a_point_about_an_end_of_a_band_is_no_surer_than_the_point() -> None:
    """10 bar, 8 to 15: about 20 bar up to 30, about 5 bar down to 4, what is predicted in both."""
    point = RunPoint(0.0, 0.0, 8e5, 10e5, 15e5)
    for end, low, high in ((20e5, 8e5, 30e5), (5e5, 4e5, 15e5), (10e5, 8e5, 15e5)):
        found = about_end(end, point)
        assert (found.low, found.central, found.high) == pytest.approx((low, 10e5, high))
    nothing = RunPoint(0.0, 0.0, 0.0, 0.0, 0.0)
    assert about_end(5e5, nothing) == nothing

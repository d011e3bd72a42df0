"""The course of a gradient: parts between two columns, and whose interval a moment has."""

from __future__ import annotations

import pytest

from limitcheck.physics.course import _Series, course
from limitcheck.physics.predict import predict, pressure
from limitcheck.physics.system import system

from .profiles import COLUMN, GRADIENT, PARTS, PUMP, TUBE, TUBE_2, column, conditions, profile
from .test_course import with_dwell

NARROW = '{part = "tubing", label = "between", length = "300 mm", bore = "0.08 mm"}'
GUARD = column(part='"guard column"', length='"20 mm"')


def test_a_part_between_two_columns_is_counted_once() -> None:
    made = profile(PUMP, TUBE, GUARD, NARROW, COLUMN, TUBE_2, conditions=conditions())
    found = predict(made)
    between = next(share for share in found.budget if "between" in share.name)
    assert between.central > 0.2 * found.central
    for point in course(made, found.ready, moments=3).points:
        assert point.central == pytest.approx(found.central, rel=1e-6)


def test_the_interval_is_that_of_the_composition_in_the_middle_of_the_columns() -> None:
    certificate = (
        '{pressure = "60 bar", flow = "1 mL/min", temperature = "35 degC", '
        'solvent_a = "water", solvent_b = "acetonitrile", percent_b = 0}'
    )
    slow = GRADIENT.replace("1.0 mL/min", "0.3 mL/min")
    made = profile(PUMP, column(certificate=certificate), conditions=slow)
    ready = system(made)
    found = course(made, ready, moments=61)
    assert found.transit is not None
    assert found.transit > 3.0
    told = 0
    for point in found.points:
        middle = pressure(ready, ready.composition(point.minute - 0.5 * found.transit))
        entering = pressure(ready, ready.composition(point.minute))
        assert point.low / point.central == pytest.approx(middle[0] / middle[1], abs=5e-3)
        assert point.high / point.central == pytest.approx(middle[2] / middle[1], abs=5e-3)
        told += abs(entering[0] / entering[1] - middle[0] / middle[1]) > 1.5e-2
    assert told >= 3  # where it enters, the interval is another one


def test_what_is_behind_the_columns_sees_what_leaves_them() -> None:
    """A bed that resists next to nothing: the pressure is that of the tube behind it."""
    certificate = (
        '{pressure = "0.1 bar", flow = "1 mL/min", solvent_b = "acetonitrile", percent_b = 0}'
    )
    narrow = NARROW.replace("between", "behind")
    slow = GRADIENT.replace("1.0 mL/min", "0.3 mL/min")
    made = profile(PUMP, column(certificate=certificate), narrow, conditions=slow)
    ready = system(made)
    found = course(made, ready, moments=31)
    assert found.transit is not None
    for point in found.points:
        leaving = pressure(ready, ready.composition(point.minute - found.transit))[1]
        assert point.central == pytest.approx(leaving, rel=0.01)


def test_the_composition_told_is_the_one_that_enters_the_column() -> None:
    """5 to 95 % B in 12 min, late by 0.8 mL at 1 mL/min."""
    made = with_dwell(profile(*PARTS, conditions=GRADIENT), "0.8 mL")
    found = course(made, system(made))
    for point in found.points:
        expected = 5.0 + 90.0 * min(max(point.minute - 0.8, 0.0), 12.0) / 12.0
        assert point.percent_b == pytest.approx(expected, abs=1e-6)
    assert found.points[0].percent_b == 5.0
    assert found.points[-1].percent_b == 95.0
    assert sum(10.0 < point.percent_b < 90.0 for point in found.points) > 20


def test_the_mean_over_a_stretch_is_that_of_a_fine_sum() -> None:
    """Ends between the points, in one piece, over several, and beyond the last."""
    series = _Series((-9.0, 0.0, 4.0, 5.0, 5.0, 9.0), (10.0, 10.0, 50.0, 20.0, 80.0, 0.0))
    for since, until in ((1.0, 3.0), (0.5, 4.7), (-3.0, 2.0), (3.9, 12.0), (4.2, 4.3)):
        step = (until - since) / 10_000
        fine = [series.at(series.place(since + (i + 0.5) * step)) for i in range(10_000)]
        mean = series.mean(series.place(since), series.place(until), until - since)
        assert mean == pytest.approx(sum(fine) / 10_000, rel=1e-3)
    mean = series.mean(series.place(1.0), series.place(3.0), 2.0)
    assert mean == pytest.approx(30.0)  # 10 a minute from 10

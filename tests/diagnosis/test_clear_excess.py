"""A large restriction is named although a reading elsewhere is a little off."""

from __future__ import annotations

import re

import pytest

from limitcheck.diagnosis.isolation import Isolation, isolate
from limitcheck.units import Pressure
from tests.profiles_for_tests import with_geometry

HEAD = """format = 1
[method]
id = "iso-m"
[instrument]
id = "i-1"
pressure_unit = "bar"
[cutoffs]
high = 400
low = 20
[expected]
low = {low}
high = {high}
basis = "measured"
[conditions]
flow = "1.0 mL/min"
temperature = "30 degC"
ambient = "22 degC"
solvent_a = "water"
solvent_b = "acetonitrile"
percent_b = 50
[[flow_path]]
part = "pump"
"""
COLUMN = """[[flow_path]]
part = "column"
label = "{}"
length = "{}"
bore = "{}"
particle_size = "5 um"
"""
TUBE = '[[flow_path]]\npart = "tubing"\nlabel = "{}"\nlength = "{} mm"\nbore = "0.17 mm"\n'
SECOND = COLUMN.format("second", "150 mm", "4.6 mm")
TWO_COLUMNS = (
    HEAD.format(low=52, high=60)
    + TUBE.format("before", 500)
    + COLUMN.format("first", "10 mm", "4.0 mm")
    + TUBE.format("between", 60)
    + SECOND
    + TUBE.format("after", 300)
)
VALVE = (
    HEAD.format(low=48, high=56)
    + TUBE.format("before", 500)
    + '[[flow_path]]\npart = "injector"\n'
    + TUBE.format("to the column", 300)
    + SECOND
    + TUBE.format("after", 300)
)
BLOCKED = {"all": 120.0, "column-outlet": 118.0}


def run(text: str, readings: dict[str, float], *, times: int = 2) -> Isolation:
    endings = ("", "-again")[:times]
    given = {
        name + ending: Pressure.parse(f"{value} bar")
        for name, value in readings.items()
        for ending in endings
    }
    return isolate(with_geometry(text).profile, given, in_doubt=False)


@pytest.mark.parametrize("inlet", [4.0, 4.5, 5.0, 6.0, 8.0])
def test_a_small_excess_elsewhere_is_no_veto(inlet: float) -> None:
    """60 bar over the columns; 1 to 5 too many before them, where 2.7 to 4.5 are normal."""
    found = run(TWO_COLUMNS, BLOCKED | {"column-inlet": inlet})
    assert found.verdict == "found"
    (group,) = found.named
    assert "column (second)" in group.parts
    beside = re.search(r"Not explained by that: (\S+) bar more than usual over pump", found.message)
    assert (beside is not None) == (inlet > 5.0)
    assert beside is None or float(beside[1]) == pytest.approx(inlet - 3.6, abs=0.1)


@pytest.mark.parametrize("zero", [0.0, 1.0])
@pytest.mark.parametrize(
    ("text", "readings"),
    [
        (TWO_COLUMNS, BLOCKED | {"column-inlet": 3.0, "pump-outlet": 0.0}),
        (VALVE, {"all": 110.0, "column-outlet": 108.0, "column-inlet": 8.0, "valve-inlet": 3.0}),
    ],
)
def test_a_zero_off_by_a_bar_changes_nothing(
    zero: float, text: str, readings: dict[str, float]
) -> None:
    found = run(text, {name: value + zero for name, value in readings.items()})
    assert found.verdict == "found"
    assert "column (second)" in found.named[0].parts
    assert "Not explained" not in found.message


def test_a_normal_pressure_with_the_zero_off_is_normal() -> None:
    readings = {"all": 57.0, "column-outlet": 55.0, "column-inlet": 4.0, "pump-outlet": 1.0}
    found = run(TWO_COLUMNS, readings)
    assert found.verdict == "normal"
    assert "no restriction to look for" in found.message


@pytest.mark.parametrize("without", [(), ("pump-outlet",), ("pump-outlet", "valve-load")])
def test_two_clear_restrictions_are_both_named(without: tuple[str, ...]) -> None:
    readings = {"all": 157.0, "column-outlet": 155.0, "column-inlet": 58.0, "valve-load": 57.0}
    readings |= {"valve-inlet": 3.0, "pump-outlet": 0.0}
    found = run(VALVE, {name: value for name, value in readings.items() if name not in without})
    assert found.verdict == "several"
    column, valve = found.named
    assert column.parts == ("column (second)",)
    assert "injector" in valve.parts
    assert "can't tell apart" not in found.message


def test_read_once_or_in_one_proportion_nothing_is_clear() -> None:
    once = run(TWO_COLUMNS, BLOCKED | {"column-inlet": 6.0}, times=1)
    assert once.named == ()
    doubled = {"all": 112.0, "column-outlet": 108.0, "column-inlet": 6.5}
    assert run(TWO_COLUMNS, doubled).named == ()
    too_low_behind = BLOCKED | {"column-outlet": 20.0, "column-inlet": 15.0}
    assert run(TWO_COLUMNS, too_low_behind).verdict == "contradiction"

"""What the parts hold under a fault, and which a fault overloads."""

from __future__ import annotations

from typing import Literal

import pytest

from limitcheck.physics.faults import Overloads, overload
from limitcheck.physics.faults.overload import rated_under
from limitcheck.profile.model import Profile
from limitcheck.units import Pressure
from tests.physics.profiles import PUMP, column, conditions, profile

HELD = profile(PUMP, '{part = "fitting", rating = "150 bar"}', column())


def held(made: Profile, fault: str) -> str:
    """The rating of the part before the column."""
    (rated,) = rated_under(made, fault)
    return str(rated.pressure)


@pytest.mark.parametrize("bar", [150, 150.001, 240])
@pytest.mark.parametrize("high", [None, "200 bar"])
def test_a_rating_is_passed_beyond_it_and_up_to_the_cutoff(bar: float, high: str | None) -> None:
    cutoff = None if high is None else Pressure.parse(high)
    found = overload(HELD, "flow-doubled", bar * 1e5, cutoff)
    if bar == 150:
        assert found is None  # it holds as much as it is rated for
        return
    assert found is not None
    assert found.part.name == "fitting"
    assert found.reached == min(bar * 1e5, 200e5 if high else 1e9)


def test_a_cutoff_at_the_rating_stops_every_fault_in_time() -> None:
    assert overload(HELD, "flow-doubled", 900e5, Pressure.parse("150 bar")) is None
    assert overload(HELD, "flow-doubled", 900e5, Pressure.parse("151 bar")) is not None


@pytest.mark.parametrize(("high", "unprotected"), [("150 bar", False), ("151 bar", True)])
def test_a_cutoff_at_the_rating_leaves_nothing_unprotected(high: str, unprotected: bool) -> None:
    found = Overloads(HELD, ["flow-doubled"], Pressure.parse(high))
    assert ("flow-doubled" in found.possible) is unprotected


@pytest.mark.parametrize(("last", "beyond"), [("1.5", True), ("3", False)])
def test_only_the_table_that_counts_is_said_to_end_too_soon(last: str, beyond: bool) -> None:
    """At 2 mL/min 100 bar by the flow; the table by temperature ends at 30 degC, with 300 bar."""
    flows = ", ".join(
        f'{{flow = "{flow} mL/min", rating = "{bar} bar"}}'
        for flow, bar in (("1", 200), (last, 100))
    )
    heat = '{temperature = "30 degC", rating = "300 bar"}'
    part = f'{{part = "fitting", rating_at_flow = [{flows}], rating_at_temperature = [{heat}]}}'
    found = overload(profile(PUMP, part, column()), "flow-doubled", 150e5, None)
    assert found is not None
    said = ", beyond its last stated point" if beyond else ""
    assert found.told == f"fitting, 100 bar at 2 mL/min{said}"


@pytest.mark.parametrize(
    ("fault", "bar"),
    [("", "200 bar"), ("flow-doubled", "100 bar"), ("flow-halved", "400 bar"), ("leak", "200 bar")],
)
def test_the_flow_of_a_fault_is_half_or_twice_that_of_the_method(fault: str, bar: str) -> None:
    """1 mL/min, and half and twice that: 400 bar up to 0.6, 200 up to 1.5, 100 up to 3 mL/min."""
    table = ", ".join(
        f'{{flow = "{flow} mL/min", rating = "{rating} bar"}}'
        for flow, rating in ((0.2, 400), (0.6, 400), (1.0, 200), (1.5, 200), (1.8, 100), (3, 100))
    )
    made = profile(f'{{part = "pump", rating_at_flow = [{table}]}}', column())
    assert held(made, fault) == bar


@pytest.mark.parametrize("typed", ["35 degC", "95 degF", "308.15 K"])
@pytest.mark.parametrize(
    ("fault", "bar"), [("", "300 bar"), ("oven-too-hot", "100 bar"), ("heater-off", "400 bar")]
)
def test_ten_kelvin_are_as_many_in_every_unit(
    typed: str, fault: Literal["", "oven-too-hot", "heater-off"], bar: str
) -> None:
    """35 degC, 10 K more, and a room of 21 degC: steps just around each."""
    table = ", ".join(
        f'{{temperature = "{celsius} degC", rating = "{rating} bar"}}'
        for celsius, rating in (
            (20.9, 400), (21.1, 400), (34.9, 300), (35.1, 300),
            (42, 200), (44.9, 100), (45.1, 100), (46, 50),
        )
    )  # fmt: skip
    part = f'{{part = "column", length = "150 mm", rating_at_temperature = [{table}]}}'
    made = profile(
        PUMP.replace(', rating = "400 bar"', ""),
        part,
        conditions=conditions(temperature=f'"{typed}"'),
    )
    assert held(made, fault) == bar


@pytest.mark.parametrize(("bar", "stopped"), [(199.999, False), (200, True), (240, True)])
def test_the_high_cutoff_stops_the_pump_when_it_is_reached(bar: float, stopped: bool) -> None:
    """At the cutoff itself too: a reading of it stops the pump, as `reading` says."""
    found = overload(HELD, "flow-doubled", bar * 1e5, Pressure.parse("200 bar"))
    assert found is not None
    assert found.stopped is stopped

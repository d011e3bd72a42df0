"""The table of faults: pressures by hand, which cutoff stops which, what cannot be computed."""

from __future__ import annotations

from math import pi

import pytest

from limitcheck.physics.blend import with_water
from limitcheck.physics.faults import FaultEffect, Faults, Where
from limitcheck.physics.faults.changes import FAULTS
from limitcheck.physics.liquid import CannotPredict
from limitcheck.physics.predict import pressure
from limitcheck.physics.system import Change, system
from limitcheck.physics.viscosity import viscosity
from tests.physics.profiles import (
    CELL,
    COLUMN,
    GRADIENT,
    INJECTOR,
    PUMP,
    TUBE,
    TUBE_2,
    column,
    conditions,
    profile,
)

EXPECTED = "{low = 80, high = 100}"
WATER = conditions(solvent_b="", percent_b="")


def effect(found: Faults, name: str) -> FaultEffect:
    return next(item for item in found.effects if item.name == name)


def bare(**fields: str) -> Faults:
    """Water through the column alone."""
    return Faults(profile(PUMP, COLUMN, conditions=WATER, expected=EXPECTED, **fields))


def test_every_fault_of_a_full_profile_is_computed() -> None:
    found = Faults(profile(expected=EXPECTED))
    assert [item.name for item in found.effects] == list(FAULTS)
    assert found.not_computed == ()
    for item in found.effects:
        assert 0 < item.low <= item.central <= item.high
        assert item.ratio.low <= item.ratio.central <= item.ratio.high


@pytest.mark.parametrize(
    ("name", "ratio"),
    [
        ("flow-doubled", 2),
        ("flow-halved", 0.5),
        ("leak", 0.75),
        ("smaller-particles", (5 / 3.5) ** 2),
        ("larger-particles", 0.25),
        ("longer-column", 250 / 150),
        ("shorter-column", 100 / 150),
        ("bed-blocked", 2),
        ("inlet-frit-blocked", 1.25),
    ],
)
def test_ratios_by_hand(name: str, ratio: float) -> None:
    """Water, column alone: laminar flow and Kozeny-Carman, so the ratios are plain fractions.

    But for the heat of friction: half of 2 % at twice the pressure.
    """
    found = effect(bare(), name)
    assert found.ratio.central == pytest.approx(ratio, rel=6e-3)
    assert found.low == pytest.approx(80e5 * found.ratio.low)
    assert found.high == pytest.approx(100e5 * found.ratio.high)


def test_heater_off_is_the_viscosity_of_iapws() -> None:
    """IAPWS R12-08 through the iapws package: 21 over 35 degC."""
    from iapws import IAPWS95

    theirs = IAPWS95(T=294.15, P=0.1).mu / IAPWS95(T=308.15, P=0.1).mu
    found = effect(bare(), "heater-off")
    assert found.ratio.central == pytest.approx(theirs, rel=5e-3)
    assert found.low < 80e5 * theirs < found.high


def test_one_solvent_only() -> None:
    found = Faults(profile(PUMP, COLUMN, expected=EXPECTED))
    mixed = viscosity(with_water("acetonitrile", 0.18), 308.15)
    for name, pure in (("only-a", ("water", 0.0)), ("only-b", ("acetonitrile", 1.0))):
        ratio = viscosity(with_water(*pure), 308.15) / mixed
        assert effect(found, name).ratio.central == pytest.approx(ratio, rel=0.01)


def test_a_plug_is_a_short_tube_of_less_bore() -> None:
    """5 of 600 mm left with a quarter of the bore: 4^4 times the resistance of that stretch."""
    found = Faults(profile(expected=EXPECTED))
    state, made = found.system.state, found.prediction.central
    through = state.flow / (pi / 4 * (0.25 * 0.17e-3) ** 2)
    lost = 1.45 * 0.5 * state.liquid.density(state.cold) * through**2  # sudden ends, Bird et al.
    rise = (4**4 - 1) * 5 / 600 * found.share(1) + lost / made
    blocked = effect(found, "tubing-before-injector-blocked")
    assert blocked.ratio.central == pytest.approx(1 + rise, rel=0.01)
    assert blocked.description == (
        "a plug in tubing (first), 5 mm long, that leaves 0.043 of 0.17 mm bore"
    )
    assert lost / made > 0.01


def test_no_column_leaves_the_tubing() -> None:
    found = Faults(profile(expected=EXPECTED))
    rest = sum(found.share(place) for place in (1, 2, 3, 5))
    assert effect(found, "no-column").ratio.central == pytest.approx(rest, rel=0.02)


def test_no_column_takes_out_every_bed() -> None:
    guard = column(label='"guard"', length='"50 mm"')
    found = Faults(profile(PUMP, TUBE, INJECTOR, TUBE_2, guard, COLUMN, CELL, expected=EXPECTED))
    rest = sum(found.share(place) for place in (1, 2, 3, 6))
    assert found.share(4) > 0.1
    assert effect(found, "no-column").ratio.central == pytest.approx(rest, rel=0.02)


def test_air_in_a_pump_head_may_leave_four_to_seven_tenths() -> None:
    found = effect(bare(), "air-in-pump-head")
    assert (found.low, found.high) == pytest.approx((0.4 * 80e5, 0.7 * 100e5))
    assert found.central == pytest.approx(0.5 * 90e5)


def test_which_cutoff_stops_the_pump() -> None:
    def stops(cutoffs: str, name: str) -> tuple[str | None, str | None]:
        found = effect(bare(cutoffs=f"cutoffs = {cutoffs}"), name)
        return found.stopped_by, found.certainty

    doubled = "flow-doubled"  # 160 to 200 bar
    assert stops("{high = 150, low = 40}", doubled) == ("high", "always")
    assert stops("{high = 170, low = 40}", doubled) == ("high", "usually")
    assert stops("{high = 195, low = 40}", doubled) == ("high", "sometimes")
    assert stops("{high = 210, low = 40}", doubled) == (None, None)
    assert stops("{low = 40}", doubled) == (None, None)
    halved = "flow-halved"  # 40 to 50 bar
    assert stops("{high = 150, low = 51}", halved) == ("low", "always")
    assert stops("{high = 150, low = 47}", halved) == ("low", "usually")
    assert stops("{high = 150, low = 41}", halved) == ("low", "sometimes")
    assert stops("{high = 150, low = 39}", halved) == (None, None)
    assert stops("{high = 150, low = 0}", halved) == (None, None)
    # Past the cutoff in a normal run: what moves away from it is not what stops the pump.
    assert stops("{high = 30}", halved) == (None, None)
    assert stops("{low = 250}", doubled) == (None, None)
    # As high as the cutoff is enough: a quarter more than 100 bar.
    assert stops("{high = 125}", "inlet-frit-blocked") == ("high", "sometimes")


def test_a_gradient_reaches_a_cutoff_with_its_extreme() -> None:
    cutoffs = "cutoffs = {high = 195, low = 15}"
    found = Faults(profile(conditions=GRADIENT, expected="{low = 40, high = 100}", cutoffs=cutoffs))
    assert found.normal.gradient
    doubled = effect(found, "flow-doubled")
    assert (doubled.stopped_by, doubled.certainty) == ("high", "always")
    assert doubled.low == pytest.approx(80e5, rel=0.01)
    assert doubled.high == pytest.approx(200e5, rel=0.02)


def test_each_end_of_a_gradient_has_a_ratio_of_its_own() -> None:
    """A cold column: at each end, the pressure of the same composition at both temperatures."""
    made = profile(conditions=GRADIENT, expected='{low = 40, high = 100, basis = "measured"}')
    found = Faults(made)
    _, ratios = FAULTS["heater-off"](found)
    warm, cold = system(made), system(made, Change(temperature=294.15))
    for ratio, percent_b in zip(ratios, found.prediction.ends, strict=True):
        by_hand = pressure(cold, percent_b)[1] / pressure(warm, percent_b)[1]
        assert ratio.central == pytest.approx(by_hand, rel=1e-3)
    lowest, highest = ratios
    assert highest.central > 1.05 * lowest.central
    item = effect(found, "heater-off")
    assert item.low == pytest.approx(40e5 * lowest.low)
    assert item.central == pytest.approx(20e5 * lowest.central + 50e5 * highest.central)
    assert item.high == pytest.approx(100e5 * highest.high)
    assert item.most == pytest.approx(100e5 * highest.central)


def test_the_lowest_pressure_of_a_run_may_become_the_highest_under_a_fault() -> None:
    """Water alone: twice as viscous as what runs at the lowest pressure, less at the highest."""
    found = Faults(profile(PUMP, COLUMN, conditions=GRADIENT, expected="{low = 95, high = 100}"))
    at_lowest, at_highest = (
        viscosity((("water", 1.0),), 308.15)
        / viscosity(with_water("acetonitrile", percent_b / 100), 308.15)
        for percent_b in found.prediction.ends
    )
    assert at_lowest > 1.5 > 1.0 > at_highest
    turned = effect(found, "only-a")
    assert turned.most == pytest.approx(95e5 * at_lowest, rel=0.02)
    assert turned.low == pytest.approx(100e5 * turned.ratio.low)
    assert turned.low < 100e5 * at_highest < 95e5


@pytest.mark.parametrize("where", ["before the injector", "after the injector"])
@pytest.mark.parametrize("order", [(0, 1, 2), (2, 1, 0), (1, 2, 0)])
def test_a_plug_sits_in_the_tube_that_resists_most(where: Where, order: tuple[int, ...]) -> None:
    """A long wide tube of 0.5 mm, a short one of 0.1 mm, and one between: by L / d^4."""
    kinds = ("2000 mm", "0.5 mm"), ("100 mm", "0.1 mm"), ("300 mm", "0.17 mm")
    tubes = [
        f'{{part = "tubing", label = "{bore}", length = "{length}", bore = "{bore}"}}'
        for length, bore in (kinds[i] for i in order)
    ]
    wide = '{part = "tubing", label = "other side", length = "100 mm", bore = "0.05 mm"}'
    sides = ([*tubes, INJECTOR, wide], [wide, INJECTOR, *tubes])
    found = Faults(profile(PUMP, *sides[where == "after the injector"], COLUMN))
    assert found.narrowest(where).name == "tubing (0.1 mm)"


def test_a_tube_behind_the_column_is_not_between_injector_and_column() -> None:
    narrow = TUBE_2.replace("0.12 mm", "0.05 mm")
    found = Faults(profile(PUMP, INJECTOR, TUBE, COLUMN, narrow))
    assert found.narrowest("after the injector").name == "tubing (first)"


def test_smallest_by_hand() -> None:
    found = bare(cutoffs="cutoffs = {high = 150, low = 20}").smallest
    sizes = {item.name: (item.earliest, item.latest) for item in found}
    assert sizes["inlet-frit-blocked"] == pytest.approx((0.5, 0.875))
    assert sizes["bed-blocked"] == pytest.approx((1 - 100 / 150, 1 - 80 / 150))
    assert sizes["leak"] == pytest.approx((0.75, 0.8))
    assert sizes["tubing-before-injector-blocked"] == (None, None)


def test_smallest_blockage_is_the_one_that_reaches_the_cutoff() -> None:
    """Putting the found blockage in makes the predicted pressure the cutoff (no rise in water)."""
    from limitcheck.physics.drops import drops
    from limitcheck.physics.faults.changes import TUBES_BLOCKED
    from limitcheck.physics.faults.plug import plugged
    from limitcheck.physics.flow_path import scaled

    made = profile(conditions=WATER, cutoffs="cutoffs = {high = 150, low = 20}", expected=EXPECTED)
    found = Faults(made)
    ready = found.system
    normal = sum(d.pressure for d in drops(ready.path.segments, ready.state))

    def size(name: str) -> float:
        found_size = next(item.earliest for item in found.smallest if item.name == name)
        assert found_size is not None
        return found_size

    bed = scaled(ready.path.segments, {4: 1 / (1 - size("bed-blocked"))})
    tubes = [
        plugged(ready.path.segments, found.narrowest(where), (1 - size(name)) ** 0.5)[1]
        for name, where in TUBES_BLOCKED.items()
    ]
    for blocked in (bed, *tubes):
        after = sum(d.pressure for d in drops(blocked, ready.state))
        assert after / normal == pytest.approx(150 / 100, rel=5e-3)


def test_without_cutoffs_nothing_is_seen() -> None:
    found = bare(cutoffs="cutoffs = {}")
    assert all(item.stopped_by is None for item in found.effects)
    assert {item.reason for item in found.smallest} == {
        "never seen, no high cutoff",
        "never seen, the low cutoff is off",
    }


def test_what_the_profile_lacks_is_named() -> None:
    parts = (PUMP, TUBE, column(length="", particle_size=""))
    found = Faults(profile(*parts, conditions=conditions(ambient=""), expected=EXPECTED))
    reasons = dict(found.not_computed)
    assert reasons["heater-off"].startswith("no column geometry")
    assert reasons["longer-column"] == "no column length"
    assert reasons["smaller-particles"] == "no particle size"
    assert {item.name for item in found.effects} == {
        "flow-doubled",
        "flow-halved",
        "inlet-frit-blocked",
        "leak",
        "air-in-pump-head",
    }
    assert effect(found, "flow-doubled").ratio == (2, 2, 2)


@pytest.mark.parametrize(
    ("fields", "name", "reason"),
    [
        ({"ambient": ""}, "heater-off", "no conditions.ambient"),
        ({"ambient": '"40 degC"'}, "heater-off", "not warmer"),
        ({"solvent_b": "", "percent_b": ""}, "only-b", "one solvent"),
        ({"percent_b": "100"}, "only-b", "runs on B alone"),
        ({"percent_b": "0"}, "only-a", "runs on A alone"),
    ],
)
def test_faults_that_make_no_sense_here(fields: dict[str, str], name: str, reason: str) -> None:
    found = Faults(profile(conditions=conditions(**fields), expected=EXPECTED))
    assert reason in dict(found.not_computed)[name]


def test_no_injector_no_other_size() -> None:
    parts = (PUMP, TUBE, column(particle_size='"1.7 um"', length='"300 mm"'))
    reasons = dict(Faults(profile(*parts, expected=EXPECTED)).not_computed)
    assert reasons["tubing-before-injector-blocked"] == "no injector in the flow path"
    assert reasons["smaller-particles"] == "no smaller size is usual"
    assert reasons["longer-column"] == "no larger size is usual"
    after = dict(Faults(profile(PUMP, TUBE, INJECTOR, COLUMN, expected=EXPECTED)).not_computed)
    assert "after the injector" in after["tubing-after-injector-blocked"]


def test_nothing_declared_starts_from_the_prediction() -> None:
    found = Faults(profile())
    assert found.normal.basis == "predicted"
    assert found.normal.low < found.normal.central < found.normal.high
    gradient = Faults(profile(conditions=GRADIENT)).normal
    assert gradient.high > 1.5 * gradient.low
    assert Faults(profile(expected="{low = 0, high = 100}")).normal.basis == "predicted"
    nothing = Faults(profile(PUMP, column(length="")))
    with pytest.raises(CannotPredict):
        _ = nothing.normal

"""What a prediction says of itself where a figure is assumed, hot or out of range."""

from __future__ import annotations

from math import hypot

import pytest

from limitcheck.physics.constants import SOLVENTS
from limitcheck.physics.drops import drops
from limitcheck.physics.liquid import CannotPredict
from limitcheck.physics.predict import predict, predict_system
from limitcheck.physics.rests_on import rests_on
from limitcheck.physics.system import system
from limitcheck.physics.uncertainty import LEAST_SHARE, tells

from .profiles import COLUMN, PUMP, TUBE, column, conditions, profile

FINE = column(length='"100 mm"', bore='"2.1 mm"', particle_size='"1.7 um"')
CERTIFIED = column(
    length='"100 mm"',
    bore='"2.1 mm"',
    certificate='{pressure = "90 bar", flow = "0.05 mL/min", temperature = "35 degC", '
    'solvent_a = "water", solvent_b = "methanol", percent_b = 50}',
)
VAPOUR, LAYERS = "vapour is not counted", "may form two layers when this hot"
RISE = "how the viscosity of a mixture rises with pressure is assumed"
BEYOND = "how viscosity rises with pressure is extrapolated to"


def told(celsius: float, a: str, b: str, percent_b: float, part: str = COLUMN) -> str:
    """The reasons of a prediction at a column temperature, as one text."""
    own = conditions(
        flow='"0.5 mL/min"',
        temperature=f'"{celsius} degC"',
        solvent_a=f'"{a}"',
        solvent_b=f'"{b}"' if b else "",
        percent_b=str(percent_b) if b else "",
    )
    return "; ".join(predict(profile(PUMP, part, conditions=own)).reasons)


@pytest.mark.parametrize(
    ("solvent", "kelvin"),
    [
        # Saturation at 101.325 kPa: CoolProp 8.0.0.
        ("water", 373.124),
        ("methanol", 337.632),
        ("ethanol", 351.570),
        ("hexane", 341.866),
        ("heptane", 371.533),
        # CRC Handbook of Chemistry and Physics, as held in chemicals 1.5.2.
        ("acetonitrile", 354.75),
        ("2-propanol", 355.36),
        ("tetrahydrofuran", 339.15),
    ],
)
def test_boiling_points_are_those_of_the_handbooks(solvent: str, kelvin: float) -> None:
    assert SOLVENTS[solvent].boils == pytest.approx(kelvin, abs=0.1)


@pytest.mark.parametrize(
    ("celsius", "a", "b", "word", "said"),
    [
        (76, "water", "acetonitrile", VAPOUR, False),  # azeotrope at 76.5 degC
        (77, "water", "acetonitrile", VAPOUR, True),
        (64, "water", "methanol", VAPOUR, False),
        (65, "water", "methanol", VAPOUR, True),
        (58, "hexane", "ethanol", VAPOUR, False),
        (60, "hexane", "ethanol", VAPOUR, True),
        (66, "methanol", "", VAPOUR, True),
        (99, "water", "", VAPOUR, False),
        (101, "water", "", VAPOUR, True),
        (71, "water", "tetrahydrofuran", LAYERS, False),
        (73, "water", "tetrahydrofuran", LAYERS, True),
        (73, "tetrahydrofuran", "", LAYERS, False),
    ],
)
def test_a_hot_liquid_may_boil_or_part(celsius: int, a: str, b: str, word: str, said: bool) -> None:
    assert (word in told(celsius, a, b, 50.0)) == said


def test_the_assumed_rise_of_a_mixture_is_said_where_it_tells() -> None:
    assert RISE in told(35, "water", "methanol", 50, CERTIFIED)
    # by its particles alone the bed is unsure to a factor: beside that the rise does not tell
    assert RISE not in told(35, "water", "methanol", 50, FINE)
    assert RISE not in told(35, "water", "methanol", 50)
    assert RISE not in told(35, "methanol", "", 0, CERTIFIED)


@pytest.mark.parametrize(("celsius", "said"), [(15, True), (21, False), (64, False), (66, True)])
def test_a_rise_outside_the_range_of_its_figures_is_said(celsius: int, said: bool) -> None:
    assert (BEYOND in told(celsius, "methanol", "", 0, FINE)) == said
    assert BEYOND not in told(celsius, "water", "", 0, FINE)


def test_traces_that_may_not_dissolve_are_told() -> None:
    assert "whether 0.5 % of water dissolves in heptane is not known" in told(
        25, "heptane/water 99.5:0.5", "", 0
    )
    assert "dissolves in" not in told(25, "heptane", "2-propanol", 10)


def test_a_third_solvent_may_hold_two_together() -> None:
    """Hexane, ethanol and methanol of a chiral separation are one phase: common practice."""
    assert told(25, "hexane/ethanol/methanol 90:5:5", "", 0)
    with pytest.raises(CannotPredict, match="do not mix"):
        told(25, "hexane/ethanol/methanol 80:2:18", "", 0)
    with pytest.raises(CannotPredict, match="do not mix"):
        told(25, "hexane/ethanol/water 40:40:20", "", 0)


def test_how_much_heat_the_liquid_needs_is_told() -> None:
    """80 mL/min of water from 21 to 60 degC: 80e-6 / 60 * 4.17e6 * 39 = 217 W."""
    wide = column(length='"150 mm"', bore='"30 mm"', particle_size='"10 um"')
    own = conditions(
        flow='"80 mL/min"', temperature='"60 degC"', solvent_b="", percent_b="",
    )  # fmt: skip
    found = predict(profile(PUMP, wide, conditions=own))
    (said,) = (reason for reason in found.reasons if "taken to enter at" in reason)
    assert "60 degC, for which it needs 220 W" in said
    cold = predict(profile(PUMP, wide, conditions=own.replace("60 degC", "21 degC")))
    assert f"{cold.central * 1e-5:.3g} bar is most likely" in said
    assert "taken to enter" not in told(60, "water", "", 0)


@pytest.mark.parametrize(("flow", "said"), [(1.8, False), (2.0, True)])
def test_from_five_watts_on_the_heat_is_told(flow: float, said: bool) -> None:
    """39 K at 2 mL/min of water: 5.4 W; at 1.8 mL/min 4.9 W."""
    own = conditions(flow=f'"{flow} mL/min"', temperature='"60 degC"', solvent_b="", percent_b="")
    behind = predict(profile(PUMP, COLUMN, TUBE, conditions=own)).reasons
    assert any("taken to enter at" in text for text in behind) is said
    # Only what is warmer than the room cools behind the columns.
    assert any("taken to cool at once" in text for text in behind) is said
    cold = own.replace('"60 degC"', '"5 degC"').replace(f"{flow} mL", "8 mL")
    told = predict(profile(PUMP, COLUMN, TUBE, conditions=cold)).reasons
    assert any("taken to enter at" in text for text in told)
    assert not any("taken to cool at once" in text for text in told)


@pytest.mark.parametrize(("parts", "said"), [((PUMP, TUBE, COLUMN), True), ((PUMP, COLUMN), False)])
def test_a_cold_room_counts_where_a_part_stands_in_it(parts: tuple[str, ...], said: bool) -> None:
    own = conditions(temperature='"35 degC"', ambient='"8 degC"', percent_b="50")
    found = predict(profile(*parts, conditions=own)).reasons
    assert ("viscosity at 8 degC is extrapolated" in found) is said


def test_the_largest_contribution_comes_first() -> None:
    sure = told(35, "water", "methanol", 50, CERTIFIED).split("; ")
    assert RISE in sure[0] or "heat of friction" in sure[0]
    assert "porosity" in told(35, "water", "methanol", 50).split("; ")[0]


@pytest.mark.parametrize(("share", "said"), [(0.99, False), (1.01, True)])
def test_what_tells_is_a_hundredth_of_the_variance(share: float, said: bool) -> None:
    whole = 0.30
    assert tells(whole * (share * LEAST_SHARE) ** 0.5, whole) is said
    assert not tells(0.0, 0.0)
    assert pytest.approx(0.995, abs=1e-4) == (1.0 - LEAST_SHARE) ** 0.5


def test_what_an_oven_keeps_is_as_large_as_both_of_its_errors() -> None:
    """How much of the heat stays, and how well that heat is known: independent of each other."""
    made = profile(PUMP, FINE)
    told = made.instrument.model_copy(update={"oven": "forced air"})
    ready = system(made.model_copy(update={"instrument": told}))
    state = ready.at(18.0)
    (drop,) = drops(ready.path.segments, state)
    assert drop.below > 0.05 * drop.heat > 0.0
    own = hypot(drop.heat, drop.below)
    for factor in (0.999, 1.001):
        said = list(rests_on(ready, state, factor * own / LEAST_SHARE**0.5))
        assert any("of the heat of friction" in text for text in said) is (factor < 1.0)


@pytest.mark.parametrize("part", [COLUMN, FINE, CERTIFIED])
def test_only_what_tells_is_said_in_the_order_of_all(part: str) -> None:
    own = conditions(flow='"0.3 mL/min"', solvent_b='"methanol"')
    ready = system(profile(PUMP, part, conditions=own))
    found = predict_system(ready)
    every = list(rests_on(ready, ready.at(18.0), 1e-9))
    few = list(rests_on(ready, ready.at(18.0), found.high / found.central - 1.0))
    assert set(few) < set(every)
    assert [text for text in every if text in few] == few == list(found.reasons)


@pytest.mark.parametrize(("parts", "said"), [((PUMP, TUBE, COLUMN), True), ((PUMP, COLUMN), False)])
def test_what_boils_outside_a_cooler_oven_is_said(parts: tuple[str, ...], said: bool) -> None:
    """Methanol boils at 64.5 degC: in a tube at 66 degC, not in a column at 40 degC."""
    own = conditions(
        temperature='"40 degC"', ambient='"66 degC"', solvent_a='"methanol"', solvent_b="",
        percent_b="",
    )  # fmt: skip
    found = predict(profile(*parts, conditions=own)).reasons
    assert any(VAPOUR in text for text in found) is said

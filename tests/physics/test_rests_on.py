"""What a prediction says of itself where a figure is assumed, hot or out of range."""

from __future__ import annotations

import pytest

from limitcheck.physics.constants import SOLVENTS
from limitcheck.physics.predict import predict

from .profiles import COLUMN, PUMP, column, conditions, profile

FINE = column(length='"100 mm"', bore='"2.1 mm"', particle_size='"1.7 um"')
VAPOUR, LAYERS = "vapour is not counted", "may form two layers when this hot"
RISE = "how the viscosity of a mixture rises with pressure is assumed"
BEYOND = "how viscosity rises with pressure is extrapolated to"


def told(celsius: float, a: str, b: str, percent_b: float, *, fine: bool = False) -> str:
    """The reasons of a prediction at a column temperature, as one text."""
    own = conditions(
        flow='"0.5 mL/min"',
        temperature=f'"{celsius} degC"',
        solvent_a=f'"{a}"',
        solvent_b=f'"{b}"' if b else "",
        percent_b=str(percent_b) if b else "",
    )
    return "; ".join(predict(profile(PUMP, FINE if fine else COLUMN, conditions=own)).reasons)


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
        (81, "water", "acetonitrile", VAPOUR, False),
        (83, "water", "acetonitrile", VAPOUR, True),
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
    assert RISE in told(35, "water", "methanol", 50, fine=True)
    assert RISE not in told(35, "water", "methanol", 50)
    assert RISE not in told(35, "methanol", "", 0, fine=True)


@pytest.mark.parametrize(("celsius", "said"), [(15, True), (25, False), (60, False), (75, True)])
def test_a_rise_outside_the_range_of_its_figures_is_said(celsius: int, said: bool) -> None:
    assert (BEYOND in told(celsius, "methanol", "", 0, fine=True)) == said
    assert BEYOND not in told(celsius, "water", "", 0, fine=True)

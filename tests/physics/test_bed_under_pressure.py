"""Beds at ultra-high pressure against an integration with a reference library's liquids.

CoolProp 8.0.0 (Helmholtz equations of state): 2000 slices of Darcy's law with its viscosity,
density and enthalpy, the set flow that at 1 bar, in a bed of the permeability that a certificate of
20 bar at 0.05 mL/min and 25 degC gives. Isothermal: nothing of the heat stays; isenthalpic: all.
"""

from __future__ import annotations

import pytest

from limitcheck.physics.predict import predict
from limitcheck.profile.model import Profile

from .profiles import PUMP, conditions, profile

INTEGRATED = [
    # liquid, mL/min, isothermal, isenthalpic [bar]
    ("hexane", 1.5, 783, 670),
    ("hexane", 2.0, 1150, 915),
    ("heptane", 1.8, 1031, 814),
    ("methanol", 1.9, 895, 740),
]


def method(liquid: str, flow: float, oven: str = "") -> Profile:
    """A 100 x 2.1 mm column with its certificate, without tubing."""
    column = (
        '{part = "column", length = "100 mm", bore = "2.1 mm", certificate = {pressure = "20 bar", '
        f'flow = "0.05 mL/min", temperature = "25 degC", solvent_a = "{liquid}"}}}}'
    )
    own = conditions(
        flow=f'"{flow} mL/min"', temperature='"25 degC"', ambient='"25 degC"',
        solvent_a=f'"{liquid}"', solvent_b="", percent_b="",
    )  # fmt: skip
    made = profile(PUMP, column, conditions=own)
    instrument = made.instrument.model_copy(update={"oven": oven or None})
    return made.model_copy(update={"instrument": instrument})


@pytest.mark.parametrize(("liquid", "flow", "isothermal", "isenthalpic"), INTEGRATED)
def test_the_interval_holds_a_bed_without_heat_and_one_with_all(
    liquid: str, flow: float, isothermal: float, isenthalpic: float
) -> None:
    found = predict(method(liquid, flow))
    assert found.low <= 1.03e5 * isenthalpic  # the alkanes above 1000 bar are 2.5 % over
    assert 1e5 * isothermal <= found.high


def test_compression_is_told_where_it_tells() -> None:
    told = "the liquid is compressed"
    assert any(told in reason for reason in predict(method("hexane", 1.5)).reasons)
    assert not any(told in reason for reason in predict(method("hexane", 0.2)).reasons)


@pytest.mark.parametrize(("liquid", "flow", "isothermal", "isenthalpic"), INTEGRATED)
@pytest.mark.parametrize(("oven", "kept"), [("still air", 0.85), ("water jacket", 0.30)])
def test_an_oven_holds_what_stays_in_it(
    liquid: str, flow: float, isothermal: float, isenthalpic: float, oven: str, kept: float
) -> None:
    """In still air 73 to 97 % of the heat stays in such a bed, in a water jacket 11 to 52 %."""
    found = predict(method(liquid, flow, oven))
    true = 1e5 * (isothermal + kept * (isenthalpic - isothermal))
    assert found.low <= true <= found.high

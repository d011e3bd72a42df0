"""What most of an interval comes of is named, and what cancels is not."""

from __future__ import annotations

import pytest

from limitcheck.physics.predict import predict

from .profiles import COLUMN, INJECTOR, PUMP, TUBE, column, conditions, pair, profile

CERTIFICATE = (
    'certificate = {{pressure = "54 bar", flow = "1.0 mL/min", temperature = "{} degC", '
    'solvent_a = "water", solvent_b = "acetonitrile", percent_b = 50}}'
)
HALF = conditions(solvent_b='"acetonitrile"', percent_b="50", temperature='"60 degC"')
TEMPERATURE = "how temperature acts on acetonitrile mixed with water"
BORES, DAY = "bores of tubing may be 5 % off", "its measured pressure is taken to hold within 10 %"


def reasons(*parts: str, **wanted: str) -> list[str]:
    return list(predict(profile(*parts, **{"conditions": HALF, **wanted})).reasons)


def certified(celsius: int) -> str:
    return column(length='"10 mm"').replace("}", ", " + CERTIFICATE.format(celsius) + "}", 1)


def test_a_certificate_at_the_methods_own_conditions_rests_on_itself() -> None:
    same, other = reasons(PUMP, certified(60)), reasons(PUMP, certified(25))
    assert DAY in same[0]
    assert not any(TEMPERATURE in text for text in same)
    assert any(TEMPERATURE in text for text in other)
    assert any(TEMPERATURE in text for text in reasons(PUMP, COLUMN))


def test_narrow_tubing_rests_on_its_bore() -> None:
    narrow = TUBE.replace("0.17 mm", "0.06 mm")
    assert BORES in reasons(PUMP, narrow, COLUMN)[0]
    assert not any(BORES in text for text in reasons(PUMP, COLUMN))


def test_measured_pairs_stand_first_and_take_their_rise_with_pressure_along() -> None:
    pairs = ", ".join(pair(flow, bar) for flow, bar in ((0.5, 300), (1.0, 640)))
    found = reasons(PUMP, column(particle_size='"2 um"'), measured=pairs, conditions=conditions())
    assert found[0].startswith("2 measured pairs")
    assert not any("rises with pressure is assumed" in text for text in found)


@pytest.mark.parametrize("narrow", ["0.05", "0.5"])
def test_two_tubes_without_labels_are_not_mistaken_for_each_other(narrow: str) -> None:
    """Coiled, the wide one of two is as if straight; the order in the path tells nothing."""
    other = {"0.05": "0.5", "0.5": "0.05"}[narrow]
    tubes = [TUBE.replace("0.17 mm", f"{bore} mm") for bore in (narrow, other)]
    own = conditions(flow='"1.5 mL/min"')
    found = reasons(PUMP, *tubes, INJECTOR, COLUMN, conditions=own)
    told = [text for text in found if "where it is coiled" in text]
    numbers = [int(text.split("Reynolds number ")[1].split(":")[0]) for text in told]
    assert all(number > 300 for number in numbers)


def test_a_column_without_a_temperature_is_said() -> None:
    ambient = conditions(temperature="", ambient='"22 degC"')
    found = predict(profile(conditions=ambient)).reasons
    assert any("taken at ambient temperature" in text for text in found)
    assert not any("taken at ambient" in text for text in predict(profile()).reasons)

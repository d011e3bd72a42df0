"""Lengths and flows that cannot be right, and what they may have been meant to be."""

from __future__ import annotations

import pytest

from limitcheck.meant import Evidence
from limitcheck.meant.geometry import size_cost, size_slips, slips_against_prediction, value_at
from limitcheck.physics.predict import predict
from limitcheck.profile.plausible import implausible_geometry
from tests.profiles_for_tests import profile_file

from .test_search import sized

COLUMN = ("flow_path", 1)


def found(**sizes: str) -> set[tuple[object, ...]]:
    return {path for item in implausible_geometry(profile(**sizes)) for path in item.paths}


def profile(**sizes: str):  # type: ignore[no-untyped-def]
    return profile_file(column=sized(**sizes)).profile


@pytest.mark.parametrize(
    "sizes",
    [
        {},
        {"bore": "2.1 mm", "particle": "1.7 um", "flow": "0.4 mL/min"},
        {"bore": "75 um", "particle": "3 um", "flow": "300 nL/min"},
        {"bore": "1.0 mm", "particle": "1.8 um", "flow": "50 uL/min"},
        {"bore": "50 mm", "particle": "15 um", "flow": "118 mL/min"},
        {"bore": "16 mm", "particle": "34 um", "flow": "0.5 mL/min"},
    ],
)
def test_columns_that_are_used_are_plausible(sizes: dict[str, str]) -> None:
    """Sizes of columns from nano to preparative scale: common practice, no source."""
    assert found(**sizes) == set()


@pytest.mark.parametrize(
    ("sizes", "paths"),
    [
        ({"particle": "5 mm"}, {(*COLUMN, "particle_size")}),
        ({"bore": "4.6 um"}, {(*COLUMN, "bore")}),
        ({"bore": "46 mm"}, {(*COLUMN, "bore"), ("conditions", "flow")}),
        ({"flow": "1.0 uL/min"}, {(*COLUMN, "bore"), ("conditions", "flow")}),
        ({"flow": "1000 L/min"}, {("conditions", "flow")}),
    ],
)
def test_what_cannot_be_right(sizes: dict[str, str], paths: set[tuple[object, ...]]) -> None:
    assert found(**sizes) == paths


def test_how_far_outside() -> None:
    (item,) = implausible_geometry(profile(particle="5 mm"))
    assert item.factor == pytest.approx(5000 / 150)
    (item,) = implausible_geometry(profile(bore="4.6 um"))
    assert item.factor == pytest.approx(8 / 4.6)


def test_slips_of_a_size() -> None:
    slips = {
        f"{h.changes[0].number} {h.changes[0].unit}": h.cost
        for h in size_slips(profile(bore="2.3 mm"), (*COLUMN, "bore"))
    }
    assert slips.keys() >= {"2.3 um", "2.3 cm", "2.3 m", "23 mm", "0.23 mm", "4.6 mm"}
    assert slips["2.3 um"] < slips["2.3 cm"] < slips["4.6 mm"] < slips["23 mm"]
    flows = {h.changes[0].unit for h in size_slips(profile(), ("conditions", "flow"))}
    assert flows == {"mL/min", "uL/min", "nL/min", "L/min"}
    assert str(value_at(profile(), ("conditions", "flow"))) == "1.0 mL/min"


def test_unusual_sizes_cost() -> None:
    usual = size_cost(profile())
    assert usual == 0
    for sizes in ({"bore": "2.3 mm"}, {"particle": "80 um"}, {"flow": "8 mL/min"}):
        assert size_cost(profile(**sizes)) > usual + 0.5


def test_only_sizes_that_would_bring_the_prediction_near_are_tried() -> None:
    """With half the bore the column makes four times the pressure."""
    half = profile(bore="2.3 mm")
    slips = list(slips_against_prediction(Evidence(half, predict(half))))
    numbers = {f"{h.changes[0].number} {h.changes[0].unit}" for h in slips}
    assert "4.6 mm" in numbers
    assert not numbers & {"2.3 um", "2.3 m", "5 mm"}

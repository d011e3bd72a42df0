"""What a profile says of swing, strokes and reversing: read exactly, refused in plain words."""

from __future__ import annotations

from fractions import Fraction

import pytest

from limitcheck.profile.load import UnreadableProfile
from limitcheck.profile.model import Column, Pump

from ..transfer.changed import changed


def test_swing_strokes_and_reversible_are_read() -> None:
    values = {
        "expected.swing": 6,
        "pump.stroke_volume": "50 uL",
        "pump.heads": 2,
        "column.reversible": False,
    }
    profile = changed("isocratic", values).profile
    assert profile.expected is not None
    assert str(profile.expected.swing) == "6 bar"
    pump = profile.flow_path[0]
    assert isinstance(pump, Pump)
    assert pump.heads == Fraction(2)
    assert float(pump.stroke_volume or 0) == pytest.approx(50e-9)
    (column,) = (p for p in profile.flow_path if isinstance(p, Column) and p.part == "column")
    assert column.reversible is False


def test_left_out_they_are_not_known() -> None:
    profile = changed("isocratic", {}).profile
    assert profile.expected is not None
    assert profile.expected.swing is None
    assert all(p.reversible is None for p in profile.flow_path if isinstance(p, Column))


@pytest.mark.parametrize(
    ("place", "value", "says"),
    [
        ("column.reversible", "no", "text where true or false belongs"),
        ("column.reversible", 0, "a number where true or false belongs"),
        ("pump.heads", 0, "zero where a positive number belongs"),
        ("pump.heads", 5, "5 is more than 4"),
        ("pump.heads", 1.5, "1.5 is not a whole number"),
        ("pump.heads", True, "true or false where a number belongs"),
        ("pump.stroke_volume", 50, "50 has no unit"),
        ("pump.stroke_volume", "50 bar", "bar"),
        ("tubing.stroke_volume", "50 uL", "unknown key stroke_volume"),
        ("injector.heads", 2, "unknown key heads"),
        ("expected.swing", -1, "-1 is negative"),
        ("expected.swing", "6", "unit"),
        ("expected.swing", "6,500 bar", "comma"),
    ],
)
def test_anything_else_is_refused(place: str, value: object, says: str) -> None:
    with pytest.raises(UnreadableProfile) as caught:
        changed("isocratic", {place: value})
    assert says in str([finding.message for finding in caught.value.findings])

"""A typed number of many digits is shown with all of them, in every answer that tells it."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from limitcheck.charts.scale import scale
from limitcheck.checking.marks import marks_of
from limitcheck.checking.proposed import Proposed
from limitcheck.cli.app import run
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.units.printing import as_stated
from tests.profiles_for_tests import WITH_GEOMETRY, profile_file

PAIR = """
[[measured]]
pressure = "151.23457 bar"
flow = "1.0 mL/min"
percent_b = 18.0000123
"""
EXACT = WITH_GEOMETRY
for now, then in (
    ("low = 145", "low = 145.12345"),
    ("high = 172", 'basis = "measured"\nhigh = 172.98765'),
    ("high = 260", "high = 260.12345"),
    ('flow = "1.0 mL/min"', 'flow = "1.001234 mL/min"'),
    ('temperature = "35 degC"', 'temperature = "35.12345 degC"'),
    ('ambient = "21 degC"', 'ambient = "21.98765 degC"'),
    ("percent_b = 18", "percent_b = 18.12345"),
    ("display_step = 1", "display_step = 0.00001"),
):
    EXACT = EXACT.replace(now, then)
EXACT += PAIR + PAIR.replace("151.23457", "260.98765").replace("1.0 mL", "1.7 mL")
BAND = "145.12345 to 172.98765 bar"


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["faults"], [BAND]),
        (["reading", "150.12345"], [BAND, "150.12345 bar"]),
        (
            ["isolate", "--reading", "all=150.12345", "--reading", "column-inlet=9.876543"],
            ["150.12345", "9.876543"],
        ),
        (
            ["isolate", "--reading", "all=268.9876543", "--reading", "column-inlet=9.876543"],
            ["268.9876543 bar is at or above the high cutoff, 260.12345 bar"],
        ),
        (
            ["predict", "--verbose"],
            [
                "1.001234 mL/min",
                "35.12345 degC",
                "21.98765 degC",
                "18.12345 % B",
                "151.23457",
                "18.0000123 % B",
            ],
        ),
        (["entry", "260.12345"], ["260.12345 bar"]),
        (["propose"], ["260.12345 bar", "172.98765 bar"]),
        (["check"], []),
    ],
)
def test_every_digit_is_shown(
    arguments: list[str], told: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "exact.toml"
    path.write_text(EXACT, "utf-8")
    command, *rest = arguments
    asks = command in ("reading", "entry")
    run([command, *rest, "--profile", str(path)] if asks else [command, str(path), *rest])
    captured = capsys.readouterr()
    shown = " ".join(captured.out.split())
    assert captured.out, captured.err
    for words in told:
        assert words in shown, shown


@pytest.mark.parametrize("high", ["280.000000000000001", "280.1234567890123456789012345678"])
def test_what_is_not_equal_is_not_shown_equal_on_a_scale(high: str) -> None:
    profile = profile_file(high=high).profile
    (mark,) = (mark for mark in marks_of(profile, doubt="").marks if mark.kind == "high")
    assert mark.text == high
    assert f"high cutoff {high} bar" in scale(profile, None, doubt="").description


@pytest.mark.parametrize(
    ("typed", "told"), [("1.2e2", "120 bar"), ("+200.00", "200.00 bar"), ("88.250", "88.250 bar")]
)
def test_a_typed_number_is_told_in_plain_decimals(typed: str, told: str) -> None:
    expected = profile_file(expected_low=typed, expected_high="300").profile.expected
    assert expected is not None
    assert str(expected.low) == told
    as_typed_there = as_stated(float(expected.low), "bar", typed=[expected.low])
    assert f"{as_typed_there} bar" == told


def test_a_number_that_cannot_be_stored_is_not_said_to_have_meant_another() -> None:
    file = profile_file(high="250.999")
    (why,) = Proposed(file, DEFAULT_POLICY, date(2026, 11, 27)).mistaken
    assert "entry-not-storable" in why
    assert "meant" not in why
    assert "250 bar is the full step on its safe side" in why

"""The swing of a pressure, and the period of a pump's strokes.

The periods are worked out by hand: a stroke of V at a flow F takes V / F.
"""

from __future__ import annotations

import pytest

from limitcheck.diagnosis.reading import Reading, read
from limitcheck.diagnosis.swings import Swing, period_words, seconds
from limitcheck.diagnosis.telling import Told
from limitcheck.errors import Refused
from limitcheck.physics.system import Change
from limitcheck.units import Pressure
from tests.profiles_for_tests import WITH_GEOMETRY, with_geometry

PUMP = WITH_GEOMETRY.replace(
    'part = "pump"\n', 'part = "pump"\nstroke_volume = "20 uL"\nheads = 2\n'
)  # at 1.0 mL/min: 0.02 mL / (1.0 mL / 60 s) = 1.2 s a stroke, 2.4 s for both heads
WITH_SWING = PUMP.replace("high = 172\n", "high = 172\nswing = 3\n")


def take(
    swing: str, period: float | None = None, of: str = WITH_SWING, reading: str = "160 bar"
) -> Reading:
    return read(
        with_geometry(of).profile,
        Pressure.parse(reading),
        swing=Pressure.parse(swing),
        period=period,
        in_doubt=False,
    )


def swing_of(reading: Reading) -> Swing:
    assert reading.swing is not None
    return reading.swing


@pytest.mark.parametrize(
    ("swing", "verdict", "good"),
    [
        ("3 bar", "within expected", True),
        ("3.01 bar", "more than expected", False),
        ("43.5 psi", "within expected", True),  # 2.999 bar
        ("43.6 psi", "more than expected", False),  # 3.006 bar
    ],
)
def test_against_the_expected_swing(swing: str, verdict: str, good: bool) -> None:
    reading = take(swing)
    assert swing_of(reading).verdict == verdict
    assert bool(swing_of(reading).causes) == (not good)
    assert reading.good == good


def test_without_an_expected_swing_nothing_is_decided() -> None:
    found = swing_of(take("20 bar", of=PUMP))
    assert (found.verdict, found.large) == ("unknown", None)
    assert "no [expected] swing" in found.why_unknown
    assert found.causes
    assert not take("20 bar", of=PUMP).good
    assert take("0 bar", of=PUMP).good


@pytest.mark.parametrize(
    ("period", "speed", "spoken_for"),
    [
        (1.2, "once a stroke", {"leak", "pump-pulse"}),
        (1.3, "once a stroke", {"leak", "pump-pulse"}),
        (2.4, "once a cycle", {"leak", "worn-seal", "air-in-pump-head", "check-valve"}),
        (30.0, "slower", {"bubbles", "oven-cycling", "mixing"}),
        (0.2, "faster", set()),
        (None, "unknown", set()),
    ],
)
def test_the_period_beside_the_pumps(
    period: float | None, speed: str, spoken_for: set[str]
) -> None:
    found = swing_of(take("9 bar", period))
    assert found.strokes is not None
    assert found.strokes.stroke == pytest.approx(1.2)
    assert found.strokes.cycle == pytest.approx(2.4)
    assert found.speed == speed
    assert {cause.name for cause in found.causes if cause.for_it} == spoken_for
    assert "less often than every 0.6 s" in period_words(found)


def test_half_the_flow_doubles_the_period() -> None:
    slow = WITH_SWING.replace('flow = "1.0 mL/min"', 'flow = "0.5 mL/min"')
    strokes = swing_of(take("9 bar", of=slow)).strokes
    assert strokes is not None
    assert strokes == pytest.approx((2.4, 4.8))


def test_tests_of_a_swing_come_in_the_order_they_cost() -> None:
    efforts = [cause.test.effort for cause in swing_of(take("9 bar")).causes]
    assert efforts == sorted(efforts)


@pytest.mark.parametrize(
    ("of", "missing"),
    [
        (WITH_GEOMETRY, "no stroke_volume"),
        (WITH_SWING.replace('flow = "1.0 mL/min"\n', ""), "no conditions.flow"),
    ],
)
def test_a_period_that_is_not_known(of: str, missing: str) -> None:
    found = swing_of(take("9 bar", 1.2, of=of))
    assert found.strokes is None
    assert found.speed == "unknown"
    assert missing in period_words(found)


def test_heads_that_are_not_known() -> None:
    found = swing_of(take("9 bar", 2.4, of=WITH_SWING.replace("heads = 2\n", "")))
    assert found.speed == "slower"
    assert "heads not known" in period_words(found)


def test_only_a_mixed_method_mixes() -> None:
    one = WITH_SWING.replace('solvent_b = "acetonitrile"\npercent_b = 18\n', "")
    assert "mixing" not in {cause.name for cause in swing_of(take("9 bar", of=one)).causes}


def test_a_swing_moves_the_causes() -> None:
    """Below normal, with a swing larger than expected: air in a head before a wrong flow."""

    def place(swing: str, name: str) -> int:
        names = [cause.name for cause in take(swing, reading="110 bar").causes]
        return names.index(name)

    assert place("20 bar", "check-valve") < place("20 bar", "flow-halved")
    assert place("1 bar", "check-valve") > place("20 bar", "check-valve")


@pytest.mark.parametrize("swing", ["321 bar", "1000 bar"])
def test_a_swing_below_zero_pressure_is_refused(swing: str) -> None:
    with pytest.raises(Refused, match="below zero"):
        take(swing)


@pytest.mark.parametrize(("text", "value"), [("1.2", 1.2), ("1.2 s", 1.2), (" 3s ", 3.0)])
def test_seconds(text: str, value: float) -> None:
    assert seconds(text, "--period") == value


@pytest.mark.parametrize("text", ["0", "-1", "1e3", "nan", "inf", "3601", "two", "", "1_0", "٣"])
def test_no_seconds(text: str) -> None:
    with pytest.raises(Refused, match="--period"):
        seconds(text, "--period")


def test_answers_without_a_swing_say_nothing_of_it() -> None:
    assert (
        read(with_geometry().profile, Pressure.parse("160 bar"), told=Told(), in_doubt=False).swing
        is None
    )


def test_the_expected_swing_holds_at_the_methods_own_conditions() -> None:
    """At another flow a pump swings otherwise: nothing is decided."""
    found = read(
        with_geometry(WITH_SWING).profile,
        Pressure.parse("80 bar"),
        Change(flow=0.5e-6 / 60),
        swing=Pressure.parse("2 bar"),
        in_doubt=False,
    )
    assert found.position == "normal"
    assert swing_of(found).verdict == "unknown"
    assert "own conditions" in swing_of(found).why_unknown
    assert not found.good

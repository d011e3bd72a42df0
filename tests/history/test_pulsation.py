"""Pulsation within a run: the periodogram, what a period is put down to, and what is refused."""

from __future__ import annotations

import json
import math
import random
from collections.abc import Callable
from datetime import datetime, timedelta
from importlib.resources import files

import numpy as np
import pytest
from jsonschema import Draft202012Validator

from limitcheck.documents.baseline import baseline_data
from limitcheck.history.cells import moment
from limitcheck.history.log import Logged
from limitcheck.history.periodogram import BY_CHANCE, detrended, find_peaks, power_at, powers, taper
from limitcheck.history.pulsation import Pulsation, PulsationWatch
from limitcheck.physics.strokes import Strokes
from tests.history import pulse_study
from tests.history.logs import baseline, told

SCHEMA = files("limitcheck") / "schemas" / "baseline.schema.json"
START = datetime(2026, 3, 9, 9)


def uneven(n: int, seed: int = 1) -> list[float]:
    rng = random.Random(seed)
    return sorted(rng.uniform(0, 60) for _ in range(n))


def test_power_is_that_of_least_squares() -> None:
    """Source: numpy.linalg.lstsq, a sine and a cosine fitted with weights by brute force."""
    rng = random.Random(2)
    times = uneven(150)
    values = [3 * math.sin(2 * math.pi * t / 4.1) + rng.gauss(0, 1) for t in times]
    weights = taper(times)
    root = np.sqrt(weights)
    first, step, count = 0.1, 0.013, 90
    for i, power in enumerate(powers(times, values, weights, first, step, count)):
        angle = 2 * np.pi * (first + i * step) * np.array(times)
        design = np.column_stack([np.cos(angle), np.sin(angle)]) * root[:, None]
        target = np.array(values) * root
        fit = design @ np.linalg.lstsq(design, target, rcond=None)[0]
        taken = np.sum(target**2) - np.sum((target - fit) ** 2)
        assert power == pytest.approx(taken, rel=1e-7, abs=1e-10)
        assert power_at(first + i * step, times, values, weights) == pytest.approx(power, rel=1e-7)


def test_detrending_is_a_broken_line_of_least_squares() -> None:
    """Source: numpy.linalg.lstsq over the hat functions of seven knots."""
    times = uneven(200)
    values = [math.exp(t / 30) + random.Random(int(t)).random() for t in times]
    knots = np.linspace(times[0], times[-1], 7)
    hats = np.array([[np.interp(t, knots, row) for row in np.eye(7)] for t in times])
    fit = hats @ np.linalg.lstsq(hats, np.array(values), rcond=None)[0]
    assert detrended(times, values) == pytest.approx(list(np.array(values) - fit), abs=1e-8)


def test_a_sine_is_found_with_its_size_and_interval() -> None:
    inside = 0
    for seed in range(20):
        rng = random.Random(seed)
        times = [i * 0.5 for i in range(300)]
        values = [1.5 * math.sin(2 * math.pi * t / 5.2 + seed) + rng.gauss(0, 1) for t in times]
        peak = find_peaks(times, detrended(times, values), 1.0)[0]
        assert peak.by_chance <= BY_CHANCE
        assert peak.swing == pytest.approx(3.0, rel=0.25)
        inside += peak.low <= 1 / 5.2 <= peak.high
    assert inside >= 17  # of 20; binomial(20, 0.95) is below 17 in 2 of 100


def rows(
    pulse: Callable[[float], float], *, n: int = 600, sampling: float = 0.5, step: float = 0.1
) -> list[Logged]:
    rng = random.Random(7)
    found = []
    for i in range(n):
        value = round((200 + pulse(i * sampling) + rng.gauss(0, 0.3)) / step) * step
        found.append(Logged(i + 2, START + timedelta(seconds=i * sampling), value, "", "", ""))
    return found


def seen(readings: list[Logged], pump: Strokes | str = "no pump") -> Pulsation:
    watch = PulsationWatch()
    for row in readings:
        watch.add(row)
    found = watch.finish(pump)
    assert found is not None
    return watch.with_pulses(found)


def sine(period: float, size: float = 4.0) -> Callable[[float], float]:
    return lambda t: size / 2 * math.sin(2 * math.pi * t / period)


PUMP = Strokes(2.5, 5.0)


@pytest.mark.parametrize(
    ("period", "source"),
    [(5.05, "cycle"), (2.47, "stroke"), (11.0, "other"), (7.3, "other"), (3.4, "other")],
)
def test_what_a_period_is_put_down_to(period: float, source: str) -> None:
    found = seen(rows(sine(period)), PUMP)
    assert found.main is not None
    assert found.main.source == source
    assert found.main.period_low <= period <= found.main.period_high
    assert found.swing == pytest.approx(4.0 + 6 * 0.3 / 2, abs=1.0)


def test_noise_has_no_period() -> None:
    found = seen(rows(lambda _: 0.0), PUMP)
    assert found.pulses == ()
    assert found.swing == pytest.approx(5 * 0.3, abs=0.5)


def test_overtone_of_another_pulse_is_not_the_pumps() -> None:
    """A pulse every 10 s whose overtone at 5 s is the stronger."""
    found = seen(rows(lambda t: sine(10)(t) + sine(5, 6.0)(t)), PUMP)
    assert {pulse.source for pulse in found.pulses} == {"other"}


def test_a_period_seen_too_seldom_is_no_period_of_the_pump() -> None:
    """A reading every 2.2 s: a stroke of 2.5 s shows as one of 18 s."""
    found = seen(rows(sine(2.5), sampling=2.2, n=400), PUMP)
    assert found.main is not None
    assert found.main.period == pytest.approx(1 / (1 / 2.2 - 1 / 2.5), rel=0.01)
    assert found.main.source == "alias"
    assert found.too_slow


def test_nothing_is_put_down_to_an_unknown_pump() -> None:
    found = seen(rows(sine(5.0)))
    assert [pulse.source for pulse in found.pulses] == ["unknown"]
    assert found.missing == "no pump"


def test_heads_not_known() -> None:
    assert [p.source for p in seen(rows(sine(2.5)), Strokes(2.5, None)).pulses] == ["stroke"]
    assert [p.source for p in seen(rows(sine(5.0)), Strokes(2.5, None)).pulses] == ["other"]


def test_a_reading_now_and_then_is_no_pulsation() -> None:
    for sampling, n in ((60.0, 500), (0.5, 63)):
        watch = PulsationWatch()
        for row in rows(sine(5.0), sampling=sampling, n=n):
            watch.add(row)
        assert watch.finish(PUMP) is None


def test_the_stretch_that_swings_most_speaks_for_the_log() -> None:
    good = rows(sine(2.5, 1.0))
    later = [row._replace(time=row.time + timedelta(hours=2)) for row in rows(sine(5.0, 9.0))]
    last = [row._replace(time=row.time + timedelta(hours=4)) for row in good]
    found = seen([*good, *later, *last], PUMP)
    assert found.stretches == 3
    assert found.first == START + timedelta(hours=2)
    assert found.main is not None
    assert found.main.source == "cycle"


def test_times_in_whole_seconds_are_spread() -> None:
    whole = [row._replace(time=row.time.replace(microsecond=0)) for row in rows(sine(5.0))]
    found = seen(whole, PUMP)
    assert found.sampling == pytest.approx(0.5)
    assert found.shortest == pytest.approx(2.0)  # twice the step of the times
    assert found.main is not None
    assert found.main.source == "cycle"


@pytest.mark.parametrize("step", [1, 60])
def test_readings_of_one_and_the_same_time(step: int) -> None:
    watch = PulsationWatch()
    for i, row in enumerate(rows(sine(5.0), n=120)):
        watch.add(row._replace(time=START + timedelta(seconds=step * (i // 100))))
    assert watch.finish(PUMP) is None


@pytest.mark.parametrize(
    "text",
    [
        "2026-03-09 14:30:01.250",
        "2026-03-09T14:30:01,250",
        "2026/3/9 14:30:01.25",
        "9.3.2026 2:30:01.25 pm",
        "9 Mar 2026 14:30:01,25",
    ],
)
def test_fractions_of_a_second_are_read(text: str) -> None:
    assert moment(text, "day-first") == datetime(2026, 3, 9, 14, 30, 1, 250_000)


def log_of(readings: list[Logged]) -> str:
    lines = [f"{r.time.isoformat(' ', 'milliseconds')},{r.pressure:.1f}" for r in readings]
    return "\n".join(["time,pressure (bar)", *lines]) + "\n"


def test_no_profile_says_what_to_add_and_json_is_valid() -> None:
    found = baseline(log_of(rows(sine(5.0))))
    text = told(found)
    assert "the pump's periods are not known: no profile" in " ".join(text.split())
    data = json.loads(json.dumps(baseline_data(found, None)))
    Draft202012Validator(json.loads(SCHEMA.read_text())).validate(data)
    assert data["pulsation"]["pulses"][0]["source"] == "unknown"


def test_small_study() -> None:
    """Right in nine of ten, nothing named in noise (`python -m tests.history.pulse_study`)."""
    for kind, source in ((pulse_study.ONE_HEAD, "cycle"), (pulse_study.ORDINARY, "stroke")):
        fine, _ = pulse_study.study(kind, 12, most=600)
        told_apart = sum(fine[name] for name in pulse_study.SOURCES)
        assert fine[source] >= 0.75 * told_apart > 0
    for kind in (pulse_study.ELSE, pulse_study.WHITE, pulse_study.RED):
        fine, _ = pulse_study.study(kind, 12, most=600)
        assert fine["any named"] == 0

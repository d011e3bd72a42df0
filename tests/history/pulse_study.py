"""How often a pulse of the pressure is put down to the right stroke of the pump: a table.

    python -m tests.history.pulse_study --logs 1000

Each log is a pump of 2 to 4 heads at some flow and stroke volume (2 % off what the profile says),
whose flow falls at each change of heads, or while one head delivers; a damper smooths it, and the
column turns it into pressure, with drift, noise (white, or remembering a share of the reading
before) and a display that rounds. Or something else pulses, or nothing does. The pulse is at least
1.5 steps of the display and 1.5 standard deviations of the noise; the log holds 10 cycles or more.

Right: the strongest pulse is put down to what was simulated. Withheld: to nothing of the pump, or
to a possible alias. Wrong: to the other one. Too coarse: readings further apart than half a
stroke; what is every stroke must then not be named, and one head only where no stroke seen too
seldom could show there.
"""

from __future__ import annotations

import argparse
import math
import random
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from limitcheck.history.log import Logged
from limitcheck.history.pulsation import Pulsation, PulsationWatch
from limitcheck.physics.strokes import Strokes

_START = datetime(2026, 3, 9, 9)
_WAVE = 240  # points of one cycle
SOURCES = ("cycle", "stroke", "part of a cycle", "faster", "alias", "other", "nothing")
_NAMED = ("cycle", "stroke", "part of a cycle", "faster")
ONE_HEAD, ORDINARY, ELSE, NEAR, WHITE, RED = (
    "one head", "every stroke", "something else", "something else, any period", "white noise",
    "AR(1) noise",
)  # fmt: skip


@dataclass(frozen=True)
class Bench:
    """One simulated log: what the profile says of the pump [s], the sampling [s], the readings."""

    stroke: float
    heads: int
    sampling: float
    readings: int
    uneven: bool
    step: float
    noise: float
    memory: float
    swing: float


def draw(rng: random.Random, most: int = 4000) -> Bench:
    """A pump, a log and a display, none of them usual."""
    while True:
        volume = rng.choice([20e-9, 50e-9, 100e-9])  # m3
        flow = math.exp(rng.uniform(math.log(0.2), math.log(3))) * 1e-6 / 60  # m3/s
        stroke, heads = volume / flow, rng.choice([2, 2, 2, 3, 4])
        sampling = 1 / math.exp(rng.uniform(math.log(0.2), math.log(20)))
        readings = int(math.exp(rng.uniform(math.log(128), math.log(most))))
        if readings * sampling >= 10 * stroke * heads:
            break
    step = rng.choice([0.1, 1.0])
    noise = step * rng.uniform(0.1, 1.5)
    swing = max(1.5 * step, 1.5 * noise) * rng.uniform(1, 5)
    memory = rng.choice([0.0, 0.5, 0.9])
    return Bench(stroke, heads, sampling, readings, rng.random() < 0.4, step, noise, memory, swing)


def wave(rng: random.Random, heads: int, one: bool) -> list[float]:
    """One cycle of the pressure of a pump, from 0 to 1."""
    width = rng.uniform(0.08, 0.3) * _WAVE / heads  # of the fall at each change of heads
    lost, share = rng.uniform(0.3, 1.0), rng.uniform(0.3, 1.0)
    flow = []
    for i in range(_WAVE):
        head, place = divmod(i * heads / _WAVE, 1)
        fall = 0.3 if place * _WAVE / heads < width else 0.0
        if one:
            fall = 0.3 * fall + (lost if head == 0 and place < share else 0.0)
        flow.append(1 - fall)
    smoothing = _WAVE / heads * rng.uniform(0.1, 1.0)  # of the damper, in points
    level = sum(flow) / _WAVE
    found: list[float] = []
    for _ in range(12):
        found = []
        for value in flow:
            level += (value - level) / smoothing
            found.append(level)
    low, high = min(found), max(found)
    return [(value - low) / (high - low) for value in found]


def noise_of(rng: random.Random, bench: Bench, memory: float | None = None) -> Iterator[float]:
    """Noise without end, each reading remembering a share of the one before."""
    share = bench.memory if memory is None else memory
    off = rng.gauss(0, 1)
    while True:
        yield bench.noise * off
        off = share * off + math.sqrt(1 - share * share) * rng.gauss(0, 1)


def readings_of(
    rng: random.Random, bench: Bench, pulse: Callable[[float], float], memory: float | None = None
) -> Iterator[Logged]:
    """The log of a pulse (of the time [s])."""
    noise = noise_of(rng, bench, memory)
    drift = rng.uniform(-5, 5) * bench.step / (bench.readings * bench.sampling)
    time = 0.0
    for i in range(bench.readings):
        shown = 200 + drift * time + pulse(time) + next(noise)
        value = round(shown / bench.step) * bench.step
        moment = _START + timedelta(milliseconds=round(1000 * time))
        yield Logged(i + 2, moment, value, "", "", "")
        time += bench.sampling * (rng.uniform(0.6, 1.4) if bench.uneven else 1.0)


def periodic(
    points: list[float], period: float, size: float, start: float
) -> Callable[[float], float]:
    """A pulse of `size` that repeats `points` every `period` [s]."""
    n = len(points)
    return lambda time: size * points[int((time / period + start) * n) % n]


def seen(bench: Bench, rows: Iterator[Logged]) -> Pulsation:
    watch = PulsationWatch()
    for row in rows:
        watch.add(row)
    found = watch.finish(Strokes(bench.stroke, bench.stroke * bench.heads))
    assert found is not None
    return watch.with_pulses(found)


def simulated(kind: str, rng: random.Random, most: int) -> tuple[Bench, Pulsation, float]:
    """A log of this kind, what was seen in it, and the true period [s] (0 for none)."""
    bench = draw(rng, most)
    off, start = rng.uniform(0.98, 1.02), rng.random()
    cycle = bench.stroke * bench.heads
    true, memory = 0.0, None
    pulse: Callable[[float], float] = lambda _: 0.0  # noqa: E731
    if kind in (ONE_HEAD, ORDINARY):
        one = kind == ONE_HEAD
        pulse = periodic(wave(rng, bench.heads, one), cycle * off, bench.swing, start)
        true = cycle * off if one else bench.stroke * off
    elif kind in (ELSE, NEAR):
        slow, fast = bench.readings * bench.sampling / 8, 2.5 * bench.sampling
        while True:
            true = math.exp(rng.uniform(math.log(fast), math.log(slow)))
            of_pump = [abs(cycle / true - k) < 0.07 * min(k, 4) for k in range(1, 20)]
            if kind == NEAR or not any(of_pump):
                break
        points = rng.choice([wave(rng, 1, True), wave(rng, 2, True), [0.0, 1.0] * 1])
        pulse = periodic(points, true, bench.swing, start)
    else:
        memory = 0.0 if kind == WHITE else rng.choice([0.5, 0.9, 0.98])
    return bench, seen(bench, readings_of(rng, bench, pulse, memory)), true


def study(kind: str, logs: int, most: int = 4000) -> tuple[Counter[str], Counter[str]]:
    """How many logs of a kind came out how, in all: those told apart well, those too coarse.

    `most` is how many readings a log has at most.
    """
    rng = random.Random(kind)
    fine: Counter[str] = Counter()
    coarse: Counter[str] = Counter()
    for _ in range(logs):
        bench, found, true = simulated(kind, rng, most)
        main = found.main
        source = "nothing" if main is None else main.source
        too_coarse = kind in (ONE_HEAD, ORDINARY) and bench.stroke < 2 * bench.sampling
        tally = coarse if too_coarse else fine
        tally[source] += 1
        tally["any named"] += any(pulse.source in _NAMED for pulse in found.pulses)
        if main is not None and tally is fine and source in ("cycle", "stroke", "other"):
            tally["period told"] += 1
            low, high = main.period_low, main.period_high
            tally["period inside"] += low <= true <= high
    return fine, coarse


def rows(logs: int) -> Iterator[str]:
    """The table, line by line."""
    yield f"{logs} logs of each kind"
    yield f"{'':28} logs  " + "  ".join(f"{s:>7.7}" for s in SOURCES) + "  any named  in interval"
    for kind in (ONE_HEAD, ORDINARY, ELSE, NEAR, WHITE, RED):
        for name, tally in zip((kind, f"{kind}, too coarse"), study(kind, logs), strict=True):
            count = sum(tally[source] for source in SOURCES)
            if not count:
                continue
            cells = "  ".join(f"{tally[source] / count:7.1%}" for source in SOURCES)
            inside = tally["period inside"] / max(tally["period told"], 1)
            named = tally["any named"] / count
            yield f"{name:28} {count:4}  {cells}  {named:9.1%}  {inside:11.1%}"


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--logs", type=int, default=1000)
    for line in rows(parser.parse_args().logs):
        print(line, flush=True)

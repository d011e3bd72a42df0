"""Whether a wrong band is ever written from a log with a defect: a table.

    python -m tests.history.baseline_study --logs 1000

Each log has one of eight defects: a creep, a step, zeros with the pump off, two levels, mixed
units, points between thousands, a growing swing, a few wild readings. Its level, noise (each
reading remembers up to half of the one before), length and the step of the display vary. `baseline`
is asked for the band, and for that of the steady part it names. The band is wrong where it holds
less than nine in ten of the normal readings, or is wider than 9 of their standard deviations (that
of a log without a defect is about 5, at most 7.5).
"""

from __future__ import annotations

import argparse
import io
import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from statistics import NormalDist

from limitcheck.history.baseline import Band, find_baseline
from limitcheck.history.layout import Options
from limitcheck.history.lines import LogError
from limitcheck.history.log import Choice
from tests.history.drift_study import remembering

DEFECTS = ("creep", "step", "zeros", "two levels", "units", "thousands", "swing", "wild")
_START = datetime(2026, 1, 12, 9)


@dataclass(frozen=True)
class Made:
    """A log as text, and its normal pressures: levels and standard deviation in its unit."""

    text: str
    levels: tuple[float, ...]
    deviation: float


def made(rng: random.Random, defect: str | None) -> Made:
    """A log of invented runs with one defect, or none."""
    n = rng.choice((40, 60, 100, 200))
    psi = defect == "thousands" or rng.random() < 0.3
    level = rng.uniform(1500, 5500) if psi else rng.uniform(60, 900)
    deviation = level * rng.uniform(0.004, 0.02)
    step = rng.choice((1.0, 1.0, 10.0 if psi else 0.1))
    off = remembering(rng, n, rng.choice((0.0, 0.0, 0.3, 0.5)))
    values = [level + deviation * (v - 200) / 2 for v in off]
    levels: tuple[float, ...] = (level,)
    size = rng.choice((-1, 1)) * rng.uniform(3, 15) * deviation
    at = rng.randint(n // 5, n - n // 5)
    texts: dict[int, str] = {}
    if defect == "creep":
        begin = rng.choice((0, 0, at))
        values = [v + size * max(0, i - begin) / (n - begin) for i, v in enumerate(values)]
    elif defect == "step":
        values = [v + (size if i >= at else 0) for i, v in enumerate(values)]
        levels = (level, level + size)
    elif defect == "zeros":
        for i in rng.sample(range(n), rng.randint(1, n // 5)):
            values[i] = rng.choice((0.0, 0.0, level * rng.uniform(0, 0.4)))
    elif defect == "two levels":
        other = level * rng.choice((0.55, 0.7, 1.3, 1.8))
        values = [v + (other - level if rng.random() < 0.5 else 0) for v in values]
        levels = (level, other)
    elif defect == "units":
        factor = 1 / 14.503774 if psi else 14.503774
        for i in rng.sample(range(n), rng.randint(1, n // 5)):
            texts[i] = f"{values[i] * factor:.0f}"
    elif defect == "swing":
        values = [
            v if i < at else level + (v - level) * (1 + abs(size) / deviation * (i - at) / (n - at))
            for i, v in enumerate(values)
        ]
    elif defect == "wild":
        for i in rng.sample(range(n), rng.randint(1, 3)):
            values[i] += size * 3
    shown = [round(round(v / step) * step, 3) for v in values]
    rows = [texts.get(i) or f"{v:.{0 if step >= 1 else 1}f}" for i, v in enumerate(shown)]
    if defect == "thousands":
        rows = [
            f"{int(v) // 1000}.{int(v) % 1000:03d}" if v >= 1000 else f"{int(v)}" for v in shown
        ]
    lines = [
        f"{_START + timedelta(hours=8 * i):%Y-%m-%d %H:%M};{row}" for i, row in enumerate(rows)
    ]
    unit = "psi" if psi else "bar"
    return Made("\n".join([f"time;pressure ({unit})", *lines]) + "\n", levels, deviation)


def wrong(band: Band, log: Made) -> bool:
    """Whether a band is wrong for every normal level of the log."""
    low, high = float(band.low.number), float(band.high.number)
    for level in log.levels:
        normal = NormalDist(level, log.deviation)
        holds = normal.cdf(high + 0.5) - normal.cdf(low - 0.5)
        wide = (high - low) / log.deviation
        if holds >= 0.9 and wide <= 9:
            return False
    return True


def asked(log: Made) -> Iterator[tuple[str, Band | None]]:
    """What the log as a whole gives, and the steady part it names."""
    choice = Choice()
    try:
        found = find_baseline(io.BytesIO(log.text.encode()), "runs.csv", Options(), choice)
    except LogError:
        yield "refused", None
        return
    yield ("written" if found.steady else "not written"), found.expected if found.steady else None
    if found.stretch is not None:
        part = replace(choice, since=found.stretch.since, until=found.stretch.until)
        again = find_baseline(io.BytesIO(log.text.encode()), "runs.csv", Options(), part)
        assert again.steady
        yield "part", again.expected


def study(logs: int, seed: int = 1) -> dict[str, Counter[str]]:
    """By defect, how many logs were written, rightly or wrongly, refused, and their parts."""
    table: dict[str, Counter[str]] = {}
    for number in range(logs):
        rng = random.Random(f"{seed} {number}")
        defect = DEFECTS[number % len(DEFECTS)]
        log = made(rng, defect)
        for what, band in asked(log):
            bad = band is not None and wrong(band, log)
            table.setdefault(defect, Counter())[f"{what} wrong" if bad else what] += 1
    return table


def clean(logs: int, seed: int = 2) -> Counter[str]:
    """What becomes of logs without a defect."""
    found: Counter[str] = Counter()
    for number in range(logs):
        log = made(random.Random(f"{seed} {number}"), None)
        what, band = next(iter(asked(log)))
        found[f"{what} wrong" if band is not None and wrong(band, log) else what] += 1
    return found


WHAT = ("refused", "not written", "written", "written wrong", "part", "part wrong")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--logs", type=int, default=1000)
    number = parser.parse_args().logs
    print(f"{'defect':12}" + "".join(f"{what:>15}" for what in WHAT))
    for name, counted in study(number).items():
        print(f"{name:12}" + "".join(f"{counted[what]:15}" for what in WHAT))
    print(f"{'none':12}" + "".join(f"{clean(number // 5)[what]:15}" for what in WHAT))

"""Readings judged day by day against what was agreed: how soon a creep shows, and false signals.

    python -m tests.history.creep_study --series 300

A normal is agreed on after 60 steady readings of deviation 1 (each remembering a share phi of the
one before). Then one reading a day: steady for 250 days, or creeping.
"""

from __future__ import annotations

import argparse
import random
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from io import BytesIO
from statistics import fmean

from limitcheck.history.agreed import agree
from limitcheck.history.baseline import find_baseline
from limitcheck.history.judging import judge
from limitcheck.history.layout import Options
from limitcheck.history.life import find_lives
from limitcheck.history.log import Choice
from tests.history.drift_study import remembering
from tests.profiles_for_tests import with_geometry

AGREED, DAYS = 60, 250
CREEPS = (0.02, 0.05, 0.1, 0.2)  # deviations a day
_START = datetime(2026, 1, 1, 9)
_PROFILE = with_geometry().profile


def rows(values: list[float], first: int = 0) -> bytes:
    """A log of one reading a day around 158 bar."""
    lines = [
        f"{_START + timedelta(days=first + i):%Y-%m-%d %H:%M},{158 + v:.2f}"
        for i, v in enumerate(values)
    ]
    return "\n".join(["time,pressure (bar)", *lines, ""]).encode()


def signal(rng: random.Random, phi: float, creep: float, days: int) -> tuple[bool, int | None]:
    """Whether a normal could be agreed on, and the first day that is not as agreed."""
    values = [(v - 200) / 2 for v in remembering(rng, AGREED + days, phi)]
    found = find_baseline(BytesIO(rows(values[:AGREED])), "a.csv", Options(), Choice(), _PROFILE)
    if not found.steady:
        return False, None
    state = agree(found, _PROFILE, "A", "study", date(2026, 5, 1), None, "0" * 64)
    creeping = [v + creep * (i + 1) for i, v in enumerate(values[AGREED:])]
    log = BytesIO(rows(creeping, AGREED))
    judged, _ = judge(log, "b.csv", Options(), Choice(), _PROFILE, state)
    (phase,) = judged.phases
    outs = [p.line for p in (phase.level_out, phase.scatter_out) if p is not None]
    return True, min(outs) - 1 if outs else None


def study(series: int, phi: float, creep: float, days: int) -> tuple[int, list[int]]:
    """How many series were agreed on, and the days of their first signals."""
    rng = random.Random(f"{phi} {creep}")
    found = [signal(rng, phi, creep, days) for _ in range(series)]
    return sum(agreed for agreed, _ in found), [day for _, day in found if day is not None]


def coverage(series: int, n: int, phi: float) -> tuple[float, float]:
    """Share of series for which a place is named, and of those whose interval holds the true one.

    A column gains 3 deviations over n runs; it is worn 6 deviations above its start.
    """
    rng = random.Random(f"worn {n} {phi}")
    named = held = 0
    for _ in range(series):
        noise = [(v - 200) / 2 for v in remembering(rng, n, phi)]
        values = [v + 3 * i / n for i, v in enumerate(noise)]
        (life,) = find_lives(BytesIO(rows(values)), "a.csv", Options(), Choice(), None, 164.0)
        if life.worn_at is not None:
            named += 1
            true, high = 2 * n + 1, life.worn_at.high
            held += life.worn_at.low <= true and (high is None or true <= high)
    return named / series, held / max(named, 1)


def lines(series: int) -> Iterator[str]:
    """The tables."""
    yield f"{series} series each"
    yield "phi  agreed on   charts of steady days: a signal in"
    for phi in (0.0, 0.5):
        agreed, days = study(series, phi, 0.0, DAYS)
        watched = sum(days) + DAYS * (agreed - len(days))
        yield f"{phi:.1f}  {agreed / series:9.1%}   {watched / max(len(days), 1):10.0f} readings"
    yield "phi  creep, deviations a day   mean days to the signal   signalled"
    for phi in (0.0, 0.5):
        for creep in CREEPS:
            agreed, days = study(series, phi, creep, DAYS)
            yield f"{phi:.1f}  {creep:24.2f}  {fmean(days):23.1f}  {len(days) / agreed:11.1%}"
    yield "readings  phi   injections of a worn column named   interval (95 %) holds the true one"
    for n in (20, 50, 100, 200):
        for phi in (0.0, 0.5):
            named, held = coverage(series, n, phi)
            yield f"{n:8}  {phi:.1f}  {named:34.1%}  {held:35.1%}"


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--series", type=int, default=300)
    for line in lines(parser.parse_args().series):
        print(line, flush=True)

"""Logs for the tests; every number is invented."""

from __future__ import annotations

import io
import random
from collections.abc import Callable
from datetime import date, datetime, timedelta

from limitcheck.documents.baseline import baseline_document
from limitcheck.history.baseline import Baseline, find_baseline
from limitcheck.history.layout import Options
from limitcheck.history.log import Choice
from limitcheck.profile.model import Profile
from limitcheck.render import text as terminal


def baseline(
    text: str | bytes,
    *,
    options: Options | None = None,
    choice: Choice | None = None,
    of: Profile | None = None,
) -> Baseline:
    content = text.encode() if isinstance(text, str) else text
    return find_baseline(
        io.BytesIO(content), "runs.csv", options or Options(), choice or Choice(), of
    )


def told(found: Baseline) -> str:
    """What the command prints."""
    return terminal.render(baseline_document(found, None, date(2026, 5, 1)))


def runs(
    n: int,
    pressure: Callable[[int], float] = lambda i: 0.0,
    *,
    seed: int = 1,
    header: str = "time,pressure (bar)",
    row: Callable[[datetime, float, int], str] = lambda t, p, i: f"{t:%Y-%m-%d %H:%M},{p:.0f}",
) -> str:
    """A log of one run a day at 158 bar with deviation 2, plus `pressure` of the run's index."""
    rng = random.Random(seed)
    start = datetime(2026, 1, 12, 9)
    lines = [
        row(start + timedelta(days=i), 158 + rng.gauss(0, 2) + pressure(i), i) for i in range(n)
    ]
    return "\n".join([header, *lines]) + "\n"

"""Logs for the tests; every number is invented."""

from __future__ import annotations

import io
import random
from collections.abc import Callable
from datetime import datetime, timedelta

from limitcheck.history.baseline import Baseline
from limitcheck.history.normal import Choice

from limitcheck.history.baseline import find_baseline
from limitcheck.history.layout import Options
from limitcheck.profile.load import ProfileFile, load_bytes
from limitcheck.profile.model import Profile

PROFILE = """\
format = 1
[method]
id = "KB-TEA-014"
[instrument]
id = "KB-LC-03"
pressure_unit = "bar"
display_step = 1
[cutoffs]
high = 260
low = 30
[expected]   # from the first month
low = 145
high = 172
[conditions]
flow = "1.0 mL/min"
temperature = "35 degC"
ambient = "21 degC"
solvent_a = "water"
solvent_b = "acetonitrile"
percent_b = 18
[[flow_path]]
part = "pump"
rating = "400 bar"
[[flow_path]]
part = "tubing"
label = "pump to injector"
length = "600 mm"
bore = "0.17 mm"
[[flow_path]]
part = "injector"
rating = "400 bar"
[[flow_path]]
part = "tubing"
label = "injector to column"
length = "350 mm"
bore = "0.17 mm"
[[flow_path]]
part = "column"
length = "150 mm"
bore = "4.6 mm"
particle_size = "3 um"
rating = "400 bar"
[[flow_path]]
part = "tubing"
label = "column to detector"
length = "300 mm"
bore = "0.17 mm"
[[flow_path]]
part = "detector cell"
rating = "60 bar"
"""


def profile_file(text: str = PROFILE) -> ProfileFile:
    return load_bytes(text.encode(), "tea.toml")


def profile(text: str = PROFILE) -> Profile:
    return profile_file(text).profile


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

"""Pressure logs: plausible ones, the same with odd cells, and whatever else has separators."""

from __future__ import annotations

from datetime import datetime, timedelta
from random import Random

from hypothesis import strategies as st

from .strategies import mangled

CELLS = st.one_of(
    st.decimals(0, 6000, places=1).map(str),
    st.sampled_from(
        [
            "",
            "212,4",
            "1.234,5",
            "-3",
            "0",
            "nan",
            "inf",
            "1e400",
            "212 bar",
            "1e-300",
            "n/a",
            '"',
            "KB-TEA-014",
            "2026-03-04 08:00",
            "04/03/2026",
            "31.12.26 7:05",
            "2026-03-04T08:00:00+01:00",
            "bar",
            "psi",
            "=1+1",
            "é",
            "9" * 50,
        ]
    ),
    st.datetimes().map(str),
)
HEADS = st.lists(
    st.sampled_from(
        [
            "time",
            "pressure",
            "pressure [bar]",
            "unit",
            "method",
            "column",
            "phase",
            "Date",
            "Pressure (psi)",
            "",
            "remark",
        ]
    ),
    max_size=6,
)
COLUMNS = st.lists(st.sampled_from(["unit", "method", "column", "phase", "remark"]), unique=True)
ODD = st.tuples(st.integers(0, 200), st.integers(0, 6), CELLS)
"""A row, a cell in it, and what to put there."""


@st.composite
def logs(draw: st.DrawFn) -> bytes:
    """The bytes of a log, three times in four in order but for some cells."""
    comma = draw(st.sampled_from([",", ";", "\t", "|"]))
    end = draw(st.sampled_from(["\n", "\n", "\r\n", "\r"]))
    if draw(st.integers(0, 3)):
        table = _plausible(Random(draw(st.integers())), draw(COLUMNS), draw(st.integers(0, 90)))
        for row, cell, odd in draw(st.lists(ODD, max_size=3)):
            place = table[row % len(table)]
            place[cell % len(place)] = odd
    else:
        table = [draw(HEADS), *draw(st.lists(st.lists(CELLS, max_size=6), max_size=12))]
    text = draw(st.sampled_from(["", "", "\ufeff", "# remark\n"]))
    text += end.join(comma.join(cells) for cells in table)
    codec = draw(st.sampled_from([*["utf-8"] * 8, "utf-16", "latin-1"]))
    content = text.encode(codec, "replace")
    return content if draw(st.integers(0, 3)) else draw(mangled(content))


def _plausible(random: Random, columns: list[str], rows: int) -> list[list[str]]:
    """Header and rows of pressures that wander, step, jump to another unit, or stand still."""
    pressure = random.choice([0.0, 5.0, 180.0, 2600.0])
    spread = random.choice([0.0, 0.001, 0.02, 0.5])
    drift, jump = random.choice([0.0, 0.0, 0.01]), random.choice([1.0, 1.0, 14.5, 0.1])
    time, step = datetime(2026, 3, 2, 8), timedelta(hours=random.choice([0, 1, 9, 500]))
    names = {
        "unit": ["bar", "psi"],
        "method": ["KB-TEA-014", "HM-2"],
        "column": ["S1", "S2"],
        "phase": ["start", "end"],
        "remark": ["", "ok"],
    }
    one = random.random() < 0.7
    table = [["time", "pressure", *columns]]
    for row in range(rows):
        shown = pressure * (1 + drift * row) * random.gauss(1, spread)
        shown *= jump if row > rows * 2 // 3 else 1
        others = [names[column][0 if one else random.randrange(2)] for column in columns]
        table.append([str(time + row * step), f"{abs(shown):.1f}", *others])
    return table

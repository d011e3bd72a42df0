"""Registers of methods for the studies: realistic profiles of `tests.detection` as tables."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from functools import lru_cache
from random import Random
from typing import NamedTuple

from tests.detection.generator import Clean, generate

HEADER = (
    *("Method", "Instrument", "Pressure unit", "High cutoff", "Low cutoff", "Expected low"),
    *("Expected high", "Flow", "Column temperature", "Mobile phase A", "Mobile phase B", "% B"),
    *("Column length", "Column bore", "Particle size", "Inlet frit", "Outlet frit"),
    *("Column rating", "Pump rating"),
)
HIGH, LOW, EXPECTED_LOW, EXPECTED_HIGH = 3, 4, 5, 6
UNIT = 2
_CONDITIONS = ("flow", "temperature", "solvent_a", "solvent_b", "percent_b")
_COLUMN = ("length", "bore", "particle_size", "inlet_frit", "outlet_frit", "rating")


class Register(NamedTuple):
    """A table, and the profile that each of its rows was made from."""

    rows: list[list[str]]
    made_from: list[Clean]


_POOL, _FEWEST = 3000, 8
"""Profiles that registers draw from, and how many an instrument of a register has at least."""


@lru_cache(maxsize=2)
def pool(seed: int) -> tuple[list[tuple[str, str]], dict[tuple[str, str], list[Clean]]]:
    """Clean profiles by what their instrument shows and its pump holds; those with many first."""
    found: dict[tuple[str, str], list[Clean]] = {}
    for index in range(_POOL):
        clean = generate(seed, index)
        path = clean.document["flow_path"]
        if sum(part["part"] == "column" for part in path) == 1:
            key = (clean.document["instrument"]["pressure_unit"], path[0].get("rating", ""))
            found.setdefault(key, []).append(clean)
    many = [key for key, members in found.items() if len(members) >= _FEWEST]
    return sorted(many), found


def register(seed: int, size: int, rng: Random) -> Register:
    """A clean table of methods on a few instruments: what shows one unit and has one rating."""
    many, found = pool(seed)
    instruments = rng.sample(many, min(len(many), max(1, size // 10)))
    made_from = []
    rows = []
    for number in range(size):
        at = number * len(instruments) // size
        clean = rng.choice(found[instruments[at]])
        rows.append(row_of(clean, f"KB-{number:05d}", f"KB-LC-{at + 1:02d}"))
        made_from.append(clean)
    return Register(rows, made_from)


def row_of(clean: Clean, method: str, instrument: str) -> list[str]:
    """A profile as the cells of its row."""
    document = clean.document
    column = next(part for part in document["flow_path"] if part["part"] == "column")
    cutoffs, band = document["cutoffs"], document.get("expected", {})
    conditions = document.get("conditions", {})
    cells = [
        *(method, instrument, document["instrument"]["pressure_unit"]),
        *(cutoffs.get("high", ""), cutoffs.get("low", "")),
        *(band.get("low", ""), band.get("high", "")),
        *(conditions.get(key, "") for key in _CONDITIONS),
        *(column.get(key, "") for key in _COLUMN),
        document["flow_path"][0].get("rating", ""),
    ]
    return [str(cell) for cell in cells]


def bare(rows: Sequence[Sequence[str]]) -> tuple[tuple[str, ...], list[list[str]]]:
    """Header and rows without the column that says the unit."""
    left = [[cell for at, cell in enumerate(row) if at != UNIT] for row in rows]
    return tuple(name for at, name in enumerate(HEADER) if at != UNIT), left


def as_csv(header: Sequence[str], rows: Sequence[Sequence[str]]) -> bytes:
    """The table as the bytes of a CSV."""
    out = io.StringIO()
    csv.writer(out).writerows([header, *rows])
    return out.getvalue().encode()

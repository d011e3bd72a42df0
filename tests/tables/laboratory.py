"""Registers of whole laboratories, with the habits by which their people set cutoffs.

A laboratory has two habits for high cutoffs, two for low ones, and methods whose low cutoff is off
or left empty. Everything here is drawn from what people do (common practice, no source), and
nothing from what the import looks for. `Laboratory.could_be` says of a wrong number whether these
habits could have given it for that row: then nobody can tell it from a right one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise
from random import Random
from typing import NamedTuple

from limitcheck.profile.hardware import under_pressure
from limitcheck.profile.model import validate_profile
from limitcheck.units import Pressure
from tests.detection.generator import Clean
from tests.detection.order import in_order
from tests.detection.tidy import in_unit, number

from .registers import EXPECTED_HIGH, EXPECTED_LOW, HIGH, LOW, pool, row_of

_GRIDS = {
    "bar": ("1", "5", "10"),
    "psi": ("10", "50", "100"),
    "MPa": ("0.1", "0.5", "1"),
    "kPa": ("100", "500", "1000"),
}
_KNOWN_TO = 2.0
"""A band that its column and flow speak for is known to this factor."""
_LISTED = ("pump", "column")
"""The parts whose rating stands in a register, as it stands on their plates."""
_FLATTEST_BAND = 0.2
"""Lowest over highest pressure of a gradient, at least."""


class Habit(NamedTuple):
    """How a cutoff is set: a share of a pressure of the row, or a fixed one of the instrument."""

    of: str
    """"band", "rating" or "fixed"."""
    least: float
    most: float
    """Between what shares; of fixed ones: pressures in bar."""
    coarse: int
    """Which grid of the unit it is rounded to."""


@dataclass(slots=True)
class Laboratory:
    """A table, what each of its rows was made from, and its people's habits."""

    highs: list[Habit]
    lows: list[Habit]
    rows: list[list[str]] = field(default_factory=list)
    made_from: list[Clean] = field(default_factory=list)

    def could_be(self, row: int, cells: list[str], by_hand: bool = False) -> bool:
        """Whether these cells could be a right row: in order, set by the laboratory's habits, and
        with a pressure that the column may make; `by_hand`: or with a margin that somebody chose.
        """
        clean = self.made_from[row]
        unit = clean.document["instrument"]["pressure_unit"]
        band = [_number(cells[at], unit) for at in (EXPECTED_LOW, EXPECTED_HIGH)]
        right = [_number(self.rows[row][at], unit) for at in (EXPECTED_LOW, EXPECTED_HIGH)]
        high, low = _number(cells[HIGH], unit), _number(cells[LOW], unit)
        weakest = _weakest(clean)
        rising = [x for x in (low, *band, high, weakest and 1.005 * weakest) if x]
        if any(a > b for a, b in pairwise(rising)):
            return False
        if band[0] and band[1] and right[0] and right[1]:
            known = bool(self.rows[row][7]) and bool(self.rows[row][12])
            if known and not 1 / _KNOWN_TO <= band[1] / right[1] <= _KNOWN_TO:
                return False
            if band[0] < _FLATTEST_BAND * band[1]:
                return False
        bases = {"band": band[1], "rating": weakest}
        if high and not any(
            _gives(habit, high, bases, unit) for habit in [*self.highs, *_HAND[:1] * by_hand]
        ):
            return False
        bases = {"band": band[0], "rating": 0.0}
        return not low or any(
            _gives(habit, low, bases, unit) for habit in [*self.lows, *_HAND[1:] * by_hand]
        )


def _number(cell: str, unit: str) -> float:
    """The pressure of a cell in a unit, which is that of a bare number; 0 for an empty cell."""
    number, _, own = cell.partition(" ")
    return float(Pressure.of(number, own or unit).to(unit)) if cell else 0.0


def _weakest(clean: Clean) -> float:
    """The weakest rating from pump to column, in the instrument's unit; 0: none given."""
    unit = clean.document["instrument"]["pressure_unit"]
    ratings = (float(part.pressure.to(unit)) for part in under_pressure(clean.profile))
    return min(ratings, default=0.0)


def _grid(habit: Habit, value: float, unit: str) -> Fraction:
    """The grid that a number is rounded to: finer for a small number."""
    grids = [Fraction(text) for text in _GRIDS[unit][: habit.coarse + 1]]
    return next((grid for grid in reversed(grids) if 8 * grid <= value), grids[0])


def _gives(habit: Habit, value: float, bases: Mapping[str, float], unit: str) -> bool:
    if habit.of == "fixed":
        fixed = float(in_unit(habit.least, unit))
        return abs(value - fixed) <= float(_grid(habit, fixed, unit)) / 2 + 1e-9
    base = bases[habit.of]
    if not base:
        return habit.of == "band"  # it was set by a pressure that stands elsewhere
    slack = float(_grid(habit, habit.least * base, unit))
    return habit.least * base - slack <= value <= habit.most * base + slack


_HAND = (Habit("band", 1.1, 1.9, 1), Habit("band", 0.25, 0.8, 1))
"""High and low cutoffs that somebody sets method by method."""


def _habits(rng: Random) -> tuple[list[Habit], list[Habit]]:
    coarse = rng.choice((0, 1, 1, 2))
    margin = rng.choice((1.1, 1.15, 1.2, 1.25, 1.3, 1.5))
    share = rng.choice((0.3, 0.4, 0.5, 0.5, 0.6, 0.7, 0.8))
    fixed = rng.choice((5, 5, 10, 10, 15, 20, 30))
    rated = rng.choice((0.8, 0.85, 0.9, 0.95, 1.0))
    highs = [
        Habit("band", margin, margin, coarse),
        Habit("rating", rated, rated, coarse),
        _HAND[0]._replace(coarse=coarse),
    ]
    lows = [
        Habit("band", share, share, coarse),
        Habit("fixed", fixed, fixed, 0),
        _HAND[1]._replace(coarse=coarse),
    ]
    return rng.sample(highs, 2), rng.sample(lows, 2)


def laboratory(seed: int, size: int, rng: Random) -> Laboratory:
    """A clean table of a laboratory's methods; its instruments show different units."""
    many, found = pool(seed)
    keys = [key for key in many if key[0] in _GRIDS]
    number_of = max(1, min(len(keys), size // rng.choice((8, 15, 25, 40))))
    instruments = rng.sample(keys, number_of)
    made = Laboratory(*_habits(rng))
    main = [rng.uniform(0.5, 0.95) for _ in range(2)]
    off = rng.choice((0.0, 0.03, 0.1, 0.2))
    while len(made.rows) < size:
        row = len(made.rows)
        at = row * number_of // size
        clean = _as_listed(rng.choice(found[instruments[at]]))
        high = made.highs[rng.random() > main[0]]
        low = made.lows[rng.random() > main[1]]
        none = rng.random() < off
        again = _set(clean, high, None if none else low, rng)
        if again is not None:
            made.made_from.append(again)
            made.rows.append(row_of(again, f"KB-{row:05d}", f"KB-LC-{at + 1:02d}"))
    return made


_AS_LISTED: dict[int, Clean] = {}


def _as_listed(clean: Clean) -> Clean:
    """The same method with the ratings that stand in a register."""
    if clean.index not in _AS_LISTED:
        path = [
            {k: v for k, v in part.items() if not k.startswith("rating_")}
            | ({} if part["part"] in _LISTED else {"rating": None})
            for part in clean.document["flow_path"]
        ]
        path = [{k: v for k, v in part.items() if v is not None} for part in path]
        document = clean.document | {"flow_path": path}
        _AS_LISTED[clean.index] = Clean(
            clean.index, document, validate_profile(document), clean.tags
        )
    return _AS_LISTED[clean.index]


def _set(clean: Clean, high: Habit, low: Habit | None, rng: Random) -> Clean | None:
    """The same method with its cutoffs set by these habits; None where they give none."""
    unit = clean.document["instrument"]["pressure_unit"]
    band, weakest = clean.profile.expected, _weakest(clean)
    top = float(band.high.to(unit)) if band else 0.0
    bottom = float(band.low.to(unit)) if band else 0.0
    cutoffs = {}
    value = _made(high, {"band": top, "rating": weakest}, unit, rng)
    if value is None or (top and value < Fraction(1.04 * top)):
        return None
    cutoffs["high"] = number(value)
    if low is None:
        cutoffs |= rng.choice(({}, {"low": 0}))
    else:
        value = _made(low, {"band": bottom or 0.4 * weakest, "rating": 0.0}, unit, rng)
        if value is None or (bottom and value > Fraction(0.9 * bottom)):
            return None
        cutoffs["low"] = number(value)
    document = clean.document | {"cutoffs": cutoffs}
    profile = validate_profile(document)
    return Clean(clean.index, document, profile, clean.tags) if in_order(profile) else None


def _made(habit: Habit, bases: Mapping[str, float], unit: str, rng: Random) -> Fraction | None:
    if habit.of == "fixed":
        value = float(in_unit(habit.least, unit))
    else:
        value = bases[habit.of] * rng.uniform(habit.least, habit.most)
    if not value:
        return None
    grid = _grid(habit, value, unit)
    return round(Fraction(value) / grid) * grid or None

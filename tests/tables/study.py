"""How often a slip in a table is found, and how often a clean table raises a false question.

    python -m tests.tables.study --tables 1000 --slips 200

Tables of realistic profiles (`tests.detection`): their units in a column, or bare. A slip is one
cell typed in another unit, ten times, or a tenth; it is found where a question names its cell.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from random import Random

from limitcheck.tables.grid import grid_of
from limitcheck.tables.importing import Import, import_grid
from limitcheck.tables.questions import Question
from limitcheck.units import Pressure, plain_or_rounded, round_down

from .registers import (
    EXPECTED_HIGH,
    EXPECTED_LOW,
    HEADER,
    HIGH,
    LOW,
    UNIT,
    Register,
    as_csv,
    bare,
    register,
)

FIELDS = {
    "high cutoff": HIGH,
    "low cutoff": LOW,
    "expected low": EXPECTED_LOW,
    "expected high": EXPECTED_HIGH,
}
KINDS = ("another unit", "ten times", "a tenth")
_UNITS = {"bar": ("psi", "MPa"), "psi": ("bar", "MPa"), "MPa": ("bar", "psi")}
"""By the unit shown: those that people copy from. Rarer ones are left alone."""


def imported(content: bytes) -> Import:
    """The table as the command imports it."""
    return import_grid(grid_of(content, "register.csv"))


def clean_tables(seed: int, number: int, size: int) -> Iterator[tuple[str, list[Question], int]]:
    """Each clean table: with its unit in a column, and bare; its questions, rows not written."""
    for table in range(number):
        made = register(seed, size, Random(f"{seed}:{table}"))
        found = imported(as_csv(HEADER, made.rows))
        yield "unit in a column", list(found.questions), found.waiting
        found = imported(as_csv(*bare(made.rows)))
        yield "bare", list(found.questions), found.waiting


def wrong(made: Register, row: int, column: int, kind: str, rng: Random) -> str | None:
    """The text of a wrong cell; None where this kind of slip cannot be made there."""
    text, unit = made.rows[row][column], made.rows[row][UNIT]
    if not text or " " in text or unit not in _UNITS or float(text) == 0:
        return None
    if kind == "ten times":
        return plain_or_rounded(Pressure.of(text, "bar").to("bar") * 10)
    if kind == "a tenth":
        return plain_or_rounded(Pressure.of(text, "bar").to("bar") / 10)
    other = rng.choice(_UNITS[unit])
    step = {"bar": 1, "psi": 10}.get(other)
    number = Pressure.of(text, unit).to(other)
    if step is None or number < 5 * step:
        return plain_or_rounded(round_down(number, Fraction(1, 10))) if number >= 1 else None
    return plain_or_rounded(round_down(number, Fraction(step)))


def slips(seed: int, number: int, size: int) -> Iterator[tuple[str, str, bool, bool]]:
    """Slips, each alone in a table of `size` rows: field, kind, whether found, and written."""
    rng = Random(f"{seed}:slips")
    made = register(seed, size, Random(f"{seed}:table of slips"))
    wanted = [(name, kind) for name in FIELDS for kind in KINDS]
    for turn in range(number):
        name, kind = wanted[turn % len(wanted)]
        for _ in range(1000):
            row = rng.randrange(size)
            text = wrong(made, row, FIELDS[name], kind, rng)
            if text is not None:
                break
        else:
            continue
        rows = [list(cells) for cells in made.rows]
        rows[row][FIELDS[name]] = text
        found = imported(as_csv(HEADER, rows))
        cell = f"{chr(65 + FIELDS[name])}{row + 2}"
        asked = any(question.cell == cell for question in found.questions)
        written = any(planned.record.row == row + 1 for planned in found.ready)
        yield name, kind, asked, written


def main() -> None:
    """Run and print."""
    options = argparse.ArgumentParser(prog="python -m tests.tables.study", description=__doc__)
    options.add_argument("--tables", type=int, default=100, help="clean tables (default 100)")
    options.add_argument("--rows", type=int, default=20, help="of a clean table (default 20)")
    options.add_argument("--slips", type=int, default=120, help="slips (default 120)")
    options.add_argument("--size", type=int, default=200, help="rows around a slip (default 200)")
    options.add_argument("--seed", type=int, default=1, help="of the generator (default 1)")
    given = options.parse_args()
    tables: Counter[str] = Counter()
    cells: Counter[str] = Counter()
    units: Counter[str] = Counter()
    for style, questions, _ in clean_tables(given.seed, given.tables, given.rows):
        tables[style] += 1
        doubted = [question for question in questions if question.about == "cell"]
        cells[style] += bool(doubted)
        units[style] += sum(question.about == "unit" for question in questions)
        for question in doubted:
            print(f"  false, {style}: {question.cell} {question.text} {question.meant}")
    for style, number in tables.items():
        print(
            f"clean tables of {given.rows} rows, {style}: {number}; with a false question on a "
            f"cell: {cells[style]}; instruments whose unit is asked: {units[style]}"
        )
    seen: Counter[tuple[str, str]] = Counter()
    asked: Counter[tuple[str, str]] = Counter()
    written: Counter[tuple[str, str]] = Counter()
    for name, kind, found, got_through in slips(given.seed, given.slips, given.size):
        seen[name, kind] += 1
        asked[name, kind] += found
        written[name, kind] += got_through
    print(f"slips in a column of {given.size}: found by their cell, and written all the same")
    for key, number in sorted(seen.items()):
        print(f"  {key[0]:14} {key[1]:14} {asked[key]:4} of {number:4}, written {written[key]:4}")


if __name__ == "__main__":
    main()

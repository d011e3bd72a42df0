"""How often a slip in a table is found, and how often a clean table raises a false question.

    python -m tests.tables.study --tables 1000 --slips 240

Tables are those of whole laboratories (`laboratory`): their units in a column, or bare. A slip
(`slips`) is found where a question names its cell. A number that the laboratory's own habits could
have given for that row is told apart: whoever reads the table cannot know that another was meant.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from random import Random
from time import perf_counter
from typing import NamedTuple

from limitcheck.tables.grid import grid_of
from limitcheck.tables.importing import Import, import_grid

from .laboratory import laboratory
from .registers import HEADER, as_csv, bare, pool
from .slips import KINDS, slip

_SIZES = (8, 12, 20, 20, 30, 40, 60, 120)
"""Rows of clean tables: with few, and with enough that a laboratory's habits are looked for."""
_PER_LABORATORY = 6
"""Slips that one laboratory is tried with, each alone."""


class Seen(NamedTuple):
    """A slip, and what became of it."""

    field: str
    kind: str
    could_be: str
    """Whose habits could have given it: "laboratory", "by hand", or none."""
    asked: bool
    written: bool
    told: str


def imported(content: bytes) -> Import:
    """The table as the command imports it."""
    return import_grid(grid_of(content, "register.csv"))


def clean_table(seed: int, size: int, name: str) -> Iterator[tuple[str, list[str], int]]:
    """A clean table, with its unit in a column and bare: questions on cells, units asked."""
    made = laboratory(seed, size, Random(f"{seed}:{name}"))
    for style, content in (
        ("unit in a column", as_csv(HEADER, made.rows)),
        ("bare", as_csv(*bare(made.rows))),
    ):
        found = imported(content)
        told = [f"{q.cell} {q.text} {q.meant}" for q in found.questions if q.about == "cell"]
        yield style, told, sum(q.about == "unit" for q in found.questions)


def clean_tables(seed: int, first: int, number: int) -> list[tuple[str, list[str], int]]:
    """Several clean tables, of sizes in turn."""
    return [
        answer
        for table in range(first, first + number)
        for answer in clean_table(seed, _SIZES[table % len(_SIZES)], str(table))
    ]


def slips(seed: int, first: int, number: int, size: int) -> list[Seen]:
    """Slips, each alone in the table of one laboratory."""
    rng = Random(f"{seed}:slips:{first}")
    made = laboratory(seed, size, rng)
    seen = []
    for turn in range(first, first + number):
        name, kind = KINDS[turn % len(KINDS)]
        tried = ((row, slip(made, row, name, kind, rng)) for row in _rows(rng, size))
        row, changed = next(((row, cells) for row, cells in tried if cells), (0, None))
        if changed is None:
            continue
        rows = [list(cells) for cells in made.rows]
        for column, text in changed.items():
            rows[row][column] = text
        found = imported(as_csv(HEADER, rows))
        cells = {f"{chr(65 + column)}{row + 2}" for column in changed}
        told = ", ".join(f"{made.rows[row][c]} -> {text}" for c, text in changed.items())
        could_be = ""
        if kind != "unit of another instrument":
            could_be = "by hand" if made.could_be(row, rows[row], by_hand=True) else ""
            could_be = "laboratory" if made.could_be(row, rows[row]) else could_be
        asked = any(question.cell in cells for question in found.questions)
        written = any(planned.record.row == row + 1 for planned in found.ready)
        told = f"{told} in {rows[row][2:7]}; {made.highs} {made.lows}"
        seen.append(Seen(name, kind, could_be, asked, written, told))
    return seen


def _rows(rng: Random, size: int) -> Iterator[int]:
    for _ in range(300):
        yield rng.randrange(size)


def main() -> None:
    """Run and print."""
    options = argparse.ArgumentParser(prog="python -m tests.tables.study", description=__doc__)
    options.add_argument("--tables", type=int, default=100, help="clean tables (default 100)")
    options.add_argument("--slips", type=int, default=120, help="slips (default 120)")
    options.add_argument("--size", type=int, default=200, help="rows around a slip (default 200)")
    options.add_argument("--seed", type=int, default=1, help="of the generator (default 1)")
    options.add_argument("--missed", action="store_true", help="print each slip that is missed")
    given = options.parse_args()
    start = perf_counter()
    pool(given.seed)  # made once, before the processes divide
    with ProcessPoolExecutor(2, mp_context=get_context("fork")) as workers:
        tables = [
            workers.submit(clean_tables, given.seed, at, min(10, given.tables - at))
            for at in range(0, given.tables, 10)
        ]
        tried = [
            workers.submit(
                slips, given.seed, at, min(_PER_LABORATORY, given.slips - at), given.size
            )
            for at in range(0, given.slips, _PER_LABORATORY)
        ]
        print_tables([answer for one in tables for answer in one.result()])
        print_slips([seen for one in tried for seen in one.result()], given.size, given.missed)
    print(f"{perf_counter() - start:.0f} s")


def print_tables(answers: list[tuple[str, list[str], int]]) -> None:
    """What clean tables were asked."""
    for style in ("unit in a column", "bare"):
        of = [(told, units) for name, told, units in answers if name == style]
        for told, _ in of:
            for text in told:
                print(f"  false, {style}: {text}")
        print(
            f"clean tables, {style}: {len(of)}; with a false question on a cell: "
            f"{sum(bool(told) for told, _ in of)}; instruments whose unit is asked: "
            f"{sum(units for _, units in of)}"
        )


def print_slips(seen: list[Seen], size: int, missed: bool) -> None:
    """What became of slips, by field and kind."""
    print(
        f"slips, each in a table of {size} rows. Found: a question names the cell. Of the others: "
        "the number\nis one that the laboratory's own habits give for that row; one that people "
        "choose who set margins\nby hand; missed. Share found: without the first, and without "
        "the first two"
    )
    rows: dict[tuple[str, str], Counter[str]] = {}
    for one in seen:
        for key in ((one.field, one.kind), ("all", "fields"), ("all", one.kind), (one.field, "")):
            counted = rows.setdefault(key, Counter())
            counted["made"] += 1
            counted["found"] += one.asked
            counted[one.could_be or "missed"] += not one.asked
            counted["written"] += one.written and not one.could_be
        if missed and not one.asked:
            could = f" (could be {one.could_be})" if one.could_be else ""
            print(f"  missed{could}: {one.field}, {one.kind}: {one.told}")
    print(f"  {'':42}  made  found  own  by hand  missed  written")
    for (field, kind), n in sorted(rows.items(), key=lambda item: (item[0][0] == "all", item)):
        shares = [
            f"{100 * n['found'] / told:.0f} %" if (told := n["found"] + others) else "-"
            for others in (n["by hand"] + n["missed"], n["missed"])
        ]
        print(
            f"  {field:14}{kind:28} {n['made']:5} {n['found']:6} {n['laboratory']:4} "
            f"{n['by hand']:8} {n['missed']:7} {n['written']:8}  {shares[0]:>5} {shares[1]:>5}"
        )


if __name__ == "__main__":
    main()

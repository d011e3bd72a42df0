"""The time and memory of an import beside reading the same table, in one run.

    python -m tests.tables.speed --rows 5000

Reading is what the libraries do alone: `csv` for a CSV, python-calamine for a workbook.
"""

from __future__ import annotations

import argparse
import csv
import io
import tracemalloc
from collections.abc import Callable
from random import Random
from time import perf_counter

import python_calamine

from limitcheck.tables.grid import grid_of
from limitcheck.tables.importing import import_grid

from .registers import HEADER, as_csv, register
from .workbooks import workbook


def seconds(work: Callable[[], object]) -> float:
    """The time of one run [s]."""
    start = perf_counter()
    work()
    return perf_counter() - start


def main() -> None:
    """Run and print."""
    options = argparse.ArgumentParser(prog="python -m tests.tables.speed", description=__doc__)
    options.add_argument("--rows", type=int, default=5000, help="of the table (default 5000)")
    given = options.parse_args()
    made = register(1, given.rows, Random("speed"))
    text = as_csv(HEADER, made.rows)
    book = workbook({"Methods": [HEADER, *made.rows]})

    def read_csv() -> object:
        return list(csv.reader(io.StringIO(text.decode())))

    def read_book() -> object:
        sheet = python_calamine.load_workbook(io.BytesIO(book)).get_sheet_by_index(0)
        return sheet.to_python(skip_empty_area=False)

    for name, content, read in (("CSV", text, read_csv), ("workbook", book, read_book)):
        reading = min(seconds(read) for _ in range(3))
        cells = seconds(lambda content=content: grid_of(content, "t"))  # type: ignore[misc]
        grid = grid_of(content, "t")
        whole = seconds(lambda grid=grid: import_grid(grid))  # type: ignore[misc]
        print(
            f"{name}, {given.rows} rows: read by the library {reading:.3f} s, as cells "
            f"{cells:.3f} s ({cells / reading:.1f} x), imported {whole:.2f} s "
            f"({whole / reading:.0f} x; {1000 * whole / given.rows:.2f} ms a row)"
        )
    for rows in (given.rows // 4, given.rows // 2):
        grid = grid_of(as_csv(HEADER, made.rows[:rows]), "t")
        tracemalloc.start()
        import_grid(grid)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        print(f"memory of an import of {rows} rows: {peak / rows / 1024:.1f} KiB a row at most")


if __name__ == "__main__":
    main()

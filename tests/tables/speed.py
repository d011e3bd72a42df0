"""The time and memory of an import beside reading the same table, in one run.

    python -m tests.tables.speed --rows 5000

Reading is what the libraries do alone: `csv` for a CSV, python-calamine for a workbook. The dry run
makes and judges every profile; `--write` puts them in files too, each read again before it gets its
name. The floor is what no table is needed for: each profile validated, its pressure predicted, its
numbers judged, with what rows share done once.
"""

from __future__ import annotations

import argparse
import csv
import io
import tracemalloc
from collections.abc import Callable
from random import Random
from tempfile import TemporaryDirectory
from time import process_time

import python_calamine

from limitcheck.meant import judge
from limitcheck.tables.grid import grid_of
from limitcheck.tables.importing import Import, import_grid
from limitcheck.tables.remembered import Remembered
from limitcheck.tables.written import write_files

from .registers import HEADER, as_csv, register
from .workbooks import workbook


def seconds(work: Callable[[], object]) -> float:
    """The processor time of one run [s]."""
    start = process_time()
    work()
    return process_time() - start


def judged_alone(found: Import) -> None:
    """What an import does with its profiles, without the table."""
    remembered = Remembered()
    for planned in found.ready:
        judge(remembered.evidence(remembered.pieces.profile(planned.whole)))


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
        start = process_time()
        found = import_grid(grid_of(content, "t"))
        dry = process_time() - start
        with TemporaryDirectory() as folder:
            start = process_time()
            write_files(f"{folder}/out", dict(found.profiles()), dict(found.shared()))
            write = process_time() - start
        floor = seconds(lambda found=found: judged_alone(found))  # type: ignore[misc]
        print(f"{name}, {given.rows} rows: read by the library {reading:.3f} s")
        for what, took in (
            ("dry run", dry),
            ("with --write", dry + write),
            ("floor: profiles validated, predicted, judged", floor),
        ):
            each = 1000 * took / given.rows
            print(f"  {what}: {took:.2f} s, {took / reading:.0f} x reading; {each:.2f} ms a row")
    for rows in (given.rows // 4, given.rows // 2):
        grid = grid_of(as_csv(HEADER, made.rows[:rows]), "t")
        tracemalloc.start()
        import_grid(grid)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        print(f"memory of an import of {rows} rows: {peak / rows / 1024:.1f} KiB a row at most")


if __name__ == "__main__":
    main()

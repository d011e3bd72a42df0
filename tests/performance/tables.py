"""The cost of checking a table beside checking the profiles that an import writes, in one run.

    python -m tests.performance.tables --rows 300

Ratios of processor time; both in one process, fastest of three, taken in turn.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

from limitcheck.tables.grid import grid_of
from limitcheck.tables.importing import import_grid
from limitcheck.tables.written import write_files
from tests.tables.registers import HEADER, as_csv, register
from tests.tables.workbooks import Book, workbook

from .timing import best_of_each


def main() -> None:
    """Run and print."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--rows", type=int, default=300, help="of the table (default 300)")
    given = options.parse_args()
    made = register(1, given.rows, Random("check"))
    text = as_csv(HEADER, made.rows)
    with TemporaryDirectory() as name:
        folder, tables = Path(name, "profiles"), (Path(name, "r.csv"), Path(name, "r.xlsx"))
        tables[0].write_bytes(text)
        tables[1].write_bytes(workbook({"Methods": Book([list(HEADER), *made.rows])}))
        found = import_grid(grid_of(text, "r.csv"))
        write_files(str(folder), dict(found.profiles()), dict(found.shared()))
        check = ["-m", "limitcheck", "check", "--jobs", "1", "--format", "json"]
        profiles, *others = best_of_each([[*check, str(path)] for path in (folder, *tables)], 3)
        print(f"{len(found.ready)} profiles: {profiles.processor:.2f} s")
        for path, measured in zip(tables, others, strict=True):
            ratio = measured.processor / profiles.processor
            print(f"{path.suffix}: {ratio:.2f} times as long, {measured.megabytes:.0f} MB")


if __name__ == "__main__":
    main()

"""10,000 profiles: time against parse + validate of the same files in the same run, memory.

python -m tests.performance.scale [FILES]
"""

from __future__ import annotations

import compileall
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

import limitcheck

from .repository import write_repository
from .timing import best_of_each, run_python

BUDGET = 2.5
"""Check with two worker processes over parse + validate in one process."""
FLEET_BUDGET = 1.3
"""Processor time of the fleet, as text and as CSV, over that of the check of the same files."""
MEMORY_BUDGET = 1.25
"""Peak memory over the peak with a tenth of the files."""
ROUNDS = 3


def measure(count: int) -> bool:
    """Print the figures of a run over `count` profiles; whether they keep to the budgets."""
    compileall.compile_dir(Path(limitcheck.__file__).parent, quiet=1)
    with TemporaryDirectory() as folder:
        large, small = f"{folder}/large", f"{folder}/small"
        write_repository(Path(large), count)
        write_repository(Path(small), count // 10)
        check = ["-m", "limitcheck", "check", "--jobs"]
        fleet = ["-m", "limitcheck", "fleet", "--jobs", "2", large]
        yardstick, two, one, table, csv = best_of_each(
            [
                ["-m", "tests.performance.parse_and_validate", large],
                [*check, "2", large],
                [*check, "1", large],
                fleet,
                [*fleet, "--format", "csv"],
            ],
            ROUNDS,
        )
        tenth = run_python([*check, "2", small])
        ratio, growth = two.seconds / yardstick.seconds, two.megabytes / tenth.megabytes
        print(f"{count} profiles, best of {ROUNDS} runs in turn      wall   processors")
        for name, run in (
            ("parse + validate, one process", yardstick),
            ("check, two worker processes", two),
            ("check, one process", one),
            ("fleet, two worker processes", table),
            ("the same as CSV", csv),
        ):
            print(f"  {name:32} {run.seconds:8.2f} s {run.processor:8.2f} s")
        print(f"  two processes over parse + validate {ratio:5.2f}    (budget {BUDGET})")
        tables = max(table.processor, csv.processor) / two.processor
        print(f"  fleet over check                   {tables:5.2f}    (budget {FLEET_BUDGET})")
        print(f"  peak memory of the largest process {two.megabytes:6.1f} MB")
        print(f"  the same with {count // 10:6} profiles      {tenth.megabytes:6.1f} MB")
        print(f"  growth of memory                   {growth:6.2f}    (budget {MEMORY_BUDGET})")
        print(f"Stages over {count // 10} of them, CPU time in one process, share of the check")
        stages = [sys.executable, "-m", "tests.performance.stages", small]
        print(subprocess.run(stages, check=True, capture_output=True, text=True).stdout, end="")
    return ratio <= BUDGET and growth <= MEMORY_BUDGET and tables <= FLEET_BUDGET


if __name__ == "__main__":
    sys.exit(0 if measure(int(sys.argv[1]) if sys.argv[1:] else 10_000) else 1)

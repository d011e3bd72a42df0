"""One check: its time against a bare typer, pydantic and toml-rs program, and other starts.

python -m tests.performance.start
"""

from __future__ import annotations

import compileall
import sys
from pathlib import Path

import limitcheck

from .timing import best_of_each

BUDGET = 1.10
"""One clean profile over the bare program that reads and validates the same file."""
ROUNDS = 15
_ROOT = Path(__file__).parents[2]
PROFILE = str(_ROOT / "profiles" / "conventional-400-bar.toml")
CHECK = ["-m", "limitcheck", "check", PROFILE]
BARE = ["-m", "tests.performance.bare", PROFILE]
OTHERS = {
    "limitcheck --version": ["-m", "limitcheck", "--version"],
    "limitcheck --help": ["-m", "limitcheck", "--help"],
    "limitcheck convert": ["-m", "limitcheck", "convert", "6000 psi", "--to", "bar"],
    "python alone": ["-c", "pass"],
}


def measure() -> bool:
    """Print the figures; whether the budget is kept. Processor time, so that load is no matter."""
    # Not the compiler: an environment may keep Python from writing bytecode.
    for folder in (Path(limitcheck.__file__).parent, Path(__file__).parent):
        compileall.compile_dir(folder, quiet=1)
    bare, check, *others = best_of_each([BARE, CHECK, *OTHERS.values()], ROUNDS)
    ratio = check.processor / bare.processor
    print(f"Starts, best of {ROUNDS} runs in turn              wall   processors")
    names = ("bare typer + pydantic + toml-rs", "limitcheck check, one profile", *OTHERS)
    for name, run in zip(names, (bare, check, *others), strict=True):
        print(f"  {name:32} {run.seconds * 1e3:7.1f} ms {run.processor * 1e3:7.1f} ms")
    print(f"  check over bare                     {ratio:5.2f}    (budget {BUDGET})")
    return ratio <= BUDGET


if __name__ == "__main__":
    sys.exit(0 if measure() else 1)

"""Bad files: the time for one with very much wrong against one with little, in the same run.

python -m tests.performance.hostile
"""

from __future__ import annotations

import io
import sys
from collections.abc import Callable, Iterable
from contextlib import redirect_stderr, redirect_stdout
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter

from limitcheck.cli.app import run
from limitcheck.history.columns import name_and_unit
from tests.profiles_for_tests import TEXT

from .timing import Measured, best_of_each

BUDGET = 10
"""A file with 60,000 faults over one with 10, by the command."""
LINEAR = 16
"""What takes 8 times as much text may take this many times as long."""
NAMES = {
    "spaces": " ",
    "opening brackets": "(",
    "closing brackets": ")",
    "pairs of brackets": "()",
    "commas": ",",
    "' in '": " in ",
    "'_bar'": "_bar",
    "dots": ".",
    "quotation marks": '"',
    "digits": "9",
}


def _unknown_keys(count: int) -> str:
    return TEXT.replace("[method]\n", "[method]\n" + "".join(f"k{i} = 1\n" for i in range(count)))


def _twice(count: int) -> str:
    return TEXT.replace("[method]\n", "[method]\n" + "k = 1\n" * count)


def _parts(count: int) -> str:
    return TEXT + "[[flow_path]]\n" * count


FILES: dict[str, Callable[[int], str]] = {
    "unknown keys": _unknown_keys,
    "one key again and again": _twice,
    "parts without a name": _parts,
}


def measure() -> bool:
    """Print the ratios; whether they keep to the budgets."""
    with TemporaryDirectory() as folder:
        kept = [_files(Path(folder)), _logs(Path(folder)), _names()]
    return all(kept)


def _files(folder: Path) -> bool:
    commands = []
    for at, make in enumerate(FILES.values()):
        for count in (10, 60_000):
            path = folder / f"{at}-{count}.toml"
            path.write_text(make(count), "utf-8")
            check = f"from limitcheck.cli.app import run; run(['check', {str(path)!r}])"
            commands.append(["-c", check])
    runs = best_of_each(commands, 3)
    print("60,000 faults over 10 in a file, the whole command")
    return _kept(FILES, [many.processor / few.processor for few, many in _pairs(runs)], BUDGET)


def _logs(folder: Path) -> bool:
    """The header of a log, as long as a line may be, against an eighth of it."""
    ratios = []
    for text in NAMES.values():
        times = []
        for size in (8_000, 64_000):
            path = folder / "log.csv"
            path.write_text(f"time,pressure {text * (size // len(text))}x\n", "utf-8")
            times.append(_best(partial(_quietly, ["baseline", str(path)])))
        ratios.append(times[1] / times[0])
    print("A header line of 64,000 characters over one of 8,000")
    return _kept(NAMES, ratios, LINEAR)


def _names() -> bool:
    """The name of one column, of any length: more than a log may have."""
    ratios = []
    for text in NAMES.values():
        short, long = (f"a{text * (size // len(text))}b" for size in (100_000, 800_000))
        few, many = (_best(partial(name_and_unit, name)) for name in (short, long))
        ratios.append(many / few)
    print("A column's name of 800,000 characters over one of 100,000")
    return _kept(NAMES, ratios, LINEAR)


def _pairs(items: list[Measured]) -> Iterable[tuple[Measured, Measured]]:
    return zip(items[::2], items[1::2], strict=True)


def _quietly(arguments: list[str]) -> None:
    with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()):
        run(arguments)


def _best(work: Callable[[], object]) -> float:
    times = []
    for _ in range(5):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times)


def _kept(names: Iterable[str], ratios: list[float], budget: float) -> bool:
    for name, ratio in zip(names, ratios, strict=True):
        print(f"  {name:34} {ratio:6.2f}    (budget {budget})")
    return max(ratios) <= budget


if __name__ == "__main__":
    sys.exit(0 if measure() else 1)

"""Running a command and measuring it: time, and the peak memory of its largest process."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Sequence
from time import perf_counter
from typing import NamedTuple


class Measured(NamedTuple):
    """Wall and processor time [s] with worker processes, peak memory of the largest [MB]."""

    seconds: float
    processor: float
    megabytes: float


def run_python(arguments: Sequence[str]) -> Measured:
    """Run this Python with arguments, output thrown away; 0 and 1 are good exit codes."""
    start = perf_counter()
    process = subprocess.Popen([sys.executable, *arguments], stdout=subprocess.DEVNULL)
    _, status, usage = os.wait4(process.pid, 0)
    seconds = perf_counter() - start
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode not in (0, 1):
        raise RuntimeError(f"{arguments} ended with {process.returncode}")
    return Measured(seconds, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024)


def best_of_each(commands: Sequence[Sequence[str]], rounds: int) -> list[Measured]:
    """The fastest of `rounds` runs of each command, taken in turn so that all see the same load."""
    runs = [[run_python(command) for command in commands] for _ in range(rounds)]
    return [min(column) for column in zip(*runs, strict=True)]

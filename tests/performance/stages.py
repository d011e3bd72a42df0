"""Where the time of a check goes: CPU seconds of each stage over the same files, one process."""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable, Iterable
from datetime import date
from pathlib import Path
from statistics import median
from time import process_time
from typing import TypeVar
from unittest.mock import patch

from limitcheck.__main__ import COLLECT
from limitcheck.checking.file import check_file
from limitcheck.checking.run import finish
from limitcheck.checks.engine import check_profile
from limitcheck.physics.liquid import CannotPredict
from limitcheck.physics.predict import predict
from limitcheck.physics.system import System
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import load
from limitcheck.profile.model import validate_profile
from limitcheck.profile.text import read_file
from limitcheck.profile.toml import parse
from limitcheck.render import renderer

DAY = date(2026, 11, 25)
T, R = TypeVar("T"), TypeVar("R")


def stages(paths: Iterable[Path]) -> dict[str, float]:
    """Stage to CPU seconds."""
    names = list(paths)
    for path in names[:20]:
        check_file(load(path), DEFAULT_POLICY, DAY)  # warm: imports and caches
    spent: dict[str, float] = {}

    def each(stage: str, work: Callable[[T], R], items: Iterable[T]) -> list[R]:
        start = process_time()
        results = [work(item) for item in items]
        spent[stage] = process_time() - start
        return results

    texts = each("read", lambda path: read_file(path).decode(), names)
    data = each("parse", parse, texts)
    each("validate", validate_profile, data)
    files = [load(path) for path in names]
    each("check", lambda file: check_profile(file.profile, DEFAULT_POLICY, DAY), files)
    reports = each("places", lambda file: check_file(file, DEFAULT_POLICY, DAY), files)
    spent["places"] = max(0.0, spent["places"] - spent["check"])
    run = finish(reports)
    for name in ("text", "json", "sarif", "junit"):
        each(f"render {name}", "".join, [renderer(name)(run)])
    return spent


def physics_adds(paths: Iterable[Path], rounds: int = 21) -> tuple[int, float]:
    """Profiles whose pressure can be predicted, and what predicting adds to checking them.

    As a share of the same check, from the file to placed findings in JSON, without physics;
    CPU time, the median of the ratios of several rounds in turn.
    """
    chosen = [path for path in paths if _predictable(path)]

    def check() -> float:
        start = process_time()
        reports = [check_file(load(path), DEFAULT_POLICY, DAY) for path in chosen]
        "".join(renderer("json")(finish(reports)))
        return process_time() - start

    ratios: list[float] = []
    check()
    for _ in range(rounds):
        with_physics = check()
        with (
            patch("limitcheck.physics.predict.system", _left_out),
            patch("limitcheck.physics.faults.changes.system", _left_out),
        ):
            ratios.append(with_physics / check())
    return len(chosen), median(ratios) - 1


def _left_out(*_: object) -> System:
    raise CannotPredict("left out")


def _predictable(path: Path) -> bool:
    try:
        predict(load(path).profile)
    except CannotPredict:
        return False
    return True


def main(root: str) -> None:
    """Print the shares of the stages over the profiles below a folder."""
    gc.set_threshold(*COLLECT)  # as the command line
    paths = sorted(Path(root).rglob("method-*.toml"))
    spent = stages(paths)
    whole = sum(seconds for stage, seconds in spent.items() if not stage.startswith("render"))
    for stage, seconds in spent.items():
        print(f"  {stage:14} {seconds:7.3f} s  {seconds / whole:6.1%}")
    count, share = physics_adds(paths)
    print(f"  physics adds to the {count} with geometry {share:6.1%}    (budget 20 %)")


if __name__ == "__main__":
    main(sys.argv[1])

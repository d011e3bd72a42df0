"""The profiles of a run by their worst finding, the worst first."""

from __future__ import annotations

import os
from collections.abc import Iterator
from heapq import nsmallest
from typing import NamedTuple

from ..checking.results import GRADES, FileReport, count, worst_of
from ..checking.run import Run
from .lines import safe, wrap
from .screen import PAPER, Screen, role_of

MOST = 100
"""Rows at most; --summary has one line for every profile."""
_ALIKE = " (+ others as bad)"


class Row(NamedTuple):
    """One profile: `rank` of its worst grade, its name, the worst finding and how many."""

    rank: int
    number: int
    path: str
    told: str


class _Others:
    """Profiles without an open finding: how many, and how many of them have open checks."""

    clean = undecided = answered = 0


def profile_table(run: Run, screen: Screen = PAPER) -> Iterator[str]:
    """The table, as lines; profiles without an open finding are counted below it."""
    others = _Others()
    total = 0

    def rows() -> Iterator[Row]:
        nonlocal total
        for number, report in enumerate(run.reports):
            if (row := _row(number, report)) is not None:
                total += 1
                yield row
            else:
                others.clean += 1
                others.undecided += bool(report.undecided)
                others.answered += bool(report.findings)

    worst = nsmallest(MOST, rows())
    if worst:
        yield from _lines(worst, screen)
    if total > len(worst):
        yield f"{total - len(worst)} more profiles with findings: --summary lists all"
    if others.clean:
        yield from wrap(_told(others), width=screen.width)


def _row(number: int, report: FileReport) -> Row | None:
    worst = worst_of(report)
    return None if worst is None else Row(worst.rank, number, report.name, worst.told)


def _lines(rows: list[Row], screen: Screen) -> Iterator[str]:
    """One line a profile where all fit, else two; the folder that all are in is said once."""
    folder = _common_folder([row.path for row in rows])
    paths = [safe(row.path.removeprefix(folder)) for row in rows]
    grades = [GRADES[row.rank] for row in rows]
    column, widest = max(map(len, ("Worst", *grades))) + 2, max(map(len, paths))
    heading = f"In {safe(folder)}" if folder else "Profile"
    if len(heading) > widest:
        yield f"{screen.paint('strong', heading)}"
        heading = "Profile"
    told = [safe(row.told) for row in rows]
    beside = column + max(widest, len(heading)) + 2 + max(map(len, told)) <= screen.width
    widest = max(widest, len(heading)) + 2 if beside else len(heading)
    last = "Worst finding" if beside else "and its worst finding"
    if column + widest + len(f" {last}{_ALIKE}") <= screen.width:
        last += _ALIKE
    first = f"{'Worst':{column}}{heading:{widest}}{'' if beside else ' '}{last}"
    yield screen.paint("strong", first)
    for grade, path, finding in zip(grades, paths, told, strict=True):
        begin = screen.paint(role_of(grade), grade) + " " * (column - len(grade))
        shown = begin + screen.paint("place", path)
        if beside:
            yield f"{shown}{' ' * (widest - len(path))}{finding}"
        else:
            yield shown
            yield f"{' ' * column}{finding}"


def _common_folder(paths: list[str]) -> str:
    """The folder that all these files are in, with its separator; empty where that says little."""
    try:
        folder = os.path.commonpath([os.path.dirname(path) for path in paths])
    except ValueError:  # some absolute, some not
        return ""
    return f"{folder}{os.sep}" if folder.strip(os.sep) else ""


def _told(others: _Others) -> str:
    told = f"{count(others.clean, 'profile')} without an open finding"
    left = [
        f"{number} with {what}"
        for number, what in (
            (others.answered, "accepted or known ones"),
            (others.undecided, "checks not decided"),
        )
        if number
    ]
    return f"{told}, {', '.join(left)}" if left else told

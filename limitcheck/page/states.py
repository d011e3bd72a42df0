"""What the checks say of many files, worked out again only when one of them has changed."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from datetime import date
from pathlib import Path
from typing import NamedTuple

from ..checking.margins import Margins, margins_of
from ..checking.policy_file import policy_for
from ..checking.results import NOT_DECIDED_STATE, FileReport, Worst, state_of, worst_of
from ..checking.run import Target, check_targets
from ..documents.findings import verdict
from ..profile.hardware import under_pressure
from ..profile.load import load
from ..profile.text import UnreadableProfile
from ..profile.unrated import unrated

Stamp = tuple[tuple[str, tuple[int, ...]], ...]
"""Paths, each with what its file system says of it; nothing of a file that is gone."""
_KEPT = 8
"""Answers that are kept: of the last few selections."""


class State(NamedTuple):
    """One profile: what it is for, and how it stands; `margins` are None where it is unreadable."""

    path: str
    report: FileReport
    method: str
    title: str
    instrument: str
    worst: Worst | None
    state: str
    """As `limitcheck fleet` gives it."""
    verdict: str
    margins: Margins | None

    @property
    def grade(self) -> str:
        """Of the worst open finding; empty where there is none."""
        return "" if self.worst is None else self.worst.grade

    @property
    def place(self) -> tuple[int, float, str]:
        """Its place in a list, the worst first: grade, what is not decided, then weakest margin."""
        weakest = None if self.margins is None else self.margins.weakest
        rest = 8 if self.state == NOT_DECIDED_STATE else 9
        rank = rest if self.worst is None else self.worst.rank
        return rank, float(weakest.share) if weakest is not None else 0.0, self.path


class States:
    """The states of files, as one run of `limitcheck check` over all of them gives them."""

    def __init__(self) -> None:
        self._known: dict[tuple[object, ...], tuple[State, ...]] = {}

    def of(self, stamps: Mapping[str, Stamp], today: date) -> tuple[State, ...]:
        """The state of every profile among the paths of `stamps`, which change with the files.

        Raises UnreadableProfile for a policy in error.
        """
        policies = tuple(policy_for(Path(path)).sha256 for path in stamps)
        key = (today, policies, *stamps.items())
        found = self._known.pop(key, None)
        if found is None:
            targets = [Target(path, named=False) for path in stamps]
            found = tuple(map(_state, check_targets(targets, policy_for, today).reports))
        self._known[key] = found  # the last one used is the last one dropped
        while len(self._known) > _KEPT:
            del self._known[next(iter(self._known))]
        return found


def _state(report: FileReport) -> State:
    title, margins, rated = "", None, True
    if report.status != "unreadable":
        try:
            profile = load(report.path).profile
        except UnreadableProfile:  # changed since it was checked; the next look sees that
            pass
        else:
            title = profile.method.title or ""
            margins = margins_of(profile, doubt=report.band_doubt)
            rated = bool(under_pressure(profile)) and not unrated(profile)
    return State(
        report.path,
        report,
        report.method or "",
        title,
        report.instrument or "",
        worst_of(report),
        state_of(report, rated=rated),
        verdict(report),
        margins,
    )


def stamp(paths: Iterable[str]) -> Stamp:
    """What changes when one of the files changes."""
    found: list[tuple[str, tuple[int, ...]]] = []
    for path in paths:
        try:
            status = os.stat(path)
        except OSError:
            found.append((path, ()))
        else:  # copying with its time kept changes the inode, or at least the time of the change
            told = status.st_mtime_ns, status.st_ctime_ns, status.st_size, status.st_ino
            found.append((path, told))
    return tuple(found)

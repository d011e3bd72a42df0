"""A run as it comes out where there is only what git tracks: in another checkout, on a server."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from ..findings import Location
from ..profile.shared import USE, using
from ..profile.text import USED_FILE, UnreadableProfile, read_text
from ..profile.text import unreadable as not_readable
from .dependencies import referred, rests_on
from .file import unreadable
from .narrowing import Narrowing
from .results import FileReport, Summary
from .run import Run


def as_elsewhere(run: Run, narrowing: Narrowing) -> Run:
    """The run with each tracked profile that rests on a file git does not track unreadable."""
    reports = _Elsewhere(run.reports, narrowing)
    summary = Summary.of(reports, run.summary.skipped)
    return run if summary == run.summary else run._replace(reports=reports, summary=summary)


def untracked_policies(run: Run, narrowing: Narrowing) -> list[str]:
    """The policies in force, in a working tree, that git does not track."""
    sources = (policy.source for policy in run.policies if policy.source is not None)
    return [os.path.relpath(source) for source in sources if not narrowing.tracks(source)]


@dataclass(frozen=True, slots=True)
class _Elsewhere:
    """Reports, gone through as often as needed."""

    reports: Iterable[FileReport]
    narrowing: Narrowing

    def __iter__(self) -> Iterator[FileReport]:
        return map(self._elsewhere, self.reports)

    def _elsewhere(self, report: FileReport) -> FileReport:
        tracks = self.narrowing.tracks
        if report.status == "unreadable" or not tracks(report.path):
            return report
        names = (report.path, *(used.path for used in report.uses))
        lost = [name for name in names if not (tracks(name) and tracks(os.path.realpath(name)))]
        if not lost:
            return report
        findings = tuple(
            not_readable(
                f"{name} is here, but git does not track it: elsewhere this cannot be read",
                self.narrowing.advice(name),
                _place(report.path, name),
            )._replace(data={USED_FILE: name})
            for name in lost
        )
        return unreadable(UnreadableProfile(report.path, findings), report.policy)


def _place(path: str, used: str) -> Location:
    """Where a profile uses a file, be it through another."""
    try:
        own = read_text(path)
    except UnreadableProfile:  # changed or gone since it was read
        return Location(path, 1, 1, 1, 1)
    for at, table in using(own.data):
        first = os.path.join(os.path.dirname(path), *str(table[USE]).partition("#")[0].split("/"))
        if os.path.abspath(used) in rests_on(first, referred):
            return own.locate((*at, USE))
    return Location(path, 1, 1, 1, 1)

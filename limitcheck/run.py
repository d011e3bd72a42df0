"""A run over many files: each is read, checked under the policy nearest to it, and reported."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from .checks.engine import check_file, unreadable
from .checks.results import FileReport, Summary
from .policy import Policy
from .profile.load import NotAProfile, ProfileFile, UnreadableProfile, load, load_bytes

PolicyFor = Callable[[Path], Policy]


@dataclass(frozen=True, slots=True)
class Target:
    """A file to check; `named` when the user named it, so that it must be a profile."""

    path: str
    named: bool = True


@dataclass(frozen=True, slots=True)
class Run:
    """The reports of a run in the order of the targets, and their summary."""

    reports: tuple[FileReport, ...]
    summary: Summary


def check_targets(targets: Iterable[Target], policy_for: PolicyFor, today: date) -> Run:
    """Check files; those a folder search brought that are no profiles are counted as skipped."""
    reports: list[FileReport] = []
    skipped = 0
    for target in targets:
        try:
            file = load(target.path, only_profiles=not target.named)
        except NotAProfile:
            skipped += 1
        except UnreadableProfile as error:
            reports.append(unreadable(error))
        else:
            reports.append(check_file(file, policy_for(Path(target.path)), today))
    return finish(reports, skipped)


def check_content(content: bytes, name: str, policy: Policy, today: date) -> Run:
    """Check the bytes of one profile, from standard input for example."""
    try:
        file: ProfileFile = load_bytes(content, name)
    except UnreadableProfile as error:
        return finish([unreadable(error)], 0)
    return finish([check_file(file, policy, today)], 0)


def finish(reports: Sequence[FileReport], skipped: int) -> Run:
    """A run of these reports."""
    return Run(tuple(reports), Summary.of(reports, skipped))

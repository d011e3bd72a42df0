"""Files of a run that contradict each other: said of each, with the places in the others."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from datetime import date
from functools import lru_cache
from itertools import islice
from pathlib import Path
from typing import TypeAlias

from ..checks.repository import (
    DUPLICATE,
    NAMED,
    About,
    Claim,
    Ledger,
    Stated,
    claims,
    conflict_with,
    stated_about,
)
from ..findings import Finding
from ..policy import Policy
from ..profile.load import ProfileFile, load
from ..profile.text import UnreadableProfile
from .file import add_findings
from .results import FileReport
from .table_rows import TableReader

PolicyFor: TypeAlias = Callable[[Path], Policy]
FILES_AT_HAND = 50
"""Files kept in memory that contradict others."""
CLAIMS_AT_HAND = 2_000
"""The same of single claims, which are small."""


def reader(tables: Sequence[str], read_table: TableReader) -> Callable[[str], ProfileFile]:
    """Reads a profile of a run again by its name, also one that is a row of one of the `tables`.

    It raises UnreadableProfile where that is no profile any more.
    """

    @lru_cache(maxsize=2)
    def rows(path: str) -> dict[str, ProfileFile]:
        found = (row.file for row in read_table(path).rows)
        return {file.path: file for file in found if file is not None}

    @lru_cache(maxsize=FILES_AT_HAND)
    def read(name: str) -> ProfileFile:
        for path in tables:
            if name.startswith(f"{path}:") and (file := rows(path).get(name)) is not None:
                return file
        return load(name)

    return read


def contradicted_reports(
    reports: Iterable[FileReport],
    contradicted: Mapping[str, Sequence[tuple[Claim, str]]],
    alike: Alike,
    policy_for: PolicyFor,
    today: date,
    read: Callable[[str], ProfileFile],
) -> Iterator[FileReport]:
    """Reports, each with what other files of the run contradict. Places are only looked up here."""

    stated = _stated_in(read)
    for report in reports:
        added = report
        if against := contradicted.get(report.name, ()):
            with suppress(UnreadableProfile):  # changed or gone since it was read
                file = read(report.name)
                found = list(_conflicts(file, against, alike, stated))
                policy = policy_for(Path(report.path))
                added = add_findings(report, file, found, policy, today)
        yield added


def _stated_in(read: Callable[[str], ProfileFile]) -> Callable[[str, About], tuple[Stated, ...]]:
    """What the file at a path says about one thing, looked up once where it is asked for again."""

    @lru_cache(maxsize=CLAIMS_AT_HAND)
    def stated(path: str, about: About) -> tuple[Stated, ...]:
        return stated_about(read(path), about)

    return stated


class Alike:
    """The files that claim one thing which only one file may claim, in the order of the run."""

    def __init__(self) -> None:
        self._files: dict[About, dict[str, None]] = {}
        self._listed: dict[About, tuple[str, ...]] = {}

    def add(self, claim: Claim, first: str, other: str) -> None:
        """Two files that claim the same; all are added before any are asked for."""
        if claim.check == DUPLICATE:
            about = claim.check, claim.about
            self._files.setdefault(about, {first: None})[other] = None

    def files(self, claim: Claim) -> tuple[str, ...]:
        """Those that claim it; none where more than one may."""
        about = claim.check, claim.about
        if about not in self._listed:  # asked for by each of them: listed once
            self._listed[about] = tuple(self._files.get(about, ()))
        return self._listed[about]


def _conflicts(
    file: ProfileFile,
    against: Iterable[tuple[Claim, str]],
    alike: Alike,
    stated: Callable[[str, About], Iterable[Stated]],
) -> Iterator[Finding]:
    """The findings that a file contradicts others in what these claims are about.

    Files that are alike are told once.
    """
    own = {(claim.check, claim.about): claim for claim in claims(file.profile)}
    told = set()
    for claim, other in against:
        about = claim.check, claim.about
        mine = own.get(about)
        if mine is None or about in told:
            continue
        if files := alike.files(claim):
            told.add(about)
        beside = (name for name in files if name != file.path)
        others = list(islice(beside, NAMED)) or [other]
        found = [conflict_with(mine, stated(name, about), files) for name in others]
        if found[0] is not None:
            related = tuple(place for one in found if one is not None for place in one.related)
            yield found[0]._replace(related=related)


def conflicts(files: Sequence[ProfileFile]) -> Mapping[str, list[Finding]]:
    """By path: where files contradict each other, said of both."""
    ledger, alike = Ledger(), Alike()
    by_path = {file.path: file for file in files}
    against: dict[str, list[tuple[Claim, str]]] = {}
    for file in files:
        for claim, earlier in ledger.against(file.path, claims(file.profile)):
            alike.add(claim, earlier, file.path)
            against.setdefault(file.path, []).append((claim, earlier))
            against.setdefault(earlier, []).append((claim, file.path))
    stated = _stated_in(by_path.__getitem__)
    return {
        path: list(_conflicts(by_path[path], found, alike, stated))
        for path, found in against.items()
    }

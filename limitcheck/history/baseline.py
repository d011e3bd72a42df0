"""The normal pressure of a system, from a log of past pressures.

The log is read twice: once to count its values, once to follow them in time. Nothing grows with
the number of rows.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterator
from fractions import Fraction
from typing import BinaryIO

from ..profile.model import Profile
from ..units import plain, round_down, round_up
from .baseline_notes import doubts_on, notes_on
from .layout import Options
from .lines import LogError, quoted
from .log import Log, Logged
from .normal import Band, Baseline, Choice, PhaseBaseline
from .phase import Phase, report
from .summaries import MOST_LISTED

_MOST_GROUPS = 50


def find_baseline(
    stream: BinaryIO, file: str, options: Options, choice: Choice, profile: Profile | None = None
) -> Baseline:
    """Read a log (a seekable binary stream, called `file` in messages) into a `Baseline`.

    Pressures come in the profile's unit, else in the log's own. Raises LogError for a log that
    cannot be used, ValueError for a coverage or confidence outside 0 to 1.
    """
    log = Log(stream, file, profile.instrument.pressure_unit if profile else None, options)
    method, phases = _count(log, choice, profile)
    for phase in phases.values():
        phase.prepare(log.unit)
    changes: list[tuple[int, str, str]] = []
    columns: dict[str, None] = {}
    serial = ""
    for row in _chosen(log, choice, method):
        phases[row.phase].follow(row)
        if row.column and row.column != serial:
            if serial and len(changes) < MOST_LISTED:
                changes.append((row.line, serial, row.column))
            serial = row.column
            if len(columns) < MOST_LISTED:
                columns[serial] = None
    cutoffs = _cutoffs(profile, log.unit)
    reports = tuple(report(name, phase, choice, changes, cutoffs) for name, phase in phases.items())
    expected = _expected(reports, log.unit, profile)
    doubts = doubts_on(reports, unit=log.unit, method=method, profile=profile)
    notes = notes_on(reports, expected, columns=len(columns), profile=profile)
    return Baseline(
        file=file,
        sha256=_sha256(stream),
        unit=log.unit,
        layout=tuple(log.layout.describe()),
        method=method,
        coverage=choice.coverage,
        confidence=choice.confidence,
        blank_rows=log.blank,
        phases=reports,
        columns=tuple(columns),
        expected=expected,
        high_cutoff=cutoffs[1],
        low_cutoff=cutoffs[0],
        doubts=tuple(doubts),
        notes=tuple(notes),
    )


def _sha256(stream: BinaryIO) -> str:
    digest = hashlib.sha256()
    stream.seek(0)
    while piece := stream.read(1 << 16):
        digest.update(piece)
    return digest.hexdigest()


def _cutoffs(profile: Profile | None, unit: str) -> tuple[float | None, float | None]:
    """Low and high cutoff in `unit`; None where absent or zero (off)."""
    if profile is None:
        return None, None
    low, high = (
        float(cutoff.to(unit)) if cutoff is not None and cutoff.value > 0 else None
        for cutoff in (profile.cutoffs.low, profile.cutoffs.high)
    )
    return low, high


def _in_time(row: Logged, choice: Choice) -> bool:
    for bound, early in ((choice.since, True), (choice.until, False)):
        if bound is not None:
            at = bound if row.time.tzinfo is None else bound.replace(tzinfo=row.time.tzinfo)
            if (row.time < at) if early else (row.time > at):
                return False
    return True


def _chosen(log: Log, choice: Choice, method: str | None) -> Iterator[Logged]:
    for row in log.rows():
        if method is not None and row.method != method:
            continue
        if choice.column is not None and row.column != choice.column:
            continue
        if _in_time(row, choice):
            yield row


def _count(
    log: Log, choice: Choice, profile: Profile | None
) -> tuple[str | None, dict[str, Phase]]:
    """First reading of the log: the method it is about, and a tally for each phase."""
    groups: dict[tuple[str, str], Phase] = {}
    for row in _chosen(log, choice, None):
        group = groups.get((row.method, row.phase))
        if group is None:
            if len(groups) == _MOST_GROUPS:
                raise LogError(
                    log.file,
                    row.line,
                    1,
                    f"more than {_MOST_GROUPS} different methods and phases",
                    "is the right column taken for method and phase? name it with --use",
                )
            group = groups[row.method, row.phase] = Phase()
        group.count(row.pressure)
    if not groups:
        raise LogError(
            log.file,
            log.layout.header_line,
            1,
            "no reading is left to use",
            "every row is without a pressure, or outside the column or the dates chosen",
        )
    method = _method({name for name, _ in groups}, log, choice, profile)
    return method, {ph: g for (name, ph), g in groups.items() if method is None or name == method}


def _method(names: set[str], log: Log, choice: Choice, profile: Profile | None) -> str | None:
    if "method" not in log.layout.columns:
        return None
    wanted = choice.method or (profile.method.id if profile else None)
    for name in names:
        if wanted is not None and name.casefold() == wanted.casefold():
            return name
    if len(names) == 1 and choice.method is None:
        return names.pop()
    listed = ", ".join(quoted(name) for name in sorted(names))
    raise LogError(
        log.file,
        log.layout.header_line,
        1,
        f"no reading is of method {quoted(wanted)}" if wanted else f"{len(names)} methods",
        f"choose one with --method; the log has {listed}",
    )


def _expected(phases: tuple[PhaseBaseline, ...], unit: str, profile: Profile | None) -> Band | None:
    """The band over all phases, rounded outward to the step of the display."""
    intervals = [phase.interval for phase in phases if phase.interval is not None]
    if len(intervals) < len(phases):
        return None
    low, high = min(i.low for i in intervals), max(i.high for i in intervals)
    if profile is not None:
        step = profile.instrument.step
    else:
        step = Fraction(10) ** (math.floor(math.log10(high)) - 2) if high > 0 else Fraction(1)
    return Band(plain(round_down(_decimal(low), step)), plain(round_up(_decimal(high), step)), unit)


def _decimal(value: float) -> Fraction:
    """The number as a log would show it, so that 28.6 is not a little less."""
    return Fraction(f"{value:.12g}")

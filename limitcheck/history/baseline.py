"""The normal pressure of a system, from a log of past pressures.

The log is read twice: once to count its values, once to follow them in time. Nothing grows with
the number of rows.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import BinaryIO

from ..physics.strokes import strokes
from ..profile.model import Profile
from ..units import Pressure, plain, round_down, round_up
from .doubts import Band, doubts, notes, of_swing
from .layout import Options
from .lines import LogError, quoted
from .log import Choice, Log
from .phase import PhaseBaseline, PhaseReadings
from .pulsation import Pulsation, PulsationWatch
from .stretch import FEWEST_READINGS, Stretch, candidates
from .summaries import MOST_LISTED

_MOST_GROUPS = 50


@dataclass(frozen=True, slots=True)
class Without:
    """Rows without a reading: what their cells say, how many they are, the line of the first."""

    text: str
    rows: int
    line: int


@dataclass(frozen=True, slots=True)
class Baseline:
    """What a log says about normal pressure; every pressure is in `unit`."""

    path: str
    sha256: str
    unit: str
    layout: tuple[str, ...]
    method: str | None
    coverage: float
    confidence: float
    without: tuple[Without, ...]  # rows without a reading
    phases: tuple[PhaseBaseline, ...]
    columns: tuple[str, ...]
    expected: Band | None
    high_cutoff: float | None
    low_cutoff: float | None
    doubts: tuple[str, ...]  # why the band must not be used as it is
    notes: tuple[str, ...]
    pulsation: Pulsation | None  # of a log with many readings a minute
    expected_swing: float | None
    stretch: Stretch | None = None  # of a log that is not steady, a part that is

    @property
    def moved(self) -> bool:
        """Whether a phase drifts or stepped."""
        return any(phase.trend is not None and not phase.trend.steady for phase in self.phases)

    @property
    def steady(self) -> bool:
        """No doubts, no phase that drifts or stepped, none with too few readings to tell."""
        told = all(phase.trend is not None for phase in self.phases)
        return told and not (self.moved or self.doubts)


def find_baseline(
    stream: BinaryIO, path: str, options: Options, choice: Choice, profile: Profile | None = None
) -> Baseline:
    """Read a log (a seekable binary stream, called `path` in messages) into a `Baseline`.

    Pressures come in the profile's unit, else in the log's own. Of a log that is not steady, parts
    that may be are read by themselves, and the longest that is steady is named. Raises LogError
    for a log that cannot be used, ValueError for a coverage or confidence outside 0 to 1.
    """
    options = replace(options, scale=_scale(profile))
    found, watch = _read(stream, path, options, choice, profile)
    if found.pulsation is not None:
        found = replace(found, pulsation=watch.with_pulses(found.pulsation))
    if found.steady:
        return found
    for since, until in candidates(found.phases):
        try:
            within = replace(choice, since=since, until=until)
            part, _ = _read(stream, path, options, within, profile)
        except LogError:
            continue
        count = sum(phase.readings for phase in part.phases)
        band = part.expected if part.steady and count >= FEWEST_READINGS else None
        if band is not None and all(phase.trend for phase in part.phases):
            stretch = Stretch(since, until, count, band.low.number, band.high.number)
            return replace(found, stretch=stretch)
    return found


def _scale(profile: Profile | None) -> tuple[float, float] | None:
    """Pressures that a log of this profile holds, as far as it tells [Pa]."""
    if profile is None:
        return None
    if (band := profile.normal_band) is not None:
        return float(band.low), float(band.high)
    low, high = profile.cutoffs.low, profile.cutoffs.high
    if high is None or high.value == 0:
        return None
    return float(low) if low is not None and low.value > 0 else float(high) / 10, float(high)


def _read(
    stream: BinaryIO, path: str, options: Options, choice: Choice, profile: Profile | None
) -> tuple[Baseline, PulsationWatch]:
    """The baseline, without periods, and what finds them."""
    log = Log(stream, path, profile.instrument.pressure_unit if profile else None, options)
    log.refuse_unknown(choice)
    method, phases = _count(log, choice, profile)
    for phase in phases.values():
        phase.prepare(log.unit)
    changes: list[tuple[int, str, str]] = []
    columns: dict[str, None] = {}
    serial = ""
    watch = PulsationWatch()
    for row in log.rows():
        if not choice.takes(row) or method not in (None, row.method):
            continue
        if phases[row.phase].follow(row):
            watch.add(row)
        if row.column and row.column != serial:
            if serial and len(changes) < MOST_LISTED:
                changes.append((row.line, serial, row.column))
            serial = row.column
            if len(columns) < MOST_LISTED:
                columns[serial] = None
    cutoffs = _cutoffs(profile, log.unit)
    reports = tuple(
        phase.baseline(name, choice, changes, cutoffs) for name, phase in phases.items()
    )
    expected = _expected(reports, log.unit, profile)
    pulsation = watch.finish(strokes(profile) if profile is not None else "no profile is given")
    usual = profile.expected.swing if profile is not None and profile.expected else None
    swing = None if usual is None else float(usual.to(log.unit))
    against = list(doubts(reports, expected, tuple(columns), log.unit, method, profile))
    if pulsation is not None and swing is not None and profile is not None:
        against[:0] = of_swing(pulsation, swing, float(profile.instrument.step), log.unit)
    found = Baseline(
        path=path,
        sha256=log.sha256(),
        unit=log.unit,
        layout=tuple(log.layout.describe()),
        method=method,
        coverage=choice.coverage,
        confidence=choice.confidence,
        without=tuple(Without(text, *found) for text, found in log.without.items()),
        phases=reports,
        columns=tuple(columns),
        expected=expected,
        high_cutoff=cutoffs[1],
        low_cutoff=cutoffs[0],
        doubts=tuple(against),
        notes=tuple(notes(reports, expected, len(columns), profile)),
        pulsation=pulsation,
        expected_swing=swing,
    )
    return found, watch


def _cutoffs(profile: Profile | None, unit: str) -> tuple[float | None, float | None]:
    """Low and high cutoff in `unit`; None where absent or zero (off)."""
    if profile is None:
        return None, None
    low, high = (
        float(cutoff.to(unit)) if cutoff is not None and cutoff.value > 0 else None
        for cutoff in (profile.cutoffs.low, profile.cutoffs.high)
    )
    return low, high


def _count(
    log: Log, choice: Choice, profile: Profile | None
) -> tuple[str | None, dict[str, PhaseReadings]]:
    """First reading of the log: the method it is about, and a tally for each phase."""
    groups: dict[tuple[str, str], PhaseReadings] = {}
    for row in log.rows():
        if not choice.takes(row):
            continue
        group = groups.get((row.method, row.phase))
        if group is None:
            if len(groups) == _MOST_GROUPS:
                raise log.lines.error(
                    f"more than {_MOST_GROUPS} different methods and phases",
                    "is the right column taken for method and phase? name it with --use",
                )
            group = groups[row.method, row.phase] = PhaseReadings()
        group.count(row.pressure)
    if not groups:
        raise log.lines.error(
            "no reading is left to use",
            "every row is without a pressure, or outside the column or the dates chosen",
            line=log.layout.header_line,
        )
    method = _method({name for name, _ in groups}, log, choice, profile)
    return method, {ph: g for (name, ph), g in groups.items() if method in (None, name)}


def _method(names: set[str], log: Log, choice: Choice, profile: Profile | None) -> str | None:
    if "method" not in log.layout.columns:
        return None
    wanted = choice.method or (profile.method.id if profile else None)
    for name in names:
        if wanted is not None and name.casefold() == wanted.casefold():
            return name
    if len(names) == 1 and choice.method is None:
        return names.pop()
    raise log.lines.error(
        f"no reading is of method {quoted(wanted)}" if wanted else f"{len(names)} methods",
        f"choose one with --method; the log has {', '.join(quoted(n) for n in sorted(names))}",
        line=log.layout.header_line,
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
    # As a log would show the numbers, so that 28.6 is not a little less.
    least, most = Fraction(f"{low:.12g}"), Fraction(f"{high:.12g}")
    return Band(
        Pressure.of(plain(round_down(least, step)), unit),
        Pressure.of(plain(round_up(most, step)), unit),
    )

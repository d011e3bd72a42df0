"""A normal that was agreed on, and tomorrow's readings judged against it.

Agreeing is an act of somebody, with a reason. What was agreed stays: later readings are judged
against it, one after another, and never move it. The charts of level and scatter go on from day to
day, so that a creep too slow for any one day shows.
"""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import BinaryIO, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from ..errors import LimitcheckError
from ..profile.model import Profile
from . import dispersion
from .autocorrelation import Memory, remember
from .baseline import Baseline
from .drift import SMOOTHING, half_width
from .layout import Options
from .log import Choice, Log, Logged
from .phase import PhaseBaseline
from .summaries import MOST_LISTED, Point

FORMAT = 1
_MOST_POINTS = 400  # of the picture
_BOTH = 1.1  # wider limits: level and scatter are watched, and one signal is enough
_SHARE, _SELDOM = 0.05, 0.002  # of normal readings outside the band; of times by chance


class CannotJudge(LimitcheckError):
    """Why a log is not judged against what was agreed, or nothing can be agreed on."""


class _Table(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class AgreedPhase(_Table):
    """What is normal in one phase of the run; pressures in the unit of the agreement."""

    phase: str
    low: float
    high: float
    centre: float
    deviation: float = Field(gt=0)
    phi: float = Field(ge=0, lt=1)
    readings: int = Field(gt=0)
    scatter: float = Field(gt=0)

    @property
    def limit(self) -> float:
        """How far the moving average may be from the centre."""
        return _BOTH * half_width(Memory(self.phi, self.deviation, ()), self.readings)


class Agreement(_Table):
    """What was agreed on, from which log, by whom, when and why."""

    unit: str
    low: str
    high: str
    method: str | None
    profile_method: str
    instrument: str
    site: str | None
    conditions: str
    columns: tuple[str, ...]
    log_sha256: str = Field(pattern="^[0-9a-f]{64}$")
    since: datetime
    until: datetime
    by: str = Field(min_length=1)
    reason: str = Field(min_length=1)
    day: date
    phases: tuple[AgreedPhase, ...] = Field(min_length=1)


class Chart(_Table):
    """Where the charts of one phase stand; `judged` counts the readings since the agreement."""

    phase: str
    average: float
    squares: float
    before: float
    judged: int = Field(ge=0)


class State(_Table):
    """What `baseline --state` keeps; the last agreement is in force.

    `rows` is a digest of the rows judged since, the last of them at `last`; `at_last` are digests
    of those at just that time, of which more may come.
    """

    format: Literal[1] = 1
    agreements: tuple[Agreement, ...] = Field(min_length=1)
    charts: tuple[Chart, ...]
    last: datetime
    judged: int = Field(ge=0)
    rows: str = Field(pattern="^[0-9a-f]{64}$")
    at_last: tuple[str, ...] = ()

    @property
    def agreed(self) -> Agreement:
        """What is in force."""
        return self.agreements[-1]


@dataclass(frozen=True, slots=True)
class JudgedPhase:
    """One phase of the new rows: how many, those outside the band, the charts' first signals."""

    phase: str
    readings: int
    low: float
    high: float
    centre: float
    limit: float
    average: float
    outside: tuple[Point, ...]
    outside_count: int
    far_count: int
    level_out: Point | None
    scatter_out: Point | None
    points: tuple[Point, ...]

    @property
    def too_many_outside(self) -> bool:
        """Whether more are outside the band than chance puts there once in about 500 times."""
        n, k = self.readings, self.outside_count
        tail = 1 - math.fsum(
            math.comb(n, i) * _SHARE**i * (1 - _SHARE) ** (n - i) for i in range(k)
        )
        return k > 0 and tail < _SELDOM

    @property
    def moved(self) -> bool:
        """Whether the readings are not as agreed."""
        charts = self.level_out is not None or self.scatter_out is not None
        return charts or self.far_count > 0 or self.too_many_outside


@dataclass(frozen=True, slots=True)
class Judged:
    """New rows against what was agreed; pressures in `unit`."""

    path: str
    sha256: str
    unit: str
    agreed: Agreement
    first: datetime | None
    last: datetime
    readings: int
    before: int  # readings judged earlier
    first_agreed: Agreement | None  # where it was agreed anew since
    phases: tuple[JudgedPhase, ...]
    notes: tuple[str, ...]

    @property
    def as_agreed(self) -> bool:
        """Whether both charts are inside their limits, and no more outside the band than chance."""
        return not any(phase.moved for phase in self.phases)


def agree(
    found: Baseline, profile: Profile, by: str, reason: str, day: date, before: State | None
) -> State:
    """The state after somebody agreed on the normal of a log; raises CannotJudge.

    `before` keeps its agreements. Refused for a log that is not steady or in doubt, and where the
    band could not be found.
    """
    for name, text in (("--by", by), ("--reason", reason)):
        if not text.strip():
            raise CannotJudge(f"{name} is empty", f"{name} says who agrees and why")
    if not found.steady or found.expected is None:
        why = found.doubts[0] if found.doubts else "too few readings, or not steady"
        raise CannotJudge(
            f"nothing to agree on: {why}",
            "agree on a log that is steady, or on a steady part with --since and --until",
        )
    agreement = Agreement(
        unit=found.unit,
        low=found.expected.low.number,
        high=found.expected.high.number,
        method=found.method,
        profile_method=profile.method.id,
        instrument=profile.instrument.id,
        site=profile.method.site,
        conditions=_conditions(profile),
        columns=found.columns,
        log_sha256=found.sha256,
        since=min(phase.first for phase in found.phases),
        until=max(phase.last for phase in found.phases),
        by=by.strip(),
        reason=reason.strip(),
        day=day,
        phases=tuple(map(_agreed_phase, found.phases)),
    )
    return State(
        agreements=(*(before.agreements if before is not None else ()), agreement),
        charts=tuple(
            Chart(phase=p.phase, average=p.centre, squares=p.scatter**2, before=p.centre, judged=0)
            for p in agreement.phases
        ),
        last=agreement.until,
        judged=0,
        rows=_hexadecimal(0),
    )


def _agreed_phase(phase: PhaseBaseline) -> AgreedPhase:
    if phase.interval is None or phase.trend is None:
        raise CannotJudge(
            f"nothing to agree on: {phase.readings} readings are too few to tell that the "
            "pressure was steady",
            "log more runs first",
        )
    wide = max(phase.interval.high - phase.interval.low, 1e-9)
    deviation = max(phase.deviation, wide / 100)
    usual = phase.scatter.usual if phase.scatter is not None else deviation
    return AgreedPhase(
        phase=phase.phase,
        low=phase.interval.low,
        high=phase.interval.high,
        centre=phase.median,
        deviation=deviation,
        phi=_phi(phase),
        readings=phase.readings,
        scatter=max(usual, wide / 100),
    )


def _phi(phase: PhaseBaseline) -> float:
    """How far each reading remembers the one before [-].

    The chart judges single readings, so that means of neighbours tell nothing of it: then the
    correlation of all readings, less its bias (Kendall 1954, from memory).
    """
    n = phase.readings
    if len(phase.points) == n:
        values = [point.pressure for point in phase.points]
        return remember(values, phase.deviation / 100 or 1e-9).phi
    return min(max(phase.correlation + (1 + 3 * phase.correlation) / n, 0.0), 0.85)


def judge(
    stream: BinaryIO, path: str, options: Options, choice: Choice, profile: Profile, state: State
) -> tuple[Judged, State]:
    """Judge the rows of a log that are later than the last judged, and the state after that.

    Pressures come in the agreed unit. Raises LogError for a log that cannot be used, CannotJudge
    where it is of another unit, method, instrument or column than agreed, where rows that were
    judged are changed, or where no row is new.
    """
    agreed = state.agreed
    _same(agreed, profile)
    log = Log(stream, path, agreed.unit, options)
    charts = {chart.phase: _Running(chart, agreed) for chart in state.charts}
    old, rows = 0, int(state.rows, 16)
    waiting, at_last = list(state.at_last), list(state.at_last)
    seen = total = 0
    first: datetime | None = None
    last = state.last
    for row in log.rows():
        if not choice.takes(row) or row.time <= agreed.until:
            continue
        if agreed.method is not None and row.method.casefold() != agreed.method.casefold():
            continue
        print_of = _fingerprint(row)
        if row.time < state.last or (row.time == state.last and _hexadecimal(print_of) in waiting):
            if row.time == state.last:
                waiting.remove(_hexadecimal(print_of))
            seen += 1
            old += print_of
            continue
        if row.column and agreed.columns and row.column not in agreed.columns:
            raise CannotJudge(
                f"{path}:{row.line}: column {row.column} is not the one agreed on, "
                f"{', '.join(agreed.columns)}",
                "log its steady runs and agree anew, or choose one with --column",
            )
        if row.phase not in charts:
            known = ", ".join(f'"{name}"' for name in charts)
            raise CannotJudge(
                f'{path}:{row.line}: phase "{row.phase}" was not agreed on: {known}',
                "name the phases alike, or agree anew",
            )
        charts[row.phase].add(Point(row.line, row.time, row.pressure))
        rows += print_of
        at_last = [*(at_last if row.time == last else ()), _hexadecimal(print_of)]
        first, last, total = first or row.time, row.time, total + 1
    if first is None:
        raise CannotJudge(
            f"{path}: no row is later than the last judged, {state.last:%Y-%m-%d %H:%M}",
            "give the log with the new rows",
        )
    notes = list(_on_old_rows(seen, old, state))
    phases = tuple(chart.finish() for chart in charts.values())
    judged = Judged(
        path, log.sha256(), agreed.unit, agreed, first, last, total, state.judged,
        state.agreements[0] if len(state.agreements) > 1 else None, phases, tuple(notes),
    )  # fmt: skip
    after = state.model_copy(
        update={
            "charts": tuple(chart.state() for chart in charts.values()),
            "last": last,
            "judged": state.judged + total,
            "rows": _hexadecimal(rows),
            "at_last": tuple(at_last),
        }
    )
    return judged, after


def _same(agreed: Agreement, profile: Profile) -> None:
    """Raises CannotJudge where the profile is not the one that was agreed for."""
    now = {
        "method": (agreed.profile_method, profile.method.id),
        "instrument": (agreed.instrument, profile.instrument.id),
        "site": (agreed.site, profile.method.site),
        "unit": (agreed.unit, profile.instrument.pressure_unit),
    }
    if agreed.conditions != _conditions(profile):
        raise CannotJudge(
            "the [conditions] of the profile are not those agreed for",
            "take the profile as it was, or log steady runs and agree anew",
        )
    for what, (then, here) in now.items():
        if then != here:
            raise CannotJudge(
                f"the {what} of the profile is {here or 'not given'}, agreed was for "
                f"{then or 'none'}",
                "take the state that belongs to this profile, or agree anew",
            )


def _conditions(profile: Profile) -> str:
    """A digest of the conditions: what they are, however they are written."""
    return hashlib.sha256(repr(profile.conditions).encode()).hexdigest()


def _on_old_rows(seen: int, fingerprint: int, state: State) -> Iterator[str]:
    """What is known of the rows judged before, where the log still holds them."""
    if seen > state.judged:
        raise CannotJudge(
            f"the log holds {seen} rows between what was agreed and the last judged, "
            f"{state.judged} were judged",
            "rows were put in later; were they left out before? Agree anew, with the reason",
        )
    if seen == state.judged and _hexadecimal(fingerprint) != state.rows:
        raise CannotJudge(
            "rows that were judged before are changed in this log",
            "find out who changed them and why; then agree anew, with the reason",
        )
    if 0 < seen < state.judged:
        yield (
            f"{seen} rows are not later than the last judged, and were not judged; "
            f"{state.judged - seen} of the {state.judged} judged before are not in this log."
        )


def _fingerprint(row: Logged) -> int:
    """Of one row; those of many are added up, in any number of runs."""
    text = f"{row.time.isoformat()} {row.pressure:.9g} {row.phase}"
    return int.from_bytes(hashlib.sha256(text.encode()).digest(), "big")


def _hexadecimal(total: int) -> str:
    return f"{total % 2**256:064x}"


class _Running:
    """The charts of one phase, going on from where they stood."""

    def __init__(self, chart: Chart, agreed: Agreement) -> None:
        self._agreed = next(phase for phase in agreed.phases if phase.phase == chart.phase)
        self._average, self._squares = chart.average, chart.squares
        self._before, self._judged = chart.before, chart.judged
        self._limit = self._agreed.limit
        reference = dispersion.reference_of(self._agreed.readings)
        self._most_squares = _BOTH * dispersion.limit(reference) * self._agreed.scatter**2
        self._count = self._outside_count = self._far_count = 0
        self._outside: list[Point] = []
        self._points: list[Point] = []
        self._level_out: Point | None = None
        self._scatter_out: Point | None = None

    def add(self, point: Point) -> None:
        """Take in the next reading."""
        agreed, value = self._agreed, point.pressure
        self._count += 1
        beyond = max(agreed.low - value, value - agreed.high)
        if beyond > 0:
            self._outside_count += 1
            self._far_count += beyond > (agreed.high - agreed.low) / 2
            if len(self._outside) < MOST_LISTED:
                self._outside.append(point)
        # A wild reading is told as outside the band; the chart moves by four deviations at most.
        reach = 4 * agreed.deviation
        counted = min(max(value, agreed.centre - reach), agreed.centre + reach)
        self._average += SMOOTHING * (counted - self._average)
        if self._judged + self._count > 1:
            square = min((value - self._before) ** 2 / 2, dispersion.MOST * agreed.scatter**2)
            self._squares += dispersion.SMOOTHING * (square - self._squares)
        self._before = value
        if self._level_out is None and abs(self._average - agreed.centre) > self._limit:
            self._level_out = point
        if self._scatter_out is None and self._squares > self._most_squares:
            self._scatter_out = point
        self._points.append(replace(point, average=self._average))
        if len(self._points) > _MOST_POINTS:
            del self._points[: _MOST_POINTS // 2]

    def state(self) -> Chart:
        """Where the charts stand now."""
        return Chart(
            phase=self._agreed.phase,
            average=self._average,
            squares=self._squares,
            before=self._before,
            judged=self._judged + self._count,
        )

    def finish(self) -> JudgedPhase:
        """What the new readings say."""
        agreed = self._agreed
        return JudgedPhase(
            phase=agreed.phase,
            readings=self._count,
            low=agreed.low,
            high=agreed.high,
            centre=agreed.centre,
            limit=self._limit,
            average=self._average,
            outside=tuple(self._outside),
            outside_count=self._outside_count,
            far_count=self._far_count,
            level_out=self._level_out,
            scatter_out=self._scatter_out,
            points=tuple(self._points),
        )


def state_text(state: State) -> str:
    """The state as the text of its file, sealed with a digest of it."""
    data = state.model_dump(mode="json")
    return json.dumps({**data, "seal": _seal(data)}, indent=1, ensure_ascii=False) + "\n"


def _seal(data: dict[str, object]) -> str:
    text = json.dumps(data, sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def read_state(text: str, path: str) -> State:
    """A state from the text of its file; raises CannotJudge for any other text."""
    advice = "give the file that --agree wrote, from a copy if need be; or agree anew in a new file"
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as error:
        at = f":{error.lineno}:{error.colno}" if isinstance(error, json.JSONDecodeError) else ""
        raise CannotJudge(f"{path}{at}: damaged: it is not JSON", advice) from None
    if not isinstance(data, dict) or "agreements" not in data:
        raise CannotJudge(f"{path}: not a state of limitcheck baseline", advice)
    if data.get("format") != FORMAT:
        raise CannotJudge(
            f"{path}: format: {data.get('format')!r}; this version reads {FORMAT}",
            "use the version of limitcheck that wrote it",
        )
    seal = data.pop("seal", None)
    try:
        state = State.model_validate_json(json.dumps(data))
    except (ValidationError, ValueError) as error:
        where, what = "", str(error)
        if isinstance(error, ValidationError):
            first = error.errors(include_url=False)[0]
            where, what = ".".join(str(key) for key in first["loc"]), first["msg"]
        raise CannotJudge(f"{path}: {where}: {what}", advice) from None
    if seal != _seal(state.model_dump(mode="json")):
        raise CannotJudge(f"{path}: changed since limitcheck wrote it", advice)
    return state

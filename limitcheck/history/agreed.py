"""A normal that somebody agreed on, and the file that keeps it.

Agreeing is an act of somebody, with a reason. What was agreed stays: later readings are judged
against it (`judging`), and never move it.
"""

from __future__ import annotations

import hashlib
import json
from datetime import date, datetime
from typing import BinaryIO, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from ..errors import LimitcheckError
from ..profile.model import Profile
from .autocorrelation import Memory, remember
from .baseline import Baseline
from .drift import half_width
from .layout import Options
from .log import Choice, Log, Logged
from .phase import PhaseBaseline

FORMAT = 1
BOTH = 1.1  # wider limits: level and scatter are watched, and one signal is enough


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
        return BOTH * half_width(Memory(self.phi, self.deviation, ()), self.readings)


class Agreement(_Table):
    """What was agreed on, from which log, by whom, when and why.

    `rows` is a digest of the rows it rests on, in any log that holds them.
    """

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
    rows: str = Field(pattern="^[0-9a-f]{64}$")
    since: datetime
    until: datetime
    by: str = Field(min_length=1)
    reason: str = Field(min_length=1)
    day: date
    phases: tuple[AgreedPhase, ...] = Field(min_length=1)

    @property
    def readings(self) -> int:
        """How many readings it rests on."""
        return sum(phase.readings for phase in self.phases)


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


def agree(
    found: Baseline,
    profile: Profile,
    by: str,
    reason: str,
    day: date,
    before: State | None,
    rows: str,
) -> State:
    """The state after somebody agreed on the normal of a log; raises CannotJudge.

    `before` keeps its agreements; `rows` is the `digest_of` the log. Refused for a log that is not
    steady or in doubt, and where the band could not be found.
    """
    if before is not None and (before.agreed.profile_method, before.agreed.instrument) != (
        profile.method.id,
        profile.instrument.id,
    ):
        raise CannotJudge(
            f"the state is of {before.agreed.profile_method} on {before.agreed.instrument}",
            "agree in a file of its own for each method and instrument",
        )
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
        conditions=conditions_of(profile),
        columns=found.columns,
        log_sha256=found.sha256,
        rows=rows,
        since=min(phase.first for phase in found.phases),
        until=max(phase.last for phase in found.phases),
        by=by.strip(),
        reason=reason.strip(),
        day=day,
        phases=_agreed_phases(found),
    )
    return State(
        agreements=(*(before.agreements if before is not None else ()), agreement),
        charts=tuple(
            Chart(phase=p.phase, average=p.centre, squares=p.scatter**2, before=p.centre, judged=0)
            for p in agreement.phases
        ),
        last=agreement.until,
        judged=0,
        rows=hexadecimal(0),
    )


def _agreed_phases(found: Baseline) -> tuple[AgreedPhase, ...]:
    phases = tuple(map(_agreed_phase, found.phases))
    if len(phases) > 1 or found.expected is None:
        return phases
    band = (float(p.to(found.unit)) for p in (found.expected.low, found.expected.high))
    return (phases[0].model_copy(update=dict(zip(("low", "high"), band, strict=True))),)


def _agreed_phase(phase: PhaseBaseline) -> AgreedPhase:
    if phase.interval is None or phase.trend is None:
        raise CannotJudge(
            f"nothing to agree on: {phase.readings} readings are too few to tell that the "
            "pressure was steady",
            "log more runs first",
        )
    wide = phase.interval.high - phase.interval.low
    if wide <= 0:
        raise CannotJudge(
            f"nothing to agree on: every reading is {phase.median:g}",
            "a pressure that never moves is not read: see to the sensor, or log finer steps",
        )
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


def conditions_of(profile: Profile) -> str:
    """A digest of conditions and flow path: what they are, however they are written."""
    return hashlib.sha256(repr((profile.conditions, profile.flow_path)).encode()).hexdigest()


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


def hexadecimal(total: int) -> str:
    """A digest as the state keeps it."""
    return f"{total % 2**256:064x}"


def digest_of(
    stream: BinaryIO, path: str, options: Options, choice: Choice, found: Baseline
) -> str:
    """The digest of the rows that a baseline was found from; raises LogError."""
    total = sum(
        fingerprint(row)
        for row in Log(stream, path, found.unit, options).rows()
        if choice.takes(row) and found.method in (None, row.method)
    )
    return hexadecimal(total)


def fingerprint(row: Logged) -> int:
    """Of one row; those of many are added up, in any number of runs."""
    text = f"{row.time.isoformat()} {row.pressure:.9g} {row.phase}"
    return int.from_bytes(hashlib.sha256(text.encode()).digest(), "big")

"""The normal pressure in a log: the document, and the data for JSON."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date, datetime
from typing import Any

from ..charts.baseline import baseline_chart
from ..history.baseline import Baseline
from ..history.drift import FALSE_SIGNAL_EVERY, Trend
from ..history.life import Life
from ..history.phase import PhaseBaseline
from ..history.stretch import Stretch
from ..profile.load import ProfileFile
from ..units import PRESSURE_UNITS, percent
from ..units.printing import as_stated
from .blocks import Block, Bullets, Chapter, Document, Section, Table, Text, ToType
from .cautions import IN_A_RECORD, texts
from .data import frame, plain_data, predicted_data, profile_data
from .life import life_section
from .parts import capital, inputs, signature
from .pulsation import pulsation_section, pulsation_verdict

_MOST_SHOWN = 12  # outliers on a terminal
_NUMBERS = frozenset(
    {"coverage", "confidence", "correlation", "factor", "sampling", "shortest", "longest", "stroke"}
    | {"cycle", "period", "period_low", "period_high", "predicted_period", "by_chance"}
)
"""The floats of a baseline that are no pressures."""


def baseline_document(
    baseline: Baseline, file: ProfileFile | None, day: date, lives: Sequence[Life] = ()
) -> Document:
    """Verdict, what to do, what to type, then the course of the pressure and the record."""
    log: tuple[Section, ...] = (
        Section("How the log was read", (Bullets(tuple(_layout(baseline))),)),
        Section(
            "Inputs",
            (inputs([file] if file else [], [(baseline.path, baseline.sha256)]),),
            in_record=True,
        ),
        signature(),
    )
    pulsation = pulsation_section(baseline, file)
    if pulsation is not None:
        log = (pulsation, *log)
    log = (*(life_section(life) for life in lives), *log)
    phases = tuple(_phase(phase, baseline) for phase in baseline.phases)
    if len(phases) == 1:
        chapters: tuple[Chapter, ...] = (Chapter("All readings", (*phases[0].sections, *log)),)
    else:
        chapters = (*phases, Chapter("The log", log))
    return Document(
        f"Normal pressure: {baseline.path}",
        tuple(_summary(baseline)),
        chapters,
        tuple(texts(IN_A_RECORD)),
        day.isoformat(),
    )


def _summary(baseline: Baseline) -> Iterator[Block]:
    band = baseline.expected
    moved = list(_movements(baseline))
    verdict = f"not steady: {'; '.join(moved)}."
    if baseline.doubts and not moved:
        verdict = "do not use the band of this log as it is."
    elif band is None:
        verdict = "too few readings for a band."
    elif not moved:
        verdict = f"steady; normal is {band}."
        if any(phase.trend is None for phase in baseline.phases):
            verdict = f"normal is {band}; too few readings to tell whether the pressure was steady."
    yield Text(f"{baseline.path}: {verdict}", strong=True)
    said = () if verdict.startswith("not steady") else moved
    told = (*baseline.doubts, *pulsation_verdict(baseline), *said, *baseline.notes)
    if told:
        yield Bullets(tuple(map(_sentence, told)))
    if (part := baseline.stretch) is not None:
        yield Text(
            f"A steady part is {part.low} to {part.high} {baseline.unit}, {part.readings} readings "
            "(was the pressure right then? Only the laboratory can say):"
        )
        yield Text(stretch_options(part), strong=True)
    if band is not None and baseline.steady:
        yield Text('In [expected] of the profile, with basis = "measured" (or add --write):')
        yield ToType("low", band.low.number, baseline.unit)
        yield ToType("high", band.high.number, baseline.unit)


def stretch_options(part: Stretch) -> str:
    """The options that take a part of the log alone."""
    return f'--since "{_minute(part.since)}" --until "{_minute(part.until, last=True)}"'


def _minute(time: datetime, *, last: bool = False) -> str:
    """A time as an option takes it, seconds where it has any; `last` keeps all of them."""
    if not time.second and not time.microsecond:
        return f"{time:%Y-%m-%d %H:%M}"
    return time.isoformat(" ", "microseconds" if last and time.microsecond else "seconds")


def _sentence(text: str) -> str:
    return capital(text.removesuffix(".")) + "."


def _layout(baseline: Baseline) -> Iterator[str]:
    yield from baseline.layout
    if baseline.method is not None:
        yield f"method: {baseline.method}"
    if baseline.columns:
        yield f"column: {', '.join(baseline.columns)}"
    for without in baseline.without:
        held = f'"{without.text}"' if without.text else "empty"
        rows = "1 row" if without.rows == 1 else f"{without.rows} rows, the first"
        yield f"no reading, skipped: {rows} in line {without.line} ({held})"


def _phase(phase: PhaseBaseline, baseline: Baseline) -> Chapter:
    blocks: list[Block] = [Text(_sentence(_drift(phase.trend, baseline)))]
    if len(phase.points) > 1:
        blocks.insert(0, baseline_chart(phase, baseline))
    sections = [
        Section("Course in time", tuple(blocks)),
        Section("Readings", (Bullets(tuple(_facts(phase, baseline))),)),
    ]
    if phase.outliers:
        rows = tuple(
            (str(place.line), f"{place.time:%Y-%m-%d %H:%M}", _shown(place.pressure, baseline, 5))
            for place in phase.outliers
        )
        caption = f"{phase.outlier_count} far from their neighbours, kept"
        table = Table(caption, ("Line", "Time", f"Pressure, {baseline.unit}"), rows, (2,))
        sections.append(Section("Outliers", (table,), in_record=True))
    return Chapter(f"Phase {phase.phase}" if phase.phase else "All readings", tuple(sections))


def _shown(value: float, baseline: Baseline, significant: int = 4) -> str:
    """A pressure of the log, without its unit."""
    unit = baseline.unit
    return as_stated(value * float(PRESSURE_UNITS[unit].factor), unit, significant)


def _facts(phase: PhaseBaseline, baseline: Baseline) -> Iterator[str]:
    """What the readings are and where they lie, a sentence each."""
    unit = baseline.unit
    count = f"{phase.readings} reading{'' if phase.readings == 1 else 's'}"
    yield f"{count}, {_date(phase.first)} to {_date(phase.last)}"
    if phase.interval is not None:
        interval = phase.interval
        yield (
            f"at least {percent(baseline.coverage, 6)} of all readings lie between "
            f"{_shown(interval.low, baseline)} and {_shown(interval.high, baseline)} {unit} "
            f"(confidence {percent(baseline.confidence, 6)}): {interval.why}"
        )
    yield (
        f"median {_shown(phase.median, baseline)}, standard deviation "
        f"{_shown(phase.deviation, baseline, 3)} (by median distance "
        f"{_shown(phase.robust_deviation, baseline, 3)}), lowest {_shown(phase.lowest, baseline)}, "
        f"highest {_shown(phase.highest, baseline)} {unit}"
    )
    if phase.digits is not None:
        yield f"values counted to {phase.digits} significant digits"
    if phase.outliers:
        lines = ", ".join(str(place.line) for place in phase.outliers[:_MOST_SHOWN])
        more = phase.outlier_count - _MOST_SHOWN
        yield (
            f"far from their neighbours, kept: {phase.outlier_count} (line {lines}"
            f"{f' and {more} more' if more > 0 else ''})"
        )


def _date(time: datetime) -> str:
    return f"{time:%Y-%m-%d}"


def _drift(trend: Trend | None, baseline: Baseline) -> str:
    """Whether and when the moving average left its limits."""
    if trend is None:
        return "too few readings to tell a drift"
    out = trend.first_out
    if out is None:
        return "drift: none, the moving average stays inside its limits"
    text = (
        f"drift: the moving average first leaves its limits on {_date(out.time)} (line "
        f"{out.line}, {_shown(out.pressure, baseline)} {baseline.unit})"
    )
    if trend.out_since is None:
        return (
            f"{text}; it is back inside (by chance this happens once in about "
            f"{FALSE_SIGNAL_EVERY} points)"
        )
    if trend.out_since != out:
        text += f"; outside without a break since {_date(trend.out_since.time)}"
    return text


def why_not_steady(baseline: Baseline) -> str:
    """The gravest reason, as a sentence without its full stop."""
    told = [*_movements(baseline), *baseline.doubts]
    return told[0].removesuffix(".") if told else "too few readings"


def _movements(baseline: Baseline) -> Iterator[str]:
    """What moved, in every phase that was not steady."""
    for phase in baseline.phases:
        if phase.trend is not None and not phase.trend.steady:
            about = f"{phase.phase}: " if phase.phase else ""
            told = list(_movement(phase.trend, baseline)) or [_drift(phase.trend, baseline)]
            yield from (about + text for text in told)


def _movement(trend: Trend, baseline: Baseline) -> Iterator[str]:
    """Slope and steps."""
    unit = baseline.unit
    if trend.direction in ("rising", "falling") and trend.slope is not None:
        slope = f"now {trend.direction} by {_shown(abs(trend.slope), baseline, 3)} {unit} a day"
        yield f"{slope}{_to_the_cutoff(trend, baseline)}"
    for step in trend.steps:
        text = (
            f"step of {_shown(step.height, baseline, 3)} {unit} on {_date(step.time)} "
            f"(line {step.line})"
        )
        yield f"{text}: the column was changed, {step.column}" if step.column else text


def _to_the_cutoff(trend: Trend, baseline: Baseline) -> str:
    which, cutoff = "high", baseline.high_cutoff
    if trend.direction == "falling":
        which, cutoff = "low", baseline.low_cutoff
    if cutoff is None:
        return ""
    named = f"the {which} cutoff, {_shown(cutoff, baseline, 6)} {baseline.unit}"
    if trend.at_cutoff:
        return f", and already at {named}"
    if trend.reaches_cutoff is None:
        return f"; {named}, is more than ten years off"
    return f"; at this slope it reaches {named}, about {_date(trend.reaches_cutoff)}"


def baseline_data(
    baseline: Baseline, file: ProfileFile | None, lives: Sequence[Life] = ()
) -> dict[str, Any]:
    """The baseline for JSON; the method is that of the log."""
    factor = float(PRESSURE_UNITS[baseline.unit].factor)

    def shape(value: float) -> dict[str, str]:
        return predicted_data(value * factor, baseline.unit)

    found = plain_data(baseline, shape, _NUMBERS)
    if not baseline.steady:  # no band that a program might take for normal
        found["expected"] = None
    return frame(
        **found,
        profile=profile_data(file) if file is not None else None,
        steady=baseline.steady,
        lives=[_life_data(life, shape) for life in lives],
        cautions=texts(IN_A_RECORD),
    )


def _life_data(life: Life, shape: Callable[[float], dict[str, str]]) -> dict[str, Any]:
    at = life.worn_at
    data: dict[str, Any] = plain_data(life, shape, ("reference_flow", "injections"))
    numbers = None if at is None else {"low": at.low, "central": at.central, "high": at.high}
    return data | {"worn_at": data["worn_at"] if numbers is None else data["worn_at"] | numbers}

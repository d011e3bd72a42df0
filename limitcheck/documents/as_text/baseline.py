"""A baseline as text with a chart, and as plain dictionaries."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Any

from ...history.drift import FALSE_SIGNAL_EVERY
from ...history.normal import Baseline, PhaseBaseline, Point, Trend
from ...render.lines import wrap
from ...units.printing import digits, short
from ...version import __version__
from ..cautions import IN_A_RECORD, texts
from ..paragraphs import caution_lines, count, items, plain_data

_MOST_SHOWN = 12  # outliers; JSON has more
_COLUMNS, _ROWS = 68, 12


def render(baseline: Baseline) -> str:
    """The baseline for people."""
    unit = baseline.unit
    lines = [
        *wrap(f"{baseline.file}: normal pressure, in {unit}"),
        *(line for told in baseline.layout for line in wrap(told, "  ", "    ")),
    ]
    if baseline.blank_rows:
        lines.append(f"  {count(baseline.blank_rows, 'row')} without a pressure passed over")
    if baseline.method is not None:
        lines += wrap(f"method: {baseline.method}", "  ", "    ")
    if baseline.columns:
        lines += wrap(f"column: {', '.join(baseline.columns)}", "  ", "    ")
    for phase in baseline.phases:
        lines += ["", *_phase(phase, baseline)]
    if baseline.doubts:
        lines += ["", "Do not use the band as it is:", *items(baseline.doubts)]
    if baseline.notes:
        lines += ["", "Before you use the band:", *items(baseline.notes)]
    if baseline.expected is not None and not baseline.doubts:
        lines += ["", "For the profile (or say --write):", "", baseline.expected.table]
    lines += ["", *caution_lines(IN_A_RECORD)]
    return "\n".join(lines) + "\n"


def _phase(phase: PhaseBaseline, baseline: Baseline) -> Iterator[str]:
    first, *rest = facts(phase, baseline)
    yield from wrap(f"Phase {phase.phase}: {first}" if phase.phase else first)
    for sentence in rest:
        yield from wrap(sentence, "  ", "    ")
    if len(phase.points) > 1:
        yield ""
        yield from chart(phase, baseline)
    for sentence in course(phase, baseline):
        yield from wrap(sentence, "  ", "    ")
    if phase.outlier_count:
        yield from _outliers(phase, baseline.unit)


def facts(phase: PhaseBaseline, baseline: Baseline) -> Iterator[str]:
    """What the readings are and where they lie, a sentence each."""
    yield f"{count(phase.readings, 'reading')}, {_date(phase.first)} to {_date(phase.last)}"
    yield (
        f"median {short(phase.median, 5)}, standard deviation {digits(phase.deviation)} "
        f"(by median distance {digits(phase.robust_deviation)}), lowest {short(phase.lowest, 5)}, "
        f"highest {short(phase.highest, 5)} {baseline.unit}"
    )
    if phase.digits is not None:
        yield f"values counted to {phase.digits} significant digits"
    if phase.interval is not None:
        interval = phase.interval
        yield (
            f"at least {100 * baseline.coverage:g}% of all readings lie between "
            f"{short(interval.low, 4)} and {short(interval.high, 4)} {baseline.unit} (confidence "
            f"{100 * baseline.confidence:g}%): {interval.why}"
        )


def _date(time: datetime) -> str:
    return f"{time:%Y-%m-%d}"


def course(phase: PhaseBaseline, baseline: Baseline) -> Iterator[str]:
    """Drift, slope and steps, a sentence each."""
    trend, unit = phase.trend, baseline.unit
    if trend is None:
        yield "too few readings to tell a drift"
        return
    if trend.first_out is None:
        yield "drift: none, the moving average stays inside its limits"
    else:
        out = trend.first_out
        text = (
            f"drift: the moving average first leaves its limits on {_date(out.time)} (line "
            f"{out.line}, {short(out.pressure, 4)} {unit})"
        )
        if trend.out_since is None:
            text += (
                "; it is back inside (by chance this happens once in about "
                f"{FALSE_SIGNAL_EVERY} points)"
            )
        elif trend.out_since != out:
            text += f"; outside without a break since {_date(trend.out_since.time)}"
        yield text
    if trend.direction in ("rising", "falling") and trend.slope is not None:
        slope = f"now {trend.direction} by {digits(abs(trend.slope))} {unit} a day"
        yield f"{slope}{_to_the_cutoff(trend, baseline)}"
    for step in trend.steps:
        text = f"step of {digits(step.height)} {unit} on {_date(step.time)} (line {step.line})"
        yield f"{text}: the column was changed, {step.column}" if step.column else text


def _to_the_cutoff(trend: Trend, baseline: Baseline) -> str:
    which, cutoff = "high", baseline.high_cutoff
    if trend.direction == "falling":
        which, cutoff = "low", baseline.low_cutoff
    if cutoff is None:
        return ""
    named = f"the {which} cutoff, {short(cutoff)} {baseline.unit}"
    if trend.at_cutoff:
        return f", and already at {named}"
    if trend.reaches_cutoff is None:
        return f"; {named}, is more than ten years off"
    return f"; at this slope it reaches {named}, about {_date(trend.reaches_cutoff)}"


def _outliers(phase: PhaseBaseline, unit: str) -> Iterator[str]:
    yield f"  far from their neighbours, {phase.outlier_count} (kept):"
    for place in phase.outliers[:_MOST_SHOWN]:
        yield f"    line {place.line}, {_date(place.time)}: {short(place.pressure, 5)} {unit}"
    if phase.outlier_count > _MOST_SHOWN:
        yield f"    and {phase.outlier_count - _MOST_SHOWN} more"


def chart(phase: PhaseBaseline, baseline: Baseline) -> Iterator[str]:
    """Readings (*), their moving average (o) and its limits (-), in order of time."""
    points = phase.points
    trend = phase.trend
    marks: list[float] = [p.pressure for p in points]
    if trend is not None:
        marks += [trend.low_limit, trend.high_limit]
    top, bottom = max(marks), min(marks)
    span = (top - bottom) or 1.0
    columns = min(_COLUMNS, len(points))

    def row(value: float) -> int:
        return min(_ROWS - 1, max(0, round((_ROWS - 1) * (top - value) / span)))

    grid = [[" "] * columns for _ in range(_ROWS)]
    if trend is not None:
        for limit in (trend.low_limit, trend.high_limit):
            grid[row(limit)] = ["-"] * columns
    for index, point in enumerate(points):
        column = index * columns // len(points)
        if point.average is not None:
            grid[row(point.average)][column] = "o"
    for index, point in enumerate(points):
        grid[row(point.pressure)][index * columns // len(points)] = "*"
    for index, cells in enumerate(grid):
        label = digits(top - span * index / (_ROWS - 1), 4) if index % 3 == 0 else ""
        yield f"{label:>8} |{''.join(cells).rstrip()}"
    yield f"{'':8} +{'-' * columns}"
    first, last = _date(points[0].time), _date(points[-1].time)
    yield f"{'':10}{first}{last:>{max(columns - len(first), len(last) + 1)}}"
    yield from wrap(_legend(points, trend, baseline.unit), " " * 10)


def _legend(points: Sequence[Point], trend: Trend | None, unit: str) -> str:
    most = max(point.readings for point in points)
    each = "a reading" if most == 1 else f"the mean of {most} readings"
    text = f"* {each}, in {unit}"
    return text + ("; o moving average; - its limits" if trend is not None else "")


def document(baseline: Baseline) -> dict[str, Any]:
    """The baseline for JSON: pressures in `unit`, times as ISO 8601."""
    return {
        "format": 1,
        "tool": {"name": "limitcheck", "version": __version__},
        **plain_data(baseline),
        "cautions": texts(IN_A_RECORD),
    }

"""A prediction as text, with a chart of the gradient, and as plain dictionaries."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ...physics.predict import Prediction, RunPoint, pressure
from ...physics.system import System
from ...profile.model import Expected, Profile
from ...render.lines import safe, wrap
from ...units import TRADE_UNITS
from ...units.printing import digits, figure, in_unit, in_units, units_shown
from ...version import __version__

COLUMNS, ROWS = 60, 12
NOT_COVERED = (
    "Not covered: buffers and additives, dissolved sample, age and dirt of the column. "
    "An aid to review: the maker's manual, the site's procedures and qualified staff decide."
)


def render(
    profile: Profile, prediction: Prediction, ready: System, changes: str | None = None
) -> str:
    """The prediction for people; ``changes`` says what differs from the profile."""
    unit = profile.instrument.pressure_unit
    lines = [
        *wrap(f"{profile.method.id} on {profile.instrument.id}: predicted pressure"),
        *wrap(_conditions(ready, prediction, changes), "  "),
        "",
        *_table(prediction, unit),
        *_gradient(prediction, ready, unit),
        "",
        *_budget(prediction, unit),
        *wrap(_left_out(prediction), "  "),
        "",
        "What the interval rests on:",
        *(line for reason in prediction.reasons for line in wrap(reason, "  - ", "    ")),
        *_declared(profile.expected, changes),
        "",
        *wrap(NOT_COVERED),
    ]
    return "\n".join(lines) + "\n"


def _conditions(ready: System, prediction: Prediction, changes: str | None) -> str:
    state = ready.state
    solvents = " + ".join(name for name in (ready.solvent_a, ready.solvent_b) if name)
    run = (
        f"gradient over {digits(ready.programme[-1][0])} min"
        if len(ready.programme) > 1
        else f"{prediction.highest.percent_b:.4g} % B"
    )
    text = (
        f"{digits(state.flow * 6e7)} mL/min, column {state.hot - 273.15:.4g} degC, "
        f"elsewhere {state.cold - 273.15:.4g} degC, {solvents}, {run}"
    )
    return f"{text} (changed here: {changes})" if changes else text


def _table(prediction: Prediction, unit: str) -> Iterator[str]:
    units = units_shown(unit)
    yield f"  {'':30}" + "".join(f"{name:>10}" for name in units)
    for word, value in (
        ("low", prediction.low),
        ("central", prediction.central),
        ("high", prediction.high),
    ):
        at = "" if len(prediction.points) == 1 else " (highest of the run)"
        yield f"  {word + at:30}" + "".join(f"{figure(value, name):>10}" for name in units)
    if len(prediction.points) > 1:
        value = prediction.lowest.central
        text = "central (lowest)"
        yield f"  {text:30}" + "".join(f"{figure(value, name):>10}" for name in units)


def _budget(prediction: Prediction, unit: str) -> Iterator[str]:
    yield f"{f'By part, in {unit}':44} {'low':>8} {'central':>8} {'high':>8} {'share':>7}"
    for share in prediction.budget:
        name = safe(share.name)
        name = name if len(name) <= 42 else name[:39] + "..."
        low, central, high = (figure(v, unit) for v in (share.low, share.central, share.high))
        part = 100 * share.central / prediction.central
        yield f"  {name:42} {low:>8} {central:>8} {high:>8} {part:5.0f} %"


def _left_out(prediction: Prediction) -> str:
    if not prediction.left_out:
        return "Every part of the flow path has a resistance."
    return "Left out, no resistance given: " + ", ".join(prediction.left_out) + "."


def _declared(expected: Expected | None, changes: str | None) -> Iterator[str]:
    if expected is None or changes is not None:
        return
    yield ""
    yield from wrap(
        f"[expected] in the profile: {expected.low} to {expected.high} ({expected.basis})"
    )


def _gradient(prediction: Prediction, ready: System, unit: str) -> Iterator[str]:
    if len(prediction.points) == 1:
        return
    peak = prediction.highest
    yield ""
    yield (
        f"Highest at {digits(peak.minute)} min, {peak.percent_b:.3g} % B. "
        f"Over the run, in {unit} (* central, . interval):"
    )
    yield from chart(curve(ready, COLUMNS), unit)


def curve(ready: System, count: int) -> list[RunPoint]:
    """The pressure [Pa] at ``count`` moments [min], evenly over the gradient.

    Where a column of a chart holds a point or peak of the programme the nearest moment is
    taken, so a short step may fall between two moments.
    """
    start, end = ready.programme[0][0], ready.programme[-1][0]
    moments = [start + (end - start) * i / (count - 1) for i in range(count)]
    return [
        RunPoint(minute, percent_b, *pressure(ready, percent_b))
        for minute, percent_b in ((m, ready.composition(m)) for m in moments)
    ]


def chart(points: list[RunPoint], unit: str) -> Iterator[str]:
    """The curve in plain characters, one column a point, time to the right."""
    top = max(point.high for point in points)
    bottom = min(point.low for point in points)
    span = (top - bottom) or 1.0

    def row(value: float) -> int:
        return round((ROWS - 1) * (top - value) / span)

    grid = [[" "] * len(points) for _ in range(ROWS)]
    for column, point in enumerate(points):
        for filled in range(row(point.high), row(point.low) + 1):
            grid[filled][column] = "."
        grid[row(point.central)][column] = "*"
    for index, cells in enumerate(grid):
        value = top - span * index / (ROWS - 1)
        label = digits(in_unit(value, unit)) if index % 3 == 0 or index == ROWS - 1 else ""
        yield f"{label:>9} |{''.join(cells).rstrip()}"
    yield f"{'':9} +{'-' * len(points)}"
    first, last = digits(points[0].minute), f"{digits(points[-1].minute)} min"
    yield f"{'':11}{first}{last:>{len(points) - len(first)}}"


def document(
    profile: Profile, prediction: Prediction, ready: System, changes: str | None = None
) -> dict[str, Any]:
    """The prediction for JSON.

    Pressures under ``..._pa`` are in pascal, under ``pressure`` in each unit of the trade;
    ``budget`` is at the highest point; ``place`` is the part's index in ``flow_path``.
    """
    state = ready.state
    return {
        "format": 1,
        "tool": {"name": "limitcheck", "version": __version__},
        "method": profile.method.id,
        "instrument": profile.instrument.id,
        "pressure_unit": profile.instrument.pressure_unit,
        "conditions": {
            "flow_m3_per_s": state.flow,
            "column_temperature_k": state.hot,
            "ambient_k": state.cold,
            "ambient_known": state.cold_known,
            "solvent_a": ready.solvent_a,
            "solvent_b": ready.solvent_b,
            "changed": changes,
        },
        "low_pa": prediction.low,
        "central_pa": prediction.central,
        "high_pa": prediction.high,
        "pressure": {
            word: in_units(value, TRADE_UNITS)
            for word, value in (
                ("low", prediction.low),
                ("central", prediction.central),
                ("high", prediction.high),
            )
        },
        "peak_minute": prediction.peak_minute,
        "lowest": _point(prediction.lowest),
        "highest": _point(prediction.highest),
        "points": [_point(point) for point in prediction.points],
        "budget": [
            {
                "place": share.place,
                "part": share.name,
                "low_pa": share.low,
                "central_pa": share.central,
                "high_pa": share.high,
            }
            for share in prediction.budget
        ],
        "left_out": list(prediction.left_out),
        "reasons": list(prediction.reasons),
        "extrapolated": prediction.extrapolated,
        "not_covered": NOT_COVERED,
    }


def _point(point: RunPoint) -> dict[str, float]:
    return {
        "minute": point.minute,
        "percent_b": point.percent_b,
        "low_pa": point.low,
        "central_pa": point.central,
        "high_pa": point.high,
    }

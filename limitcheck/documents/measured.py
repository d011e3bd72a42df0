"""Measured pairs of flow and pressure beside the prediction, as a section and as plain data."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any

from ..physics.constants import celsius
from ..physics.measured import told
from ..physics.pairs import Factor, Fit, Pair
from ..physics.predict import Prediction
from ..profile.model import Profile
from ..units.printing import as_stated, figures
from .blocks import Section, Table, Text
from .data import predicted_data, pressure_data
from .parts import stated_temperatures

_HEAD = ("Pair", "Flow", "Read", "Measured", "By geometry", "Low", "High", "Fitted")
CLEAN = "Only for a clean column in normal work: a blockage would become the new normal."


def measured_sections(profile: Profile, prediction: Prediction) -> Iterator[Section]:
    """The pairs of the profile, what the geometry makes of each, and what they come to."""
    fit = prediction.ready.path.fit
    if fit is None:
        return
    unit = profile.instrument.pressure_unit
    pairs = fit.estimate.pairs if fit.estimate else ()
    head: tuple[str, ...] = _HEAD
    rows = tuple(_row(profile, pair, unit) for pair in pairs)
    if fit.unused:  # what was fitted to them stands for nothing
        head, rows = head[:-1], tuple(row[:-1] for row in rows)
    table = Table("", head, rows, tuple(range(3, len(head))))
    texts = [f"Pair {number} cannot be used: {why}." for number, why in fit.skipped]
    if fit.unused:
        texts.append(f"The prediction does not use the pairs: {fit.unused}.")
    else:
        texts += [f"{told(fit)}.", f"They outrank the geometry. {CLEAN}"]
        texts += [
            f"{name}: the geometry allows {group.least:.2f} to {group.most:.2f} times. What may be "
            "wrong: limitcheck check."
            for name, group in fit.groups
            if group.outside
        ]
    blocks = (*((table,) if rows else ()), *map(Text, texts))
    yield Section(f"Measured pairs, in {unit}", blocks)


def _row(profile: Profile, pair: Pair, unit: str) -> tuple[str, ...]:
    typed = profile.measured[pair.reading.number - 1]
    state = pair.reading.state
    degrees = stated_temperatures(profile, typed)
    hot = figures(celsius(state.hot), 4, typed=degrees)
    read = f"column {hot} degC" if pair.reading.column else "without column"
    if typed.percent_b is not None:
        read += f", {figures(float(typed.percent_b), 4, typed=[typed.percent_b])} % B"
    pressures = pair.reading.pressure, pair.predicted, pair.least, pair.most, pair.fitted
    shown = (as_stated(pressure, unit, typed=[typed.pressure]) for pressure in pressures)
    return str(pair.reading.number), str(typed.flow), read, *shown


def measured_data(profile: Profile, prediction: Prediction) -> dict[str, Any] | None:
    """The pairs and what they come to as plain data; None without any."""
    fit = prediction.ready.path.fit
    if fit is None:
        return None
    shape = partial(predicted_data, unit=profile.instrument.pressure_unit)
    return {
        "used": not fit.unused,
        "reason": fit.unused or None,
        "pairs": [
            {
                "pair": pair.reading.number,
                "pressure": pressure_data(profile.measured[pair.reading.number - 1].pressure),
                "without_column": not pair.reading.column,
                "by_geometry": {
                    "low": shape(pair.least),
                    "central": shape(pair.predicted),
                    "high": shape(pair.most),
                },
                "fitted": shape(pair.fitted),
            }
            for pair in (fit.estimate.pairs if fit.estimate else ())
        ],
        "not_computed": [{"name": f"pair {number}", "reason": why} for number, why in fit.skipped],
        "factors": _factors(fit),
        "separated": fit.separated,
    }


def _factors(fit: Fit) -> dict[str, Any] | None:
    found = fit.estimate
    if found is None:
        return None
    groups = {"whole": found.whole, "columns": found.columns, "other_parts": found.others}
    return {name: group and _factor(group) for name, group in groups.items()}


def _factor(group: Factor) -> dict[str, float]:
    """Times what the geometry makes, and what it allows."""
    return {name: float(f"{value:.4g}") for name, value in group._asdict().items()}

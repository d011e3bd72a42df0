"""The fleet as plain data: every pressure as given and in the unit of the table, exact."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ..checking.fleet import Facts, FleetRow
from ..checking.margins import Margin
from ..checking.root import shown_text
from ..checking.run import Run
from ..units import Pressure
from .data import exact_text, frame, pressure_data
from .looked import looked_data
from .settings import policies_data


def fleet_data(rows: Sequence[FleetRow], run: Run, unit: str) -> dict[str, Any]:
    """The rows as plain data, in their order."""
    return frame(
        unit=unit,
        profiles=[_row_data(row, unit) for row in rows],
        summary=run.summary._asdict(),
        exit_code=run.exit_code,
        policies=policies_data(run.policies),
        looked=looked_data(run.looked),
    )


def _row_data(row: FleetRow, unit: str) -> dict[str, Any]:
    facts = row.facts
    return {
        "path": shown_text(row.path),
        "sha256": row.sha256,
        "method": row.method or None,
        "revision": (facts and facts.revision) or None,
        "site": (facts and facts.site) or None,
        "instrument": row.instrument or None,
        "unit": facts and facts.unit,
        "nearness": row.nearness.name.lower().replace("_", "-"),
        "state": row.state,
        "worst": row.worst or None,
        "counts": dict(row.counts),
        "not_decided": row.undecided,
        "required_not_decided": list(row.left_open),
        "pressures": facts and _pressures_data(facts, unit),
        "measured_pairs": facts and facts.pairs,
        "last_measured": facts and facts.last_measured and facts.last_measured.isoformat(),
    }


def _pressures_data(facts: Facts, unit: str) -> dict[str, Any]:
    margins = facts.margins
    band = facts.band
    return {
        "high": _pair(facts.high, unit),
        "low": _pair(facts.low, unit),
        "expected": band
        and {"low": _pair(band.low, unit), "high": _pair(band.high, unit), "basis": band.basis},
        "expected_in_doubt": facts.doubt or None,
        "weakest": facts.weakest
        and {"part": facts.part, "rating": _pair(facts.weakest, unit), "lowered": facts.derated},
        "unrated": list(facts.unrated),
        "high_over_expected": _margin_data(margins.over_band, unit),
        "low_under_expected": _margin_data(margins.under_band, unit),
        "headroom": _margin_data(margins.headroom, unit),
        "headroom_is": facts.headroom_is,
    }


def _pair(pressure: Pressure | None, unit: str) -> dict[str, Any] | None:
    """As given and in the common unit."""
    if pressure is None:
        return None
    common = Pressure.of(pressure.to(unit), unit)
    return {"given": pressure_data(pressure), "common": pressure_data(common)}


def _margin_data(margin: Margin | None, unit: str) -> dict[str, Any] | None:
    """The share as exact text, and the distance."""
    if margin is None:
        return None
    room = pressure_data(Pressure.of(margin.room(unit), unit))
    return {"share": exact_text(margin.share), "room": room}

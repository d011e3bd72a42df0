"""The table of faults as text and as plain dictionaries."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ...physics.faults import FaultEffect, Faults, Smallest
from ...render.lines import wrap
from ...units import TRADE_UNITS
from ...units.printing import figure, in_units
from ...version import __version__

OUTCOMES = {
    None: "Nobody notices",
    "high": "The high cutoff stops the pump",
    "low": "The low cutoff stops the pump",
}
CAUTION = (
    "An unseen fault can still spoil results or wet the bench: cutoffs do not replace "
    "leak sensors, system suitability tests and a look at the instrument. Never raise a "
    "cutoff above a rating to get past a blockage."
)


def render(found: Faults) -> str:
    """The table for people."""
    profile, normal = found.profile, found.normal
    unit = profile.instrument.pressure_unit
    cutoffs = ", ".join(
        f"{name} {value if value is not None and value.value > 0 else 'off'}"
        for name, value in (("high", profile.cutoffs.high), ("low", profile.cutoffs.low))
    )
    lines = [
        *wrap(f"{profile.method.id} on {profile.instrument.id}: what faults do to the pressure"),
        *wrap(
            f"Normal: {figure(normal.low, unit)} to {figure(normal.high, unit)} {unit} "
            f"({normal.basis}). Cutoffs: {cutoffs}.",
            "  ",
        ),
    ]
    for outcome, title in OUTCOMES.items():
        effects = [effect for effect in found.effects if effect.stopped_by == outcome]
        if effects:
            lines += [
                "",
                f"{f'{title}; pressure in {unit}':44} {'low':>7} {'middle':>7} {'high':>7}",
            ]
            lines += [line for effect in effects for line in _effect(effect, unit)]
    lines += ["", "Smallest that these cutoffs see, from the near to the far end of normal:"]
    lines += [line for smallest in found.smallest for line in _smallest(smallest)]
    if found.not_computed:
        lines += ["", "Not computed:"]
        by_reason: dict[str, list[str]] = {}
        for missing in found.not_computed:
            by_reason.setdefault(missing.reason, []).append(fault_words(missing.name))
        for reason, names in by_reason.items():
            lines += wrap(f"{', '.join(names)}: {reason}", "  ", "    ")
    lines += [
        "",
        *wrap("usually: from the middle of normal on; sometimes: only at its end."),
        *wrap(CAUTION),
    ]
    return "\n".join(lines) + "\n"


def fault_words(name: str) -> str:
    """A fault's name as words; the solvents keep their capitals."""
    return name.replace("-", " ").replace("only a", "only A").replace("only b", "only B")


def _effect(effect: FaultEffect, unit: str) -> Iterator[str]:
    low, central, high = (figure(v, unit) for v in (effect.low, effect.central, effect.high))
    sure = f"  {effect.certainty}" if effect.certainty in ("usually", "sometimes") else ""
    yield f"  {fault_words(effect.name):42} {low:>7} {central:>7} {high:>7}{sure}"
    yield from wrap(effect.description, "    ")


def _smallest(smallest: Smallest) -> Iterator[str]:
    if smallest.earliest is None or smallest.latest is None:
        yield from wrap(f"{smallest.description}: {smallest.reason}", "  ", "    ")
        return
    near, far = f"{smallest.earliest:.0%}", f"{smallest.latest:.0%}"
    shown = near if near == far else f"{near} to {far}"
    yield f"  {smallest.description:52} {shown}"


def document(found: Faults) -> dict[str, Any]:
    """The table for JSON: pressures under ``..._pa`` in pascal, ratios and shares as numbers.

    ``stopped_by`` is "high", "low" or null (nobody notices); ``ratio`` is the pressure over
    the normal pressure at the highest point of the run.
    """
    profile, normal = found.profile, found.normal
    return {
        "format": 1,
        "tool": {"name": "limitcheck", "version": __version__},
        "method": profile.method.id,
        "instrument": profile.instrument.id,
        "pressure_unit": profile.instrument.pressure_unit,
        "normal": {
            "low_pa": normal.low,
            "high_pa": normal.high,
            "basis": normal.basis,
            "gradient": normal.gradient,
        },
        "cutoffs": {"high_pa": found.cutoff("high"), "low_pa": found.cutoff("low")},
        "faults": [
            {
                "name": effect.name,
                "description": effect.description,
                "low_pa": effect.low,
                "central_pa": effect.central,
                "high_pa": effect.high,
                "central": in_units(effect.central, TRADE_UNITS),
                "ratio": effect.ratio._asdict(),
                "direction": effect.direction,
                "stopped_by": effect.stopped_by,
                "certainty": effect.certainty,
            }
            for effect in found.effects
        ],
        "smallest": [smallest._asdict() for smallest in found.smallest],
        "not_computed": [missing._asdict() for missing in found.not_computed],
        "caution": CAUTION,
    }

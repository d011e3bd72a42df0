"""How long one stroke of a pump takes, and all its heads in turn."""

from __future__ import annotations

from typing import NamedTuple

from ..profile.model import Profile, Pump


class Strokes(NamedTuple):
    """The pump's own periods [s]: of one stroke, and of all heads in turn where it is known."""

    stroke: float
    cycle: float | None


def strokes(profile: Profile) -> Strokes | str:
    """The periods of the pump in the flow path [s], or what is missing.

    stroke = V / F, cycle = heads V / F, V what one stroke of one head delivers, F the flow.

    Of a pump that delivers one head at a time (its own definition: `stroke_volume`, `heads`).
    """
    pump, conditions = profile.flow_path[0], profile.conditions
    if not isinstance(pump, Pump) or pump.stroke_volume is None:
        return "the pump has no stroke_volume"
    if conditions is None or conditions.flow is None:
        return "no conditions.flow"
    stroke = float(pump.stroke_volume) / float(conditions.flow)
    return Strokes(stroke, stroke * float(pump.heads) if pump.heads is not None else None)

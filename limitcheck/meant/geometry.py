"""Lengths and flows that cannot be right, and what they may have been meant to be.

They are doubted by themselves: a particle size of 3 mm says nothing about the unit of a pressure.
A length that could be right joins the search for pressures instead, where the expected band
contradicts the prediction. All figures are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from math import log

from ..findings import KeyPath
from ..profile.edited import with_values
from ..profile.model import Column, Profile, Tube
from ..profile.plausible import Implausible, implausible_geometry, is_made
from ..units import Flow, Length
from .evidence import Evidence, MeantNumber, Predicted
from .hypotheses import Hypothesis

FLOW: KeyPath = ("conditions", "flow")
_LENGTH_UNITS = {"mm": 0.0, "um": 0.0, "cm": 0.3, "m": 0.8, "nm": 1.5, "in": 2.0}
_FLOW_UNITS = {"mL/min": 0.0, "uL/min": 0.0, "L/min": 1.0, "nL/min": 1.0}
_UNIT, _TEN_TIMES, _RADIUS = 2.0, 4.0, 3.3
"""Costs of a wrong unit, of a decimal point misplaced, and of a radius in place of a bore."""
_ODD_BORE, _COARSE_FRIT = 1.5, 1.5
_USUAL_COLUMN = {"length": (20e-3, 0.3), "particle_size": (1.3e-6, 20e-6)}
_USUAL_TUBE = {"length": (20e-3, 3.0), "bore": (20e-6, 1.1e-3)}
_USUAL_FLOW_PER_BORE = (0.004 / 60, 0.25 / 60)
"""Metre, and m/s: flow over the square of the bore."""
_NEARLY = 2.5
"""A change of pressure this far from what is needed, in ln, is not looked into."""
_FAR_OFF = 5.0
"""Most that a band far from the prediction counts against a length: it may be wrong itself."""


def size_slips(profile: Profile, path: KeyPath) -> Iterator[Hypothesis]:
    """A length or flow in other units, ten times and a tenth, and a bore twice."""
    value = value_at(profile, path)
    units = _FLOW_UNITS if isinstance(value, Flow) else _LENGTH_UNITS
    for unit, rare in units.items():
        if unit != value.unit:
            yield _slip(path, unit, value.number, _UNIT + rare)
    number = Decimal(value.number)
    for power in (1, -1):
        yield _slip(path, value.unit, _text(number.scaleb(power)), _TEN_TIMES)
    if path[-1] == "bore":
        yield _slip(path, value.unit, _text(number * 2), _RADIUS)


def _slip(path: KeyPath, unit: str, number: str, cost: float) -> Hypothesis:
    return Hypothesis((MeantNumber(path, "geometry", unit, number),), cost)


def _text(number: Decimal) -> str:
    return f"{number.normalize():f}"


def value_at(profile: Profile, path: KeyPath) -> Length | Flow:
    """The length or flow at a key path that holds one."""
    table = profile.conditions if path == FLOW else profile.flow_path[int(path[1])]
    found: Length | Flow = getattr(table, str(path[-1]))
    return found


def changed(profile: Profile, change: MeantNumber) -> Profile:
    """The profile with another length or flow."""
    return with_values(profile, [(change.group, change.number, change.unit)])


def size_cost(profile: Profile) -> float:
    """How unusual lengths, bores, particles, frits and the flow for the bore are together."""
    conditions = profile.conditions
    flow = float(conditions.flow) if conditions is not None and conditions.flow else 0.0
    cost = 0.0
    for part in profile.flow_path:
        if isinstance(part, Tube):
            cost += sum(_off(part, key, usual) for key, usual in _USUAL_TUBE.items())
        elif isinstance(part, Column):
            cost += sum(_off(part, key, usual) for key, usual in _USUAL_COLUMN.items())
            cost += _bore_cost(part, flow)
            for frit in (part.inlet_frit, part.outlet_frit):
                if frit and part.particle_size and frit > part.particle_size:
                    cost += _COARSE_FRIT
    return cost


def _off(part: Column | Tube, key: str, usual: tuple[float, float]) -> float:
    length: Length | None = getattr(part, key)
    return 0.0 if length is None else _outside(float(length), *usual)


def _outside(value: float, least: float, most: float) -> float:
    if value < least:
        return log(least / value)
    return log(value / most) if value > most else 0.0


def _bore_cost(column: Column, flow: float) -> float:
    if column.bore is None:
        return 0.0
    bore = float(column.bore)
    per_bore = 1.5 * _outside(flow / bore**2, *_USUAL_FLOW_PER_BORE) if flow else 0.0
    return per_bore + (0.0 if is_made(bore) else _ODD_BORE)


def slips_against_prediction(evidence: Evidence) -> Iterator[Hypothesis]:
    """Plausible lengths and flows by which the prediction would fit the expected band."""
    before, now = size_cost(evidence.profile), evidence.declared
    assert now.band is not None
    assert now.predicted is not None
    if now.band[1] <= 0 or now.predicted.central <= 0:
        return
    needed = log(now.band[1] / now.predicted.central)
    for path in evidence.predicted_by:
        for slip in size_slips(evidence.profile, path):
            if abs(_pressure_change(evidence.profile, slip) - needed) > _NEARLY:
                continue
            after = changed(evidence.profile, slip.changes[0])
            if not implausible_geometry(after):
                more = size_cost(after) - before
                yield Hypothesis(slip.changes, slip.cost + more)


def _pressure_change(profile: Profile, slip: Hypothesis) -> float:
    """ln of how many times the pressure of its part is higher with another length or flow."""
    change = slip.changes[0]
    value = value_at(profile, change.group)
    by = log(float(type(value).of(change.number, change.unit)) / float(value))
    power = {"length": 1, "flow": 1, "particle_size": -2, "bore": -2}[str(change.group[-1])]
    if change.group != FLOW and isinstance(profile.flow_path[int(change.group[1])], Tube):
        power = {1: 1, -2: -4}[power]
    return power * by


def mending(evidence: Evidence, profile: Profile, first: Implausible) -> Iterator[Hypothesis]:
    """What may mend the first implausible length or flow, costs with what stays unusual."""
    for path in first.paths:
        for slip in size_slips(profile, path):
            after = changed(profile, slip.changes[0])
            left = implausible_geometry(after)
            if not any(item.paths == first.paths for item in left):
                others = len({item.paths for item in left})
                cost = slip.cost + size_cost(after) + _UNIT * others
                yield Hypothesis(slip.changes, cost + _prediction_cost(evidence, after))


def _prediction_cost(evidence: Evidence, profile: Profile) -> float:
    """How far the expected maximum is from what this geometry makes."""
    band = evidence.declared.band
    if band is None or band[1] <= 0:
        return 0.0
    found = Predicted.made_by(profile)
    if found is None:
        return 0.0
    most = found.high + found.left_out
    return min(_FAR_OFF, 2.0 * _outside(band[1], min(found.low, most), most))

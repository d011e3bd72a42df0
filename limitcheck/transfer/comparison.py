"""Every field of both profiles, each with the rule that rules it: the one list of all rulings.

A field of the format that has no line in `RULERS` fails a test.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from ..profile.model import (
    AnyPart,
    Column,
    Conditions,
    Cutoffs,
    Device,
    Expected,
    Instrument,
    MarginSettings,
    Method,
    Profile,
    Pump,
    Tube,
)
from ..profile.table import FormatTable
from .adjustment import rule_flow, rule_injection_volume, rule_temperature
from .came_across import rule_high_cutoff, rule_low_cutoff, rule_rating
from .column import rule_bore, rule_chemistry, rule_particle, rule_plate_number, rule_size
from .composition import rule_percent_b
from .display import rule_entry, rule_unit
from .dwell import rule_dwell_volume, rule_injection_minute
from .normal_pressure import counted, rule_band_end, rule_basis, rule_swing, rule_tube_size
from .pairing import PartPair, in_another_order, paired_parts
from .programme import rule_gradient
from .ruling import (
    Field,
    Pair,
    Ruler,
    Ruling,
    checked,
    for_information,
    is_given,
    made_from,
    measured,
    must_be_same,
    reference,
)
from .solvent import rule_solvent

_PART: Mapping[str, Ruler] = {
    "use": reference,
    "part": must_be_same,
    "label": for_information,
    "serial": for_information,
    "rating": rule_rating,
    "rating_at_flow": checked,
    "rating_at_temperature": checked,
    "interpolate": checked,
}
RULERS: Mapping[type[FormatTable], Mapping[str, Ruler]] = {
    Method: {
        "id": must_be_same,
        "title": for_information,
        "revision": must_be_same,
        "site": for_information,
    },
    Instrument: {
        "use": reference,
        "id": for_information,
        "pressure_unit": rule_unit,
        "display_step": rule_entry,
        "entry_max": rule_entry,
        "dwell_volume": rule_dwell_volume,
        "oven": counted,
    },
    Cutoffs: {"high": rule_high_cutoff, "low": rule_low_cutoff},
    Expected: {
        "low": rule_band_end,
        "high": rule_band_end,
        "basis": rule_basis,
        "swing": rule_swing,
    },
    Conditions: {
        "flow": rule_flow,
        "temperature": rule_temperature,
        "ambient": counted,
        "solvent_a": rule_solvent,
        "solvent_b": rule_solvent,
        "percent_b": rule_percent_b,
        "gradient": rule_gradient,
        "injection_volume": rule_injection_volume,
        "injection_minute": rule_injection_minute,
    },
    Pump: {
        **_PART,
        "resistance_at": counted,
        "stroke_volume": for_information,
        "heads": for_information,
    },
    Device: {**_PART, "resistance_at": counted},
    Tube: {
        **_PART,
        "length": rule_tube_size,
        "bore": rule_tube_size,
        "coil_diameter": counted,
        "resistance_at": counted,
    },
    Column: {
        **_PART,
        "chemistry": rule_chemistry,
        "length": rule_size,
        "bore": rule_bore,
        "particle_size": rule_size,
        "particle": rule_particle,
        "inlet_frit": checked,
        "outlet_frit": checked,
        "certificate": counted,
        "permeability": counted,
        "reversible": for_information,
        "plate_number": rule_plate_number,
    },
    MarginSettings: dict.fromkeys(("high", "low", "headroom"), checked),
    Profile: {
        "format": must_be_same,
        "accepted": checked,
        "source": made_from,
        "measured": measured,
    },
}
"""By table of the format, every key of it and what rules it, in the order of the format."""
_TABLES: Mapping[str, type[FormatTable]] = {
    "method": Method,
    "instrument": Instrument,
    "cutoffs": Cutoffs,
    "expected": Expected,
    "conditions": Conditions,
    "margins": MarginSettings,
}


def compare(pair: Pair) -> tuple[Ruling, ...]:
    """The rulings on every field, in the order of the format."""
    return tuple(_rulings(pair))


def _rulings(pair: Pair) -> Iterator[Ruling]:
    for name in Profile.model_fields:
        if name == "flow_path":
            parts = paired_parts(pair.sending, pair.receiving)
            yield _order(parts, pair)
            for part in parts:
                yield from _part(part, pair)
        elif name in _TABLES:
            sides = getattr(pair.sending, name), getattr(pair.receiving, name)
            yield from _table(_TABLES[name], name, *sides, pair)
        else:
            sides = getattr(pair.sending, name), getattr(pair.receiving, name)
            yield from RULERS[Profile][name](Field(name, *sides, pair, name))


def _table(
    table: type[FormatTable], name: str, sending: Any, receiving: Any, pair: Pair
) -> Iterator[Ruling]:
    """The rulings on one table, and the names of its keys that neither side gives."""
    unused = []
    for key, ruler in RULERS[table].items():
        values = _value(sending, key), _value(receiving, key)
        field = Field(_called(name, key), *values, pair, key)
        found = tuple(ruler(field))
        yield from found
        if not found and not is_given(field.sending) and not is_given(field.receiving):
            unused.append(key)
    if unused:
        field = Field(f"{name}: other keys", None, None, pair, "")
        yield field.ruled("information", f"neither profile gives {', '.join(unused)}")


def _called(name: str, key: str) -> str:
    if name == "cutoffs":
        return f"{key} cutoff"
    return f"expected {key}" if name == "expected" else f"{name}: {key}"


def _value(table: FormatTable | None, key: str) -> Any:
    """What was typed; None for a default, which nobody stated."""
    if table is None or key not in table.model_fields_set:
        return None
    return getattr(table, key)


def _part(part: PartPair, pair: Pair) -> Iterator[Ruling]:
    one, other = part.sending, part.receiving
    if one is not None and other is not None:
        yield from _of_one_piece(_table(type(one), part.name, one, other, pair), one, other)
        return
    field = Field(part.name, one and part.name, other and part.name, pair, "part")
    only = "sending" if other is None else "receiving"
    present = one or other
    if isinstance(present, Column) and present.part == "column":
        yield field.ruled("not allowed", f"only the {only} profile has this column")
    elif isinstance(present, Column):
        told = f"only the {only} profile has it: show that it changes neither separation nor band"
        yield field.ruled("cannot decide", told)
    else:
        found = field.ruled("information", f"only the {only} profile has this part")
        if other is None and one is not None and one.rating is not None:
            told = f"look what stands in place of the sender's {part.name}, rated {one.rating}"
            found = found._replace(condition=f"{told}: if there is one, add it with its rating")
        yield found


_ON_ITS_LABEL = frozenset(
    {"chemistry", "length", "bore", "particle_size", "particle", "permeability"}
    | {"inlet_frit", "outlet_frit"}
    | {"rating", "rating_at_flow", "rating_at_temperature"}
)


def _of_one_piece(rulings: Iterable[Ruling], one: AnyPart, other: AnyPart) -> Iterator[Ruling]:
    """One serial number on both sides is one piece: its label cannot say two things."""
    for item in rulings:
        key = item.field.rpartition(": ")[2]
        differs = item.ruling in ("allowed", "information") and key in _ON_ITS_LABEL
        if one.serial is not None and one.serial == other.serial and differs:
            told = f"one piece, serial {one.serial}, with two labels: read it again"
            yield item._replace(ruling="cannot decide", rule=told, condition="")
        else:
            yield item


def _order(parts: Sequence[PartPair], pair: Pair) -> Ruling:
    """The order of the parts that both sides have."""
    sent, got = (f"{len(side.flow_path)} parts" for side in pair.sides)
    field = Field("flow path: order", sent, got, pair, "")
    if moved := in_another_order(parts, pair.receiving):
        return field.ruled("not allowed", f"in another order here: {', '.join(moved)}")
    return field.ruled("same", "the parts of both sides are in one order")

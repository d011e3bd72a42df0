"""No field of the format is without a ruling, and none differs unseen."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any, get_args

import pytest
from pydantic import BaseModel

from limitcheck.profile.model import GradientPoint, Profile
from limitcheck.transfer.comparison import RULERS, compare
from limitcheck.transfer.ruling import CORE, Pair, Ruling

from .changed import changed

WHOLE = {
    *("FlowRating", "TemperatureRating", "Resistance", "GradientPoint"),
    *("AcceptedFinding", "MadeFrom", "MeasuredPair"),
}
"""Tables that are compared whole, as one value of the field they stand in."""


def tables(model: type[BaseModel]) -> Iterator[type[BaseModel]]:
    """Every table of the format that a model leads to, itself first."""
    yield model
    for field in model.model_fields.values():
        for inner in _models_in(field.annotation):
            yield from tables(inner)


def _models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in get_args(annotation):
        yield from _models_in(inner)


def test_every_key_of_the_format_has_its_ruler() -> None:
    ruled = {table for table in tables(Profile) if table.__name__ not in WHOLE}
    assert ruled == set(RULERS)
    for table in ruled:
        tables_in_it = {
            name
            for name, field in table.model_fields.items()
            if any(model in RULERS for model in _models_in(field.annotation))
        }
        assert set(RULERS[table]) == set(table.model_fields) - tables_in_it, table


def test_the_ruling_on_a_gradient_reads_every_key_of_its_points() -> None:
    """`rule_gradient` compares these two; another key of a point needs its own part in it."""
    assert set(GradientPoint.model_fields) == {"minute", "percent_b"}


def test_what_is_core_is_a_key_that_is_ruled() -> None:
    keys = {key for rulers in RULERS.values() for key in rulers}
    assert set(CORE) <= keys


EVERYTHING = {
    "method.title": "Other words",
    "method.site": "Harrow Mill",
    "method.id": "HM-1",
    "method.revision": "C",
    "instrument.id": "HM-LC-07",
    "instrument.pressure_unit": "MPa",
    "instrument.display_step": 2,
    "instrument.entry_max": 700,
    "instrument.dwell_volume": "1.2 mL",
    "instrument.oven": "still air",
    "cutoffs.high": 171,
    "cutoffs.low": 61,
    "expected.low": 121,
    "expected.high": 139,
    "expected.basis": "predicted",
    "expected.swing": 5,
    "conditions.flow": "1.1 mL/min",
    "conditions.temperature": "36 degC",
    "conditions.ambient": "22 degC",
    "conditions.solvent_a": "methanol",
    "conditions.solvent_b": "methanol",
    "conditions.percent_b": 46,
    "conditions.gradient": [{"minute": 0, "percent_b": 40}, {"minute": 9, "percent_b": 50}],
    "conditions.injection_volume": "21 uL",
    "conditions.injection_minute": 1,
    "margins": {"high": "20 %", "low": "40 %", "headroom": "15 %"},
    "accepted": [{"check": "low-cutoff-off", "reason": "leak sensor", "by": "method owner"}],
    "measured": [
        {"pressure": "20 bar", "flow": "0.5 mL/min"},
        {"pressure": "40 bar", "flow": "1 mL/min"},
    ],
    "source": [
        {
            **{"gave": "instrument", "path": "x.toml", "sha256": "0", "values": "0"},
            **{"instrument": "HM-LC-07", "tool": "limitcheck 0.1.0", "day": date(2026, 11, 25)},
        }
    ],
    **{
        f"{part}.{key}": value
        for part in ("pump", "tubing", "column")
        for key, value in {
            "label": "another",
            "serial": "A-2",
            "rating": "399 bar",
            "rating_at_flow": [{"flow": "5 mL/min", "rating": "390 bar"}],
            "interpolate": True,
            "rating_at_temperature": [{"temperature": "60 degC", "rating": "390 bar"}],
        }.items()
    },
    "pump.resistance_at": {"pressure": "2 bar", "flow": "1 mL/min"},
    "pump.stroke_volume": "50 uL",
    "pump.heads": 2,
    "tubing.resistance_at": {"pressure": "2 bar", "flow": "1 mL/min"},
    "tubing.coil_diameter": "60 mm",
    "tubing.length": "601 mm",
    "tubing.bore": "0.18 mm",
    "column.chemistry": "C8",
    "column.length": "151 mm",
    "column.bore": "4.7 mm",
    "column.particle_size": "3.1 um",
    "column.particle": "monolith",
    "column.inlet_frit": "1 um",
    "column.outlet_frit": "0.2 um",
    "column.certificate": {"pressure": "88 bar", "flow": "1 mL/min"},
    "column.reversible": False,
    "column.plate_number": 11000,
    "column.permeability": "0.01 um2",
}
"""A different value for every key that a profile may state."""


def seen(**receiving: Any) -> tuple[Ruling, ...]:
    sides = changed("isocratic", {}), changed("isocratic", receiving)
    return compare(Pair(sides[0].profile, sides[1].profile))


@pytest.mark.parametrize("path", EVERYTHING)
def test_another_value_is_never_ruled_the_same(path: str) -> None:
    as_before, now = seen(), seen(**{path: EVERYTHING[path]})
    key = path.rpartition(".")[2]
    named = [
        item
        for item in set(now) - set(as_before)
        if item.ruling != "same" and (key in item.field or path.partition(".")[0] in item.field)
    ]
    assert named, (path, set(now) - set(as_before))


def test_those_values_are_of_every_key() -> None:
    named = {path.rpartition(".")[2] for path in EVERYTHING}
    keys = {key for table, rulers in RULERS.items() for key in rulers if table is not Profile}
    never = {"use", "part"}  # a reference leads to values, a part of another kind is another part
    assert keys - never <= named | {"headroom"}


def test_every_field_is_listed_once_and_what_is_given_on_neither_side_is_named() -> None:
    rulings = seen()
    assert len({item.field for item in rulings}) == len(rulings)
    other = next(item for item in rulings if item.field == "column: other keys")
    assert other.ruling == "information"
    assert "serial, rating_at_flow, rating_at_temperature, interpolate, certificate" in other.rule


def test_a_ruling_says_what_is_there_and_why() -> None:
    assert all(all(item[:5]) for item in seen(**EVERYTHING))

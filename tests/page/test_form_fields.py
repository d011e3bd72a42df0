"""Every key of the format has a field in the form, with words, and what is usual of it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, get_args

import pytest
from pydantic import BaseModel

from limitcheck.findings import KeyPath
from limitcheck.page.profile_form import MOST_PARTS, field_of_any_part, groups
from limitcheck.profile.measured import MeasuredPair
from limitcheck.profile.model import Profile, Pump
from limitcheck.profile.places import Source
from limitcheck.profile.plausible import FLOWS
from limitcheck.profile.problems import part_models
from limitcheck.profile.schema import profile_schema
from limitcheck.profile.usual_ranges import usual
from limitcheck.units import TRADE_UNITS, Flow
from limitcheck.units.conversion import registry

ONCE = {"format", "accepted", "source"}
"""Keys of the profile that are changed in the text."""
IN_THE_TEXT = {"rating_at_flow", "rating_at_temperature"}
"""Lists of a part without an element: fields come with the first."""


def keys_of(model: type[BaseModel], path: KeyPath) -> Iterator[KeyPath]:
    """Every key below a model, with those of the tables in it, by the model alone."""
    for key, info in model.model_fields.items():
        inner = list(models_in(info.annotation))
        if not inner:
            yield (*path, key)
        elif key == "gradient":
            yield from keys_of(inner[0], (*path, key, 0))
        elif key not in IN_THE_TEXT:
            yield from keys_of(inner[0], (*path, key))


def models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in get_args(annotation):
        yield from models_in(inner)


def test_every_key_of_the_format_has_a_field() -> None:
    lists = {"flow_path", "measured"}
    data = {
        "flow_path": [{"part": part} for part in part_models()],
        "measured": [{}],
        "conditions": {"gradient": [{}]},
    }
    shown = [f.path for g in groups(data, Source("")) for f in g.all]
    assert len(shown) == len(set(shown))
    wanted: set[KeyPath] = set()
    for key, info in Profile.model_fields.items():
        if key not in ONCE | lists:
            (model,) = models_in(info.annotation)
            wanted |= set(keys_of(model, (key,)))
    for index, model in enumerate(part_models().values()):
        wanted |= set(keys_of(model, ("flow_path", index)))
    wanted |= set(keys_of(MeasuredPair, ("measured", 0)))
    assert set(shown) == wanted
    for name in IN_THE_TEXT:
        part = {"flow_path": [{"part": "pump", name: [{}]}]}
        (inner,) = models_in(Pump.model_fields[name].annotation)
        paths = {f.path for g in groups(part, Source("")) for f in g.all}
        assert set(keys_of(inner, ("flow_path", 0, name, 0))) <= paths


def test_a_field_says_what_the_schema_says_of_its_key() -> None:
    """One description of a key: the form adds the unit, an example and what is usual."""
    points = {"rating_at_flow": [{}], "rating_at_temperature": [{}]}
    data = {
        "flow_path": [{"part": part, **points} for part in part_models()],
        "measured": [{}],
        "conditions": {"gradient": [{}]},
    }
    tables = profile_schema()["$defs"]
    every = {
        value["description"]
        for table in tables.values()
        for value in table.get("properties", {}).values()
        if "description" in value
    }
    seen = 0
    for group in groups(data, Source("")):
        for field in group.all:
            if field.label != "Part":  # a choice that says it itself
                assert any(field.help.startswith(told) for told in every), field.path
                seen += 1
    assert seen > 200
    helps = {f.path: f.help for g in groups(data, Source("")) for f in g.all}
    bore = tables["Column"]["properties"]["bore"]["description"]
    column = list(part_models()).index("column")
    assert helps["flow_path", column, "bore"].startswith(f"{bore} With its unit, as in 4.6 mm.")


def test_usual_ranges_are_those_of_the_checks() -> None:
    least, most = (Flow.parse(text) for text in usual("Conditions", "flow").split(" to "))
    assert (float(least), float(most)) == pytest.approx(FLOWS)
    assert usual("Pump", "rating", "pump") == "15 to 2500 bar"
    assert usual("Tube", "length") == "4 mm to 60 m"
    assert usual("Conditions", "temperature") == "0 to 200 degC"
    assert usual("Method", "id") == ""
    helps = {
        f.path: f.help for g in groups({"flow_path": [{"part": "pump"}]}, Source("")) for f in g.all
    }
    assert helps["flow_path", 0, "rating"].endswith("Usual: 15 to 2500 bar.")
    assert helps["conditions", "temperature"].endswith("Usual: 0 to 200 degC.")


@pytest.mark.parametrize(
    ("table", "key", "range_"),
    [
        ("Instrument", "display_step", "0.001 to 10 bar"),
        ("Instrument", "entry_max", "10 to 3000 bar"),
        ("Instrument", "dwell_volume", "0.05 to 50000 uL"),
        ("Expected", "swing", "at most 30 % of the expected low"),
        ("Conditions", "ambient", "5 to 45 degC"),
        ("Conditions", "injection_volume", "0.001 to 100000 uL"),
        ("Pump", "stroke_volume", "0.2 to 20000 uL"),
        ("Tube", "coil_diameter", "5 to 1000 mm"),
        ("Tube", "bore", "4 um to 20 mm"),
        ("Column", "length", "3 mm to 1.2 m"),
        ("Column", "bore", "8 um to 600 mm"),
        ("Column", "permeability", "0.0005 to 30 um2"),
        ("Column", "plate_number", "100 to 1000000"),
        ("TemperatureRating", "temperature", "0 to 250 degC"),
        ("Resistance", "pressure", "0.01 to 2000 bar"),
        ("MeasuredPair", "temperature", "0 to 90 degC"),
    ],
)
def test_each_key_has_its_own_usual_range(table: str, key: str, range_: str) -> None:
    assert usual(table, key) == range_


def test_a_bare_number_has_its_unit_beside_it() -> None:
    data = {"instrument": {"pressure_unit": "psi"}, "measured": [{}]}
    beside = {f.path: f.beside for g in groups(data, Source("")) for f in g.all}
    for key in ("display_step", "entry_max"):
        assert beside["instrument", key] == "psi"
    assert beside["cutoffs", "high"] == beside["expected", "low"] == "psi"
    assert beside["conditions", "percent_b"] == "%"


def test_the_last_part_with_fields_has_those_of_any_kind_and_no_further_one() -> None:
    last = field_of_any_part(f"flow_path.{MOST_PARTS - 1}.bore")
    assert last is not None
    assert last.path == ("flow_path", MOST_PARTS - 1, "bore")
    assert field_of_any_part(f"flow_path.{MOST_PARTS}.bore") is None
    parts = [{"part": "fitting"}] * (MOST_PARTS + 2)
    shown = {f.path for g in groups({"flow_path": parts}, Source("")) for f in g.all}
    assert ("flow_path", MOST_PARTS - 1, "rating") in shown
    assert ("flow_path", MOST_PARTS, "rating") not in shown


@pytest.mark.parametrize("unit", [*TRADE_UNITS, "furlong"])
def test_what_is_usual_on_a_display_is_in_its_unit(unit: str) -> None:
    """Beside a field in psi stood a range in bar; pint's factors say what it is there."""
    data = {"instrument": {"pressure_unit": unit}}
    helps = {field.path: field.help for group in groups(data, Source("")) for field in group.all}
    shown = unit if unit in TRADE_UNITS else "bar"
    for key, ends in (("display_step", (0.001, 10)), ("entry_max", (10, 3000))):
        told = re.search(r"Usual: ([\d.]+) to ([\d.]+) (\S+)\.", helps["instrument", key])
        assert told is not None
        assert told[3] == shown
        for number, bar in zip(told.groups()[:2], ends, strict=True):
            there = registry().Quantity(float(number), shown.replace("cm2", "cm**2")).to("bar")
            assert there.magnitude == pytest.approx(bar, rel=0.06)

"""What the schema says of each key: an example that the models read, and that no check doubts."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from pydantic import BaseModel

from limitcheck.profile import answered, derated, measured, model
from limitcheck.profile.described import DESCRIBED
from limitcheck.profile.fields import InstrumentContext
from limitcheck.profile.schema import profile_schema

ONE_OF_TWO = {("Conditions", "gradient")}
"""Keys that stand in place of another one."""


def table(name: str) -> type[BaseModel]:
    found = next(
        getattr(where, name)
        for where in (model, measured, answered, derated)
        if hasattr(where, name)
    )
    assert issubclass(found, BaseModel)
    return found


@pytest.mark.parametrize("name", DESCRIBED)
def test_examples_are_read(name: str) -> None:
    lines = [f"{key} = {told.example}" for key, told in DESCRIBED[name].items()]
    values: dict[str, Any] = tomllib.loads("\n".join(lines))
    for key in [key for table_name, key in ONE_OF_TWO if table_name == name]:
        del values[key]
    table(name).model_validate(values, context=InstrumentContext.of({"pressure_unit": "bar"}))


def test_every_key_is_described_in_the_schema() -> None:
    tables = profile_schema()["$defs"]
    for name, keys in DESCRIBED.items():
        for key, value in tables[name]["properties"].items():
            assert value["description"] == keys[key].text
            assert keys[key].text.endswith(".")


def test_an_example_in_the_schema_is_that_of_its_key() -> None:
    tables = profile_schema()["$defs"]
    seen = set()
    for name, keys in DESCRIBED.items():
        for key, value in tables[name]["properties"].items():
            own = tomllib.loads(f"x = {keys[key].example}")["x"]
            for choice in (value, *value.get("anyOf", ())):
                if key != "pressure_unit" and "examples" in choice:
                    assert choice["examples"] == [own if isinstance(own, str) else f"{own} bar"]
                    seen.add((name, key))
    of_each_type = {("Column", "bore"), ("Conditions", "ambient"), ("MarginSettings", "low")}
    assert of_each_type | {("Cutoffs", "low"), ("Expected", "swing")} <= seen


def test_a_part_in_use_says_what_a_key_is_of_each_kind() -> None:
    properties = profile_schema()["$defs"]["PartInUse"]["properties"]
    assert properties["length"]["description"] == (
        "Tubing, loop: From end to end. Column, guard column: Length of the bed."
    )
    assert properties["length"]["examples"] == ["600 mm", "150 mm"]
    assert properties["rating"]["description"] == DESCRIBED["Pump"]["rating"].text
    assert all(value["description"].endswith(".") for value in properties.values())


def test_what_a_part_was_measured_alone_is_not_the_pressure_at_the_pump() -> None:
    assert "pump" not in DESCRIBED["Resistance"]["pressure"].text
    assert "pump" in DESCRIBED["MeasuredPair"]["pressure"].text
    assert not any("pair" in told.text for told in DESCRIBED["Resistance"].values())

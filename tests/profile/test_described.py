"""What the schema says of each key: an example that the models read, and that no check doubts."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from pydantic import BaseModel

from limitcheck.profile import answered, measured, model
from limitcheck.profile.described import DESCRIBED
from limitcheck.profile.fields import InstrumentContext
from limitcheck.profile.schema import profile_schema

ONE_OF_TWO = {("Conditions", "gradient")}
"""Keys that stand in place of another one."""


def table(name: str) -> type[BaseModel]:
    found = next(
        getattr(where, name) for where in (model, measured, answered) if hasattr(where, name)
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

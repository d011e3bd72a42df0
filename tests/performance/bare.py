"""The yardstick of one check: a bare typer, pydantic and toml-rs program that validates a profile.

python -m tests.performance.bare FILE
"""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Any, Literal

import toml_rs
import typer
from pydantic import BaseModel, ConfigDict, Field

Number = Annotated[Decimal, Field(ge=0)]


class Table(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Method(Table):
    id: str
    title: str | None = None
    revision: str | None = None
    site: str | None = None


class Instrument(Table):
    id: str
    pressure_unit: str
    display_step: Number | None = None
    entry_max: Number | None = None


class Band(Table):
    low: Number | str | None = None
    high: Number | str | None = None
    basis: str = "declared"


class Point(Table):
    minute: Number
    percent_b: Number


class Conditions(Table):
    flow: str | None = None
    temperature: str | None = None
    ambient: str | None = None
    solvent_a: str | None = None
    solvent_b: str | None = None
    percent_b: Number | None = None
    gradient: tuple[Point, ...] = ()
    injection_volume: str | None = None


class Part(Table):
    label: str | None = None
    rating: str | None = None
    rating_at_flow: tuple[dict[str, str], ...] = ()
    rating_at_temperature: tuple[dict[str, str], ...] = ()
    length: str | None = None
    bore: str | None = None


class Device(Part):
    part: Literal[
        "pump", "mixer", "filter", "injector", "fitting", "detector cell", "restrictor", "waste"
    ]


class Tube(Part):
    part: Literal["tubing", "loop"]


class Column(Part):
    part: Literal["column", "guard column"]
    serial: str | None = None
    particle_size: str | None = None
    particle: str = "fully porous"
    inlet_frit: str | None = None
    outlet_frit: str | None = None
    certificate: dict[str, Any] | None = None


class Profile(Table):
    format: Literal[1]
    method: Method
    instrument: Instrument
    cutoffs: Band = Band()
    expected: Band | None = None
    conditions: Conditions | None = None
    flow_path: tuple[Annotated[Device | Tube | Column, Field(discriminator="part")], ...]
    margins: dict[str, str] = Field(default_factory=dict)
    accepted: tuple[dict[str, Any], ...] = ()


app = typer.Typer(add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False)


@app.command()
def check(paths: Annotated[list[str], typer.Argument()]) -> None:
    for path in paths:
        with open(path, encoding="utf-8") as file:
            data = toml_rs.loads(file.read(), parse_float=Decimal, toml_version="1.0.0")
        Profile.model_validate(data)


if __name__ == "__main__":
    app()

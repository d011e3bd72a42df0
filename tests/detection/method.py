"""A method on hardware: its flow path, and how it runs with its true pressures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import floor
from random import Random
from typing import Any

from limitcheck.units import Pressure

from .hardware import CONVENTIONAL, INTERMEDIATE, LOW_PRESSURE_GEOMETRIES, Geometry, HardwareClass
from .pressure import Liquid, bed_pressure, tube_pressure
from .tidy import in_unit, number, tidy

SCATTER = 0.12
"""Standard deviation of ln(pressure) between columns and laboratories."""
MONOLITH_PARTICLE = 11.0
"""Particle size of the packed bed with a monolith's permeability [um] (from memory)."""
GUARD_LENGTH = 10
"""Of a guard column, packed as its column [mm]."""
USUAL_PRESSURE = 45
"""A method of conventional or intermediate hardware that is not low-pressure runs above this
[bar, highest expected]."""

Document = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Run:
    """A method as it runs: geometry, flow, liquid and the true pressures [bar]."""

    geometry: Geometry
    length: int
    particle: float
    flow: float
    celsius: int
    liquid: Liquid
    column_factor: float
    low: float
    high: float


def flow_path(rng: Random, hardware: HardwareClass) -> tuple[list[Document], float]:
    """Parts in flow order, and the weakest rating up to the column [bar]."""

    def rated(part: str, labels: Sequence[str], left_out: float, **more: Any) -> Document:
        label = {} if rng.random() < left_out else {"rating": _label(rng, labels)}
        return {"part": part} | more | label

    bore = rng.choice(hardware.bores)
    path = [rated("pump", hardware.pumps, 0)]
    if rng.random() < 0.25:
        path.append(rated("mixer", hardware.injectors, 0.4))
    if rng.random() < 0.2:
        path.append(rated("filter", hardware.tubing, 0.4))
    if rng.random() < 0.6:
        tubing = rated("tubing", hardware.tubing, 0.25, label="pump to injector")
        path.append(tubing | {"length": f"{rng.choice((300, 400, 600))} mm", "bore": f"{bore} mm"})
    path.append(rated("injector", hardware.injectors, 0.15))
    if rng.random() < 0.3:
        path.append(rated("tubing", hardware.tubing, 0.3, label="injector to column"))
    if rng.random() < 0.5:
        path.append(_fitting(rng, rated("fitting", hardware.fittings, 0.1, label="column inlet")))
    if rng.random() < 0.15:
        path.append(rated("guard column", hardware.columns, 0.3))
    path.append(rated("column", hardware.columns, 0.04))
    weakest = min(_bar(part["rating"]) for part in path if "rating" in part)
    path.append(rated("detector cell", hardware.cells, 0.25))
    if rng.random() < hardware.restrictor:
        path.append({"part": "restrictor"})
    if rng.random() < 0.2:
        path.append({"part": "waste"})
    return path, weakest


CONVERTED_SHARE = 0.08
"""Labels that were converted before they were written down, as "5003 psi" for 345 bar."""


def _label(rng: Random, labels: Sequence[str]) -> str:
    label = rng.choice(labels)
    if rng.random() >= CONVERTED_SHARE:
        return label
    unit, grid = rng.choice((("bar", 1), ("bar", 10), ("psi", 1), ("MPa", 10)))
    if label.endswith(unit):
        return label
    written = rng.choice((round, floor))(Pressure.parse(label).to(unit) * grid)
    return f"{number(Fraction(written, grid))} {unit}"


def _fitting(rng: Random, part: Document) -> Document:
    """Some polymer fittings carry what they hold when warm."""
    if part.get("rating") not in ("5000 psi", "345 bar", "4000 psi") or rng.random() > 0.15:
        return part
    rating = Pressure.parse(part["rating"])
    warm = tidy(rng, rating.to(rating.unit) * Fraction(2, 3), rating.unit)
    derated = [
        {"temperature": "25 degC", "rating": part["rating"]},
        {"temperature": "60 degC", "rating": f"{number(warm)} {rating.unit}"},
    ]
    return part | {"rating_at_temperature": derated}


def run_on(
    rng: Random, hardware: HardwareClass, path: list[Document], *, low_pressure: bool
) -> Run | None:
    """A method for the hardware with its true pressures; None where nobody would run it."""
    geometry = rng.choice(LOW_PRESSURE_GEOMETRIES if low_pressure else hardware.geometries)
    length, flow = rng.choice(geometry.lengths), rng.choice(geometry.flows)
    particle = rng.choice(geometry.particles)
    celsius = rng.choice((25, 25, 30, 30, 35, 40, 40, 50, 60))
    liquid = _liquid(rng, aqueous=hardware.name.startswith("bio"))
    thinnest, thickest = liquid.extremes(celsius)
    factor = rng.lognormvariate(0, SCATTER)
    coarse = MONOLITH_PARTICLE if geometry.particle == "monolith" else particle
    speed = flow * 1e-6 / 60
    beds = length + (GUARD_LENGTH if any(part["part"] == "guard column" for part in path) else 0)
    bed = factor * bed_pressure(1, speed, beds / 1e3, geometry.bore / 1e3, coarse / 1e6)
    tubes = sum(
        tube_pressure(1, speed, _mm(part["length"]), _mm(part["bore"]))
        for part in path
        if part["part"] == "tubing" and "length" in part
    )
    rest = rng.uniform(*hardware.rest) * (0.3 if low_pressure else 1) * flow / max(geometry.flows)
    held = rng.uniform(2, 4) if any(part["part"] == "restrictor" for part in path) else 0.0
    low = (bed + tubes) * thinnest / 1e5 + rest * thinnest / 0.9e-3 + held
    high = (bed + tubes) * thickest / 1e5 + rest * thickest / 0.9e-3 + held
    least, most = 2.0, float("inf")
    if low_pressure:
        least, most = 10, 40
    elif hardware in (CONVENTIONAL, INTERMEDIATE):
        least = USUAL_PRESSURE
    if not least <= high <= most:
        return None
    return Run(geometry, length, particle, flow, celsius, liquid, factor, low, high)


def _liquid(rng: Random, *, aqueous: bool) -> Liquid:
    if aqueous and rng.random() < 0.85:
        return Liquid("water")
    if rng.random() < 0.10:
        return rng.choice(
            (Liquid("water"), Liquid("tetrahydrofuran"), Liquid("hexane", "2-propanol", 10, 10))
        )
    organic = rng.choices(("acetonitrile", "methanol", "2-propanol", "ethanol"), (60, 34, 3, 3))[0]
    if rng.random() < 0.45:
        percent = rng.choice((5, 10, 18, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80))
        return Liquid("water", organic, percent, percent)
    return Liquid("water", organic, rng.choice((2, 5, 5, 10, 20, 30)), rng.choice((50, 60, 80, 95)))


def describe(rng: Random, path: list[Document], run: Run, detail: str) -> None:
    """Write the column's geometry, as far as this lab keeps it, into the flow path."""
    column = next(part for part in path if part["part"] == "column")
    if detail == "none" and rng.random() < 0.6:
        return
    column |= {"length": f"{run.length} mm", "bore": f"{run.geometry.bore} mm"}
    if rng.random() < 0.3:
        fine = "0.5 um" if run.particle < 2.2 else "2 um"
        column |= {"inlet_frit": fine, "outlet_frit": "0.2 um" if run.particle < 2.2 else fine}
    if run.geometry.particle != "fully porous":
        column["particle"] = run.geometry.particle
    if detail != "full" or run.geometry.particle == "monolith":
        return
    column["particle_size"] = f"{run.particle} um"
    for guard in (part for part in path if part["part"] == "guard column"):
        if rng.random() < 0.5:
            same = {k: v for k, v in column.items() if k in ("bore", "particle_size", "particle")}
            guard.update(same, length=f"{GUARD_LENGTH} mm")
    if rng.random() < 0.1:
        column["certificate"] = _certificate(rng, run)


def _certificate(rng: Random, run: Run) -> Document:
    """What the column's maker measured, with the same bed at 60 % acetonitrile and 25 degC."""
    liquid = Liquid("water", "acetonitrile", 60, 60)
    pascal = run.column_factor * bed_pressure(
        liquid.viscosity(60, 25),
        run.flow * 1e-6 / 60,
        run.length / 1e3,
        run.geometry.bore / 1e3,
        run.particle / 1e6,
    )
    unit = rng.choice(("bar", "bar", "psi", "MPa"))
    pressure = tidy(rng, in_unit(pascal / 1e5, unit), unit, share="0.02")
    return {
        "pressure": f"{number(pressure)} {unit}",
        "flow": f"{run.flow} mL/min",
        "temperature": "25 degC",
        "solvent_a": "water",
        "solvent_b": "acetonitrile",
        "percent_b": 60,
    }


def conditions(rng: Random, run: Run) -> Document:
    liquid = run.liquid
    table: Document = {
        "flow": f"{run.flow} mL/min",
        "temperature": f"{run.celsius} degC",
        "solvent_a": liquid.solvent_a,
    }
    if rng.random() < 0.5:
        table["ambient"] = "21 degC"
    if liquid.solvent_b is None:
        return table
    table["solvent_b"] = liquid.solvent_b
    if liquid.start == liquid.end:
        return table | {"percent_b": liquid.start}
    minutes = rng.choice((5, 12, 20, 30))
    return table | {
        "gradient": [
            {"minute": 0, "percent_b": liquid.start},
            {"minute": minutes, "percent_b": liquid.end},
        ]
    }


def _bar(rating: str) -> float:
    return float(Pressure.parse(rating).to("bar"))


def _mm(text: str) -> float:
    return float(text.split(maxsplit=1)[0]) / 1e3

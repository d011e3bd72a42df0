"""Every public function of physics says what goes in and out, in which unit."""

from __future__ import annotations

import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from importlib import import_module
from typing import Any

import pytest

import limitcheck.physics

UNIT = r"\[[^\]]*[A-Za-z%/^\-][^\]]*\]"


def _functions() -> Iterator[tuple[str, Callable[..., Any]]]:
    for info in pkgutil.iter_modules(limitcheck.physics.__path__):
        module = import_module(f"limitcheck.physics.{info.name}")
        for name, value in vars(module).items():
            function = inspect.unwrap(value) if callable(value) else None
            if (
                inspect.isfunction(function)
                and not name.startswith("_")
                and function.__module__ == module.__name__
            ):
                yield f"{info.name}.{name}", function


FUNCTIONS = dict(_functions())
CORRELATIONS = [  # formulas from the literature or fitted to data
    "viscosity.water_viscosity",
    "viscosity.solvent_viscosity",
    "viscosity.pressure_rise",
    "viscosity.viscosity",
    "resistance.bed_resistance",
    "resistance.packed_resistance",
    "resistance.permeable_resistance",
    "resistance.bed_error",
    "tube.tube_resistance",
    "tube.reynolds",
    "tube.turbulent_friction",
    "tube.coil_factor",
    "tube.laminar_limit",
    "density.density",
    "heat.warming",
    "heat.heat_drop",
    "heat.compression",
]


def test_all_are_found() -> None:
    assert len(FUNCTIONS) >= 25
    assert set(CORRELATIONS) <= set(FUNCTIONS)


@pytest.mark.parametrize("name", sorted(FUNCTIONS))
def test_units_are_given(name: str) -> None:
    function = FUNCTIONS[name]
    text = " ".join((inspect.getdoc(function) or "").split())
    assert re.search(UNIT, text), f"{name} names no unit"
    for parameter in inspect.signature(function).parameters.values():
        if parameter.annotation == "float":
            words = rf"\b{parameter.name.replace('_', '[_ ]')}\b[^.:\[]*{UNIT}"
            assert re.search(words, text), f"{name}: {parameter.name} has no unit"


@pytest.mark.parametrize("name", CORRELATIONS)
def test_correlations_have_range_example_and_source(name: str) -> None:
    text = inspect.getdoc(FUNCTIONS[name]) or ""
    for part in ("Range: ", "Source: ", ">>> "):
        assert part in text, f"{name}: {part}"

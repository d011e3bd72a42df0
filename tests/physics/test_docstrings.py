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

UNIT = re.compile(r"\[[^\]]*[A-Za-z%/^\-][^\]]*\]")


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
    "solvents.water_viscosity",
    "solvents.solvent_viscosity",
    "solvents.pressure_rise",
    "viscosity.viscosity",
    "viscosity.peak_fraction",
    "resistance.bed_resistance",
    "resistance.bed_error",
    "resistance.tube_resistance",
    "resistance.reynolds",
]


def test_all_are_found() -> None:
    assert len(FUNCTIONS) >= 25
    assert set(CORRELATIONS) <= set(FUNCTIONS)


@pytest.mark.parametrize("name", sorted(FUNCTIONS))
def test_units_are_given(name: str) -> None:
    function = FUNCTIONS[name]
    text = inspect.getdoc(function) or ""
    assert UNIT.search(text), f"{name} names no unit"
    if "Parameters\n---" not in text:
        return
    parameters = text.split("Parameters\n----------\n")[1].split("\n\n")[0]
    described = re.findall(r"^(\S[^:\n]*) : (.*)\n((?:    .*\n?)+)", parameters, re.MULTILINE)
    names = [part.strip() for entry in described for part in entry[0].split(",")]
    assert names == list(inspect.signature(function).parameters), name
    for entry in described:
        if "float" in entry[1]:
            assert UNIT.search(entry[2]), f"{name}: {entry[0]} has no unit"
    returns = text.split("Returns\n-------\n")[1].split("\n\n")[0]
    assert UNIT.search(returns), f"{name}: what it returns has no unit"


@pytest.mark.parametrize("name", CORRELATIONS)
def test_correlations_have_notes_examples_and_references(name: str) -> None:
    text = inspect.getdoc(FUNCTIONS[name]) or ""
    for heading in ("Notes\n-----", "Examples\n--------", "References\n----------", ">>> "):
        assert heading in text, f"{name}: {heading}"

"""A figure of the physics stands once: no module writes it again."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import limitcheck
from limitcheck.physics.constants import PRESSURE_MAX, ROOM, SOLVENTS, WATER_RANGE, ZERO_CELSIUS
from limitcheck.physics.flow_path import in_range
from limitcheck.physics.heat import compression
from limitcheck.physics.liquid import CannotPredict
from limitcheck.physics.viscosity import PressureRise

PACKAGE = Path(limitcheck.__file__).parent
NAMED = {ZERO_CELSIUS, ROOM, PRESSURE_MAX, WATER_RANGE[1]}
INDEPENDENT = {"qualify/known_answers.py"}
"""They check the others, so they take nothing from them."""


def test_what_has_a_name_is_written_out_nowhere_else() -> None:
    again = []
    for path in sorted(PACKAGE.rglob("*.py")):
        name = path.relative_to(PACKAGE).as_posix()
        if name == "physics/constants.py" or name in INDEPENDENT:
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and type(node.value) is float and node.value in NAMED:
                again.append(f"{name}:{node.lineno}: {node.value}")
    assert again == []


def test_the_figures_are_those_of_their_sources() -> None:
    """0 degC and 25 degC: SI Brochure; -20 to 110 degC: IAPWS SR6-08(2011)."""
    assert (ZERO_CELSIUS, ROOM) == (273.15, 298.15)
    assert [round(kelvin - ZERO_CELSIUS, 9) for kelvin in WATER_RANGE] == [-20.0, 110.0]
    assert (SOLVENTS["water"].t_min, SOLVENTS["water"].t_max) == WATER_RANGE


def test_one_end_of_the_pressures_for_viscosity_and_density() -> None:
    rise, water = PressureRise(6e-9, -2e-17, 0.0), (("water", 1.0),)
    for beyond in (PRESSURE_MAX, 1.01 * PRESSURE_MAX, 3.0 * PRESSURE_MAX):
        assert rise.exponent(beyond) == rise.exponent(PRESSURE_MAX)
        assert compression(water, ROOM, beyond) == compression(water, ROOM, PRESSURE_MAX)
    assert rise.exponent(0.99 * PRESSURE_MAX) < rise.exponent(PRESSURE_MAX)
    assert compression(water, ROOM, 0.99 * PRESSURE_MAX) < compression(water, ROOM, PRESSURE_MAX)


def test_a_temperature_beyond_the_range_names_both_ends() -> None:
    assert [in_range(kelvin) for kelvin in WATER_RANGE] == list(WATER_RANGE)
    for kelvin in (WATER_RANGE[0] - 0.01, WATER_RANGE[1] + 0.01):
        with pytest.raises(CannotPredict, match="-20 to 110 degC is covered"):
            in_range(kelvin)

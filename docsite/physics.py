"""Every correlation with formula, range, example and source, from the functions' docstrings."""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable, Iterator
from importlib import import_module
from types import ModuleType
from typing import Any

from limitcheck.physics import constants, heat, resistance, usual
from limitcheck.physics.density import DENSITIES

from .text import prose, table

_MODULES = (
    ("uncertainty", "What a half-width means"),
    ("viscosity", "Viscosity"),
    ("density", "Density"),
    ("resistance", "Columns"),
    ("tube", "Tubing"),
    ("usual", "What nobody measured"),
    ("heat", "Heat of friction, and compression"),
    ("left_out", "What nobody lists"),
    ("strokes", "Strokes of a pump"),
)


def correlations() -> str:
    """The data of the solvents and packings, then the functions by module."""
    pieces = []
    for name, title in _MODULES:
        module = import_module(f"limitcheck.physics.{name}")
        pieces.append(f"## {title}\n\n{_introduction(module)}")
        pieces += _DATA.get(name, lambda: [])()
        pieces += [_function(function) for function in functions(module)]
    return "\n\n".join(pieces)


def functions(module: ModuleType) -> Iterator[Callable[..., Any]]:
    """The public functions of a module that name their source."""
    for name, value in vars(module).items():
        function = inspect.unwrap(value) if callable(value) else None
        if (
            inspect.isfunction(function)
            and not name.startswith("_")
            and function.__module__ == module.__name__
            and "Source: " in (inspect.getdoc(function) or "")
        ):
            yield function


def _introduction(module: ModuleType) -> str:
    return "\n\n".join(map(prose, (inspect.getdoc(module) or "").split("\n\n")))


def _function(function: Callable[..., Any]) -> str:
    """One correlation: what it is, its formula, range, example and source."""
    summary, *rest = (inspect.getdoc(function) or "").split("\n\n")
    title = function.__name__.replace("_", " ").capitalize()
    pieces = [f"### {title} {{ #{function.__name__} }}", prose(summary)]
    for paragraph in rest:
        if paragraph.startswith(">>> "):
            pieces.append(f"```python\n{paragraph}\n```")
        elif (word := paragraph.partition(":")[0]) in ("Range", "Source"):
            pieces.append(f"**{word}:** {prose(paragraph.partition(': ')[2])}")
        elif _is_formula(paragraph):
            pieces.append(f"> {prose(paragraph)}")
        else:
            pieces.append(prose(paragraph))
    return "\n\n".join(pieces)


def _is_formula(text: str) -> bool:
    return re.match(r"[\w (),/\-]+ = ", text) is not None or " = " in text or text[0] in "(-1"


def _solvents() -> list[str]:
    rows = []
    for name, solvent in constants.SOLVENTS.items():
        low, high = (f"{kelvin - 273.15:.0f}" for kelvin in (solvent.t_min, solvent.t_max))
        rise = solvent.pressure
        known = "between none and that of n-hexane" if rise is None else f"{100 * rise.error:.0f} %"
        rows.append((name, f"{low} to {high} degC", f"{100 * solvent.error:.0f} %", known))
    head = ("Solvent", "Range", "Stated error", "Error of its rise with pressure")
    mixed = [
        (f"water and {name}", f"{100 * data.error:.0f} %", _measured(data))
        for name, data in constants.MIXTURES.items()
    ]
    more = ("Mixture", "Stated error near 25 degC", "Change with temperature")
    away = f"{100 * constants.ERROR_IN_RANGE:.0f} %"
    return [
        table(head, rows),
        table(more, mixed),
        f"Mixtures have {away} over 20 to 50 degC, and more outside. No other solvent and no other "
        "mixture is predicted.",
    ]


def _measured(mixture: constants.Mixture) -> str:
    return "from measurements" if mixture.b_measured else "assumed"


def _densities() -> list[str]:
    rows = [(name, f"{rho:g}", f"{slope:g}") for name, (rho, slope) in DENSITIES.items()]
    return [table(("Solvent", "kg/m³ at 25 degC", "kg/m³ a kelvin"), rows)]


def _packings() -> list[str]:
    rows = []
    for name, bed in resistance.PACKINGS.items():
        low, usual_constant, high = bed.constant
        jagged, shape, round_ = bed.sphericity
        below, above = resistance.bed_error(name)
        rows.append(
            (
                name,
                f"{bed.porosity:.2f} ± {bed.porosity_error:.2f}",
                f"{usual_constant:.0f} ({low:.0f} to {high:.0f})",
                f"{shape:.2f} ({jagged:.2f} to {round_:.2f})"
                if jagged < round_
                else f"{shape:.0f}",
                f"{100 * bed.size_error:.0f} %",
                f"{below:.2f} below, {above:.2f} above",
            )
        )
    head = ("Particle", "Porosity", "Packing constant", "Sphericity", "Size", "Error in ln R")
    low, central, high = (f"{1e12 * value:.2g}" for value in resistance.MONOLITH)
    return [
        table(head, rows),
        f"A monolith without a stated permeability: {central} um² ({low} to {high}).",
    ]


def _usual_parts() -> list[str]:
    rows = [(part, f"{metres:g} m", f"{f:g}") for part, (metres, f) in usual.USUAL_LENGTH.items()]
    return [table(("Part", "As tubing of", "Factor either way"), rows)]


def _ovens() -> list[str]:
    rows = [(name, f"{low:g} to {high:g}") for name, (low, high) in heat.FILM.items()]
    return [table(("oven", "Heat transfer, W/(m² K)"), rows)]


_DATA: dict[str, Callable[[], list[str]]] = {
    "viscosity": _solvents,
    "density": _densities,
    "resistance": _packings,
    "usual": _usual_parts,
    "heat": _ovens,
}
"""Tables of data, by module."""

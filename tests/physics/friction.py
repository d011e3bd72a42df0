"""Friction in tubes by the fluids library, as it may go through the transition."""

from __future__ import annotations

from collections.abc import Callable

MODELS = ["Churchill", "laminar to 4000", "turbulent from 2300"]
BEGINS = [1200, 1900, 2100, 2200, 2640, 3000, 3500, 3900, 4100, 4500, 8000, 20_000]
"""Reynolds numbers, in transition and on either side of it."""


def friction_models() -> dict[str, Callable[[float], float]]:
    """Darcy friction factors by Reynolds number, which differ in where a tube turns turbulent."""
    from fluids.friction import Churchill_1977, friction_factor

    def jump(at: float) -> Callable[[float], float]:
        return lambda number: (
            64 / number
            if number <= at
            else friction_factor(Re=max(number, 4001.0), eD=0.0)
            if number > 4000
            else 0.3164 * number**-0.25  # Blasius
        )

    return {
        "Churchill": lambda number: Churchill_1977(number, 0.0),
        "laminar to 4000": jump(4000.0),
        "turbulent from 2300": jump(2300.0),
    }

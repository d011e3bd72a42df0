"""The generator's own pressure of a method: simple formulas apart from `limitcheck.physics`.

Kozeny-Carman for the bed, Hagen-Poiseuille for tubing, viscosities read off a short table.
Mixtures at 25 degC: Grande 2006, Gonzalez 2007 and doi 10.1021/je700700f (NIST ThermoML
archive), rounded; pure tetrahydrofuran and hexane and the slopes with temperature are from
memory. SI units in and out unless a name says otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, pi

POROSITY = 0.40

_FRACTIONS = (0.0, 0.15, 0.3, 0.45, 0.6, 0.8, 1.0)
_MIXTURES = {
    "acetonitrile": (0.89, 0.985, 0.95, 0.85, 0.72, 0.50, 0.342),
    "methanol": (0.89, 1.22, 1.46, 1.56, 1.46, 1.09, 0.545),
    "ethanol": (0.89, 1.40, 1.96, 2.30, 2.26, 1.75, 1.08),
    "2-propanol": (0.89, 1.58, 2.38, 2.88, 3.08, 2.74, 2.08),
}  # mPa s
_PURE = {"tetrahydrofuran": 0.46, "hexane": 0.30}
_SLOPE = 0.019  # per kelvin, between water and the organic solvents


@dataclass(frozen=True, slots=True)
class Liquid:
    """A mobile phase: solvents A and B, percent B at its start and end (equal: isocratic)."""

    solvent_a: str
    solvent_b: str | None = None
    start: int = 0
    end: int = 0

    def extremes(self, celsius: float) -> tuple[float, float]:
        """The lowest and highest viscosity on the way from start to end [Pa s]."""
        share = [self.start + (self.end - self.start) * i / 20 for i in range(21)]
        values = [self.viscosity(percent, celsius) for percent in share]
        return min(values), max(values)

    def viscosity(self, percent_b: float, celsius: float) -> float:
        """Viscosity at a composition and temperature [Pa s]."""
        at_25 = self._at_25(percent_b / 100)
        return 1e-3 * at_25 * exp(-_SLOPE * (celsius - 25))

    def _at_25(self, fraction: float) -> float:
        table = _MIXTURES.get(self.solvent_b or "") if self.solvent_a == "water" else None
        if table is None:  # pure, or a little of an alcohol in an oil: the main solvent counts
            return _PURE.get(self.solvent_a, 0.89) * (1 + fraction)
        upper = next(i for i, x in enumerate(_FRACTIONS) if x >= fraction)
        if upper == 0:
            return table[0]
        x0, x1 = _FRACTIONS[upper - 1], _FRACTIONS[upper]
        return table[upper - 1] + (table[upper] - table[upper - 1]) * (fraction - x0) / (x1 - x0)


def bed_pressure(
    viscosity: float, flow: float, length: float, bore: float, particle: float
) -> float:
    """Kozeny-Carman pressure drop of a packed bed [Pa]."""
    velocity = flow / (pi * bore**2 / 4)
    e = POROSITY
    return 180 * viscosity * length * velocity * (1 - e) ** 2 / (e**3 * particle**2)


def tube_pressure(viscosity: float, flow: float, length: float, bore: float) -> float:
    """Hagen-Poiseuille pressure drop of a tube [Pa]."""
    return 128 * viscosity * length * flow / (pi * bore**4)

"""How often the predicted interval holds a pressure drawn over what is not known.

python -m tests.physics.coverage_study [--draws 4000]

A second model, written apart from the package: every part marched through in slices with its own
viscosity, heat and pressure, by the textbooks' formulas. What it takes over is what the package
states: the central figures, and what is not known about them, drawn as it is stated. What has
bounds is drawn evenly between them (JCGM 100:2008, 4.3.7): bores, particle sizes, the packing,
flow, the share of the heat that stays. The rest, viscosity, its rise with pressure, devices and
frits, is normal; its half-width is two standard deviations. At ultra-high pressure also where none
of the heat stays, and where all does.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator
from math import exp, log, pi
from random import Random

from limitcheck.physics.blend import with_water
from limitcheck.physics.predict import predict
from limitcheck.physics.ratio import ratio
from limitcheck.physics.system import Change, system
from limitcheck.physics.viscosity import viscosity
from limitcheck.profile.model import Profile

from .profiles import conditions, profile

PUMP = '{part = "pump", rating = "1200 bar"}'
SCALES = {
    "analytical": ("1.0 mL/min", "150 mm", "4.6 mm", "5 um", "0.17 mm"),
    "narrow bore": ("0.3 mL/min", "150 mm", "2.1 mm", "3 um", "0.12 mm"),
    "preparative": ("90 mL/min", "250 mm", "50 mm", "10 um", "0.8 mm"),
    "ultra-high pressure": ("0.5 mL/min", "100 mm", "2.1 mm", "1.7 um", "0.12 mm"),
}
"""Flow, length, bore and particle size of the column, bore of the tubing."""
HOT = "ultra-high pressure"
PHASES = {
    "water": ("", ""),
    "half acetonitrile": ("acetonitrile", "50"),
    "half methanol": ("methanol", "50"),
}
TEMPERATURE, AMBIENT = 308.15, 294.15
SLICES = 40
Draw = Callable[[float, float], float]
"""A deviation drawn evenly between two bounds."""
Scatter = Callable[[float], float]
"""A normal deviation, by its half-width of two standard deviations."""


def case(scale: str, phase: str) -> Profile:
    """The method of one scale with one mobile phase, water as solvent A."""
    flow, length, bore, size, tube = SCALES[scale]
    organic, percent_b = PHASES[phase]
    column = (
        f'{{part = "column", length = "{length}", bore = "{bore}", particle_size = "{size}", '
        f'inlet_frit = "0.5 um", outlet_frit = "0.5 um"}}'
    )
    tubes = [
        f'{{part = "tubing", label = "{n}", length = "{long}", bore = "{tube}"}}'
        for n, long in (("one", "500 mm"), ("two", "300 mm"), ("three", "300 mm"))
    ]
    parts = (PUMP, tubes[0], '{part = "injector"}', tubes[1], column, tubes[2], _CELL)
    return profile(
        *parts,
        conditions=conditions(
            flow=f'"{flow}"', solvent_b=f'"{organic}"' if organic else "", percent_b=percent_b
        ),
    )


_CELL = '{part = "detector cell"}'


class Truth:
    """One draw of everything that the package says it does not know."""

    def __init__(self, scale: str, phase: str, draw: Draw, scatter: Scatter) -> None:
        flow, length, bore, size, tube = SCALES[scale]
        self.flow = float(flow.split()[0]) * 1e-6 / 60 * exp(draw(-0.01, 0.01))
        self.length, self.bore = (float(text.split()[0]) * 1e-3 for text in (length, bore))
        self.size = float(size.split()[0]) * 1e-6 * exp(draw(-0.05, 0.05))
        self.tube = float(tube.split()[0]) * 1e-3
        self.organic, percent_b = PHASES[phase]
        self.fraction = float(percent_b) / 100 if percent_b else 0.0
        self.organic = self.organic or "water"
        self.draw, self.scatter = draw, scatter
        # ln of the constant, 150 to 267 about 180; porosity 0.40 +/- 0.02
        self.constant = 180.0 * exp(draw(log(150 / 180), log(267 / 180)))
        self.porosity = 0.40 + draw(-0.02, 0.02)
        wide = 0.02 if self.organic == "water" else 0.07
        self.viscous = exp(scatter(wide))
        self.kept = 0.5 + draw(-0.5, 0.5)
        self.squeezed = 0.5 + draw(-0.5, 0.5)
        self.rise = self._rise()
        self.bores = [self.tube * exp(draw(-0.05, 0.05)) for _ in range(3)]
        self.cell, self.injector = (0.3 * exp(scatter(log(3.0))) for _ in range(2))
        self.frit = 0.5**1.5 * 1e-13 * exp(scatter(log(5)))

    def _rise(self) -> tuple[float, float]:
        """Linear and square coefficient [1/MPa, 1/MPa2] of ln(eta), of solvent and water mixed."""
        pure = {
            "water": (0.0, 0.0),
            "methanol": (5.81e-3, -1.59e-5),
            "acetonitrile": (8.15e-3, -3.24e-5),
        }
        own = 0.1 if self.organic == "water" else 0.61 if self.organic == "acetonitrile" else 0.51
        sure = 1.0 + self.scatter(own)
        a, b = pure[self.organic]
        return a * self.fraction * sure, b * self.fraction * sure

    def eta(self, kelvin: float, pascal: float) -> float:
        a, b = self.rise
        at = min(pascal * 1e-6, 100.0)
        low = viscosity(with_water(self.organic, self.fraction), kelvin)
        return self.viscous * low * exp(at * (a + b * at))

    def pressure(self) -> float:
        """At the pump [Pa]: from the outlet back, slice by slice."""
        bores, total = self.bores, 0.0
        for length, bore in ((self.cell, self.tube), (0.3, bores[2])):
            total = self._tube(total, length, bore)
        total = self._bed(total)
        for length, bore in ((0.3, bores[1]), (self.injector, self.tube), (0.5, bores[0])):
            total = self._tube(total, length, bore)
        return total

    def _tube(self, outlet: float, length: float, bore: float) -> float:
        here = outlet
        for _ in range(SLICES):
            eta = self.eta(AMBIENT, here)
            number = 4 * self.flow * self._density() / (pi * bore * eta)
            laminar = 128 * eta * self.flow / (pi * bore**4) * length / SLICES
            if number > 2040:  # Blasius, as far as from laminar to turbulent as the number says
                turbulent = laminar * 0.3164 / number**0.25 * number / 64
                share = min(1.0, log(number / 2040) / log(4000 / 2040))
                laminar *= (turbulent / laminar) ** share
            here += laminar
        return here

    def _density(self) -> float:
        return 997.0 - (0.0 if self.organic == "water" else 0.5 * 215.0)

    def _bed(self, outlet: float) -> float:
        """Darcy's law from the inlet on is as from the outlet on: heat by what is dropped."""
        open_share = self.porosity
        k = self.size**2 * open_share**3 / (self.constant * (1 - open_share) ** 2)
        speed = self.flow / (pi / 4 * self.bore**2)
        guess = outlet
        for _ in range(4):  # the pressure at the inlet decides what compression does on average
            inlet, here = guess, outlet
            for step in range(SLICES):
                kelvin = TEMPERATURE + self.kept * self._warm(inlet - outlet) * (
                    1 - (step + 0.5) / SLICES
                )
                # By volume in the bed: the pump's flow is that at no pressure, or at its own.
                less = 1.0 + self.squeezed * self._compressed(guess) - self._compressed(here)
                here += self.eta(kelvin, here) * speed * less / k * self.length / SLICES
            guess = here
        return guess + 2 * self.eta(TEMPERATURE, guess) * speed * 1.5e-3 / self.frit

    def _warm(self, pascal: float) -> float:
        """Rise of temperature [K] at the outlet without loss: dT = (1 - alpha T) dP / (rho cp)."""
        share = self.fraction if self.organic != "water" else 0.0
        heat = 4.17e6 * (1 - share) + 1.8e6 * share  # J/(m3 K), by volume
        alpha = 2.6e-4 * (1 - share) + 1.3e-3 * share
        return pascal * (1 - alpha * TEMPERATURE) / heat

    def _compressed(self, pascal: float) -> float:
        share = self.fraction if self.organic != "water" else 0.0
        return pascal * (4.5e-10 * (1 - share) + 9e-10 * share)


def covered(
    scale: str, phase: str, count: int, kept: float | None = None
) -> tuple[float, float, float]:
    """Shares [-] of draws within, below and above the predicted interval.

    ``kept`` is the share of the heat that stays [-] in all draws; None draws it.
    """
    found = predict(case(scale, phase))
    rng = Random(17)
    low = high = 0
    for _ in range(count):
        truth = Truth(scale, phase, rng.uniform, lambda half: rng.gauss(0.0, 0.5 * half))
        truth.kept = truth.kept if kept is None else kept
        pressure = truth.pressure()
        low += pressure < found.low
        high += pressure > found.high
    return 1 - (low + high) / count, low / count, high / count


def ratio_covered(scale: str, phase: str, count: int, times: float) -> tuple[float, float, float]:
    """Shares [-] of draws whose ratio at another flow is within, below and above the interval."""
    made = case(scale, phase)
    flow = system(made).state.flow
    found = ratio(made, Change(flow=times * flow))
    rng = Random(17)
    low = high = 0
    for _ in range(count):
        truth = Truth(scale, phase, rng.uniform, lambda half: rng.gauss(0.0, 0.5 * half))
        before = truth.pressure()
        truth.flow *= times
        after = truth.pressure() / before
        low += after < found.low
        high += after > found.high
    return 1 - (low + high) / count, low / count, high / count


def table(count: int) -> Iterator[str]:
    """The study's table, a line each."""
    yield f"{'':22} {'':18} {'within':>8}{'below':>8}{'above':>8}"
    for scale in SCALES:
        for phase in PHASES:
            for kept in (None, 0.0, 1.0) if scale == HOT else (None,):
                shares = covered(scale, phase, count, kept)
                figures = "".join(f"{100 * share:7.1f}%" for share in shares)
                name = scale if kept is None else f"{'all' if kept else 'no'} heat stays"
                yield f"{name:22} {phase:18} {figures}"
    yield "The ratio of pressures at another flow:"
    for scale in SCALES:
        for phase in PHASES:
            for times in (0.5, 1.5):
                shares = ratio_covered(scale, phase, count, times)
                figures = "".join(f"{100 * share:7.1f}%" for share in shares)
                yield f"{f'{scale}, times {times:g}':28} {phase:18} {figures}"


def main() -> None:
    options = argparse.ArgumentParser(description="Coverage of the predicted interval.")
    options.add_argument("--draws", type=int, default=4000)
    for line in table(options.parse_args().draws):
        print(line)


if __name__ == "__main__":
    main()

"""Density of the solvents and their mixtures; it decides where flow turns turbulent."""

from __future__ import annotations

from functools import lru_cache

from .blend import Blend
from .constants import ROOM

DENSITIES = {
    "water": (997.05, -0.41),
    "acetonitrile": (776.6, -1.09),
    "methanol": (787.2, -0.97),
    "ethanol": (785.6, -0.90),
    "2-propanol": (781.3, -0.98),
    "tetrahydrofuran": (880.0, -1.10),
    "hexane": (654.85, -0.91),
    "heptane": (679.60, -0.85),
}
"""kg/m3 at 25 degC, and kg/m3 a kelvin from there; rows of tests/reference/solvent_density.csv,
water by IAPWS SR6-08, hexane and heptane (n-) by CoolProp 8.0.0."""
ERROR = 0.04  # of a mixture: what contracts on mixing is left out


@lru_cache(maxsize=4096)
def density(solvents: Blend, temperature: float) -> float:
    """Density of solvents by their volume fractions before mixing [kg/m3].

    sum of phi_i rho_i(T), rho linear in T, with volume fractions phi [-] and the temperature T [K]

    Range: 10 to 60 degC at low pressure; contraction on mixing, up to 4 %, is left out, so the
    stated error is 4 %.

    >>> round(density((("methanol", 0.5), ("water", 0.5)), 298.15), 1)
    892.1

    Source: as in ``DENSITIES``.
    """
    above, found = temperature - ROOM, 0.0
    for name, share in solvents:
        rho, slope = DENSITIES[name]
        found += share * (rho + slope * above)
    return found

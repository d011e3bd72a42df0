"""Density of the solvents and their mixtures with water; it decides where flow turns turbulent."""

from __future__ import annotations

DENSITIES = {
    "water": (997.05, -0.41),
    "acetonitrile": (776.6, -1.09),
    "methanol": (787.2, -0.97),
    "ethanol": (785.6, -0.90),
    "2-propanol": (781.3, -0.98),
    "tetrahydrofuran": (880.0, -1.10),
}
"""kg/m3 at 25 degC, and kg/m3 a kelvin from there; rows of tests/reference/solvent_density.csv,
water by IAPWS SR6-08."""
ERROR = 0.04  # of a mixture: what contracts on mixing is left out


def density(organic: str, fraction: float, temperature: float) -> float:
    """Density of an organic solvent (or "water") mixed with water [kg/m3].

    phi rho_o(T) + (1 - phi) rho_w(T), rho linear in T, with the volume fraction [-] before mixing
    phi and the temperature T [K]

    Range: 10 to 60 degC at low pressure; contraction on mixing, up to 4 %, is left out, so the
    stated error is 4 %.

    >>> round(density("methanol", 1.0, 298.15), 1), round(density("methanol", 0.5, 298.15), 1)
    (787.2, 892.1)

    Source: as in ``DENSITIES``.
    """
    above = temperature - 298.15
    water, solvent = (
        rho + slope * above for rho, slope in (DENSITIES["water"], DENSITIES[organic])
    )
    return fraction * solvent + (1.0 - fraction) * water

"""Prints how far the viscosity models are from the reference values.

Run: python tests/reference/print_deviations.py
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from statistics import mean

if __package__ in (None, ""):  # run as a script
    sys.path.insert(0, str(Path(__file__).parents[2]))

from limitcheck.physics.blend import with_water
from limitcheck.physics.viscosity import pressure_rise, solvent_viscosity, viscosity
from tests.reference.rows import rows


def mixtures(table: str) -> dict[str, list[float]]:
    """Relative deviation, model / value - 1, of every row, by mixture."""
    found: dict[str, list[float]] = {}
    for row in rows(table):
        organic = row["solvent"].removesuffix("+water")
        computed = viscosity(
            with_water(organic, float(row["volume_fraction_before_mixing"])),
            float(row["temperature_C"]) + 273.15,
        )
        found.setdefault(row["solvent"], []).append(
            computed / (1e-3 * float(row["viscosity_mPas"])) - 1.0
        )
    return found


def pure() -> dict[str, list[float]]:
    """Relative deviation from each compilation and from the measurements, by solvent."""
    found: dict[str, list[float]] = {}
    for row in rows("solvent_viscosity"):
        if row["range_note"] or float(row["temperature_C"]) > 60:
            continue
        computed = solvent_viscosity(row["solvent"], float(row["temperature_C"]) + 273.15)
        found.setdefault(f"{row['solvent']} ({row['method']})", []).append(
            computed / (1e-3 * float(row["viscosity_mPas"])) - 1.0
        )
    return found


def under_pressure() -> dict[str, list[float]]:
    """Deviation of ln(eta(p) / eta(0.1 MPa)), by solvent with data."""
    from math import log

    table = rows("pressure_viscosity")
    at_zero = {
        (row["solvent"], row["temperature_C"]): float(row["viscosity_mPas"])
        for row in table
        if row["pressure_MPa"] == "0.1"
    }
    found: dict[str, list[float]] = {}
    for row in table:
        if row["solvent"] == "n-hexane":
            continue
        rise = pressure_rise(with_water(row["solvent"], 1.0), float(row["temperature_C"]) + 273.15)
        measured = log(float(row["viscosity_mPas"]) / at_zero[row["solvent"], row["temperature_C"]])
        found.setdefault(f"{row['solvent']} under pressure", []).append(
            rise.exponent(1e6 * float(row["pressure_MPa"])) - measured
        )
    return found


def lines() -> Iterator[str]:
    """The table, a line at a time."""
    yield f"{'':44} {'rows':>4} {'mean':>8} {'worst':>8}"
    for title, groups in (
        ("Mixtures, measured (mixture_viscosity.csv)", mixtures("mixture_viscosity")),
        ("Mixtures, Melinder by CoolProp, 20-40 degC", mixtures("aqueous_alcohol_viscosity")),
        ("Pure solvents to 60 degC", pure()),
        ("Effect of pressure to 1000 bar", under_pressure()),
    ):
        yield title
        for name, values in groups.items():
            sizes = [100 * abs(value) for value in values]
            yield f"  {name:42} {len(sizes):4} {mean(sizes):6.2f} % {max(sizes):6.2f} %"


if __name__ == "__main__":
    print("\n".join(lines()))

"""Packed beds against fluids, textbooks and the pharmacopoeia's table."""

from __future__ import annotations

from math import exp, log, pi

import pytest

from limitcheck.physics.resistance import (
    MONOLITH,
    PACKINGS,
    TOTAL_POROSITY,
    bed_apart_error,
    bed_error,
    bed_resistance,
    packed_resistance,
    permeable_resistance,
)
from tests.reference.rows import rows

ML_MIN = 1e-6 / 60


def _drop(row: dict[str, str]) -> float:
    resistance = bed_resistance(
        1e-3 * float(row["L_mm"]),
        1e-3 * float(row["dc_mm"]),
        1e-6 * float(row["dp_um"]),
        float(row["interstitial_porosity"]),
    )
    return resistance * 1e-3 * float(row["viscosity_mPas"]) * ML_MIN * float(row["flow_mL_min"])


def test_tabulated_columns() -> None:
    """fluids 1.3.1 Carman within 0.03 % and Ergun times 180/150 within 0.02 %, as tabulated."""
    table = rows("packed_bed_examples")
    assert len({row["column"] for row in table}) == 5
    for row in table:
        bar = 1e-5 * _drop(row)
        assert bar == pytest.approx(float(row["dP_KozenyCarman180_bar"]), rel=1e-5)
        assert bar == pytest.approx(float(row["dP_fluids_Carman_bar"]), rel=3e-4)
        assert bar * 150 / 180 == pytest.approx(float(row["dP_fluids_Ergun_bar"]), rel=2e-4)


def test_beds_of_fluids_live() -> None:
    from fluids.packed_bed import Carman, Ergun

    for row in rows("packed_bed_examples"):
        diameter = 1e-3 * float(row["dc_mm"])
        velocity = ML_MIN * float(row["flow_mL_min"]) / (pi * diameter**2 / 4)
        bed = {
            "dp": 1e-6 * float(row["dp_um"]),
            "voidage": float(row["interstitial_porosity"]),
            "vs": velocity,
            "rho": float(row["density_kg_m3"]),
            "mu": 1e-3 * float(row["viscosity_mPas"]),
            "L": 1e-3 * float(row["L_mm"]),
        }
        assert _drop(row) == pytest.approx(Carman(**bed), rel=4e-4)
        assert _drop(row) * 150 / 180 == pytest.approx(Ergun(**bed), rel=3e-4)


def test_textbook_shortcut_is_inside_the_stated_error() -> None:
    """Snyder, Kirkland, Dolan, 3rd ed., ch. 2 (from memory): P [psi] = 2500 L eta F / (dp dc)^2."""
    psi = 8896443230521 / 1290320000
    shortcut = 2500 * 150 * 1.0 * 1.0 / (5 * 4.6) ** 2
    assert shortcut == pytest.approx(708.9, rel=1e-4)
    ours = bed_resistance(0.150, 4.6e-3, 5e-6) * 1e-3 * ML_MIN / psi
    below, above = bed_error()
    assert ours * exp(-below) < shortcut < ours * exp(above)


def test_pharmacopoeia_relative_pressures() -> None:
    """USP <621>, older relative-values table (from memory): flow scaled, same mobile phase."""
    reference = bed_resistance(0.150, 4.6e-3, 5e-6)
    table = rows("pharmacopoeia_relative_table")
    assert len(table) == 9
    for row in table:
        length, bore = 1e-3 * float(row["L_mm"]), 1e-3 * float(row["dc_mm"])
        ratio = (
            bed_resistance(length, bore, 1e-6 * float(row["dp_um"]))
            * float(row["rel_flow_computed"])
            / reference
        )
        assert ratio == pytest.approx(float(row["rel_pressure_printed"]), abs=0.051)


def test_length_150_to_250_mm() -> None:
    """Raises pressure "about 65 %" (trade column); in proportion to length it is 66.7 %."""
    ratio = bed_resistance(0.250, 4.6e-3, 5e-6) / bed_resistance(0.150, 4.6e-3, 5e-6)
    assert ratio == pytest.approx(5 / 3)


def test_porosity_off_by_a_hundredth_is_a_tenth_of_the_pressure() -> None:
    ratio = bed_resistance(0.1, 4.6e-3, 5e-6, 0.39) / bed_resistance(0.1, 4.6e-3, 5e-6, 0.40)
    assert ratio == pytest.approx(1.115, abs=0.005)


def test_stated_error_covers_the_disputed_constants() -> None:
    """150 (Ergun) and 267 (Quinn, J. Materials 2014, 636507) at porosity 0.40."""
    below, above = bed_error()
    assert exp(-below) < 150 / 180
    assert exp(above) > 267 / 180


def test_irregular_particles_by_ergun_with_its_shape_factor() -> None:
    """fluids' Ergun (150) of the sphericity times the size, times 180 / 150."""
    from fluids.packed_bed import Ergun

    bed = PACKINGS["irregular"]
    velocity = ML_MIN / (pi * 4.6e-3**2 / 4)
    theirs = Ergun(dp=0.74 * 10e-6, voidage=bed.porosity, vs=velocity, rho=998, mu=1e-3, L=0.25)
    ours = packed_resistance(0.25, 4.6e-3, 10e-6, "irregular") * 1e-3 * ML_MIN
    assert ours * 150 / 180 == pytest.approx(theirs, rel=3e-4)


@pytest.mark.parametrize(
    ("particle", "published"),
    [("fully porous", 500), ("irregular", 1000), ("superficially porous", 550)],
)
def test_flow_resistance_factors_lie_in_the_interval(particle: str, published: float) -> None:
    """phi = dP dp^2 / (eta L u0): about 500 for spheres, 1000 for irregular silica.

    Bristow and Knox, Chromatographia 10 (1977) 279; shells as spheres (all from memory).
    """
    resistance = packed_resistance(0.15, 4.6e-3, 5e-6, particle)
    area = pi * 4.6e-3**2 / 4
    factor = resistance * area * TOTAL_POROSITY[particle] * 5e-6**2 / 0.15
    below, above = bed_error(particle)
    assert factor * exp(-below) < published < factor * exp(above)


def test_monoliths_are_as_permeable_as_coarse_beds() -> None:
    """A first silica monolith: as a bed of 11 um particles. Leinweber et al., Anal. Chem. 75."""
    low, usual, high = MONOLITH
    coarse = 0.1 * 4 / (pi * 4.6e-3**2) / bed_resistance(0.1, 4.6e-3, 11e-6)
    fine = 0.1 * 4 / (pi * 4.6e-3**2) / bed_resistance(0.1, 4.6e-3, 4e-6)
    assert coarse == pytest.approx(high, rel=0.01)
    assert low < fine < usual
    assert permeable_resistance(0.1, 4.6e-3, usual) < bed_resistance(0.1, 4.6e-3, 5e-6)


def test_beds_of_one_kind_differ_less_than_a_bed_from_the_correlation() -> None:
    for particle in PACKINGS:
        assert bed_apart_error(particle) < max(bed_error(particle))
    assert bed_apart_error("monolith") < log(3)


@pytest.mark.parametrize("sizes", [(0, 1, 1), (1, -1, 1), (1, 1, 0)])
def test_impossible_sizes(sizes: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="above zero"):
        bed_resistance(*sizes)
    with pytest.raises(ValueError, match="above zero"):
        permeable_resistance(*sizes)


def test_impossible_porosity() -> None:
    with pytest.raises(ValueError, match="porosity"):
        bed_resistance(0.1, 4.6e-3, 5e-6, 1.0)

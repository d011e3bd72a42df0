"""Open tubes against fluids and a textbook example."""

from __future__ import annotations

import pytest

from limitcheck.physics.tubing import reynolds, tube_resistance
from tests.reference.rows import rows

ML_MIN = 1e-6 / 60
WATER = [row for row in rows("tube_examples") if float(row["id_mm"]) < 1]


def test_tabulated_tubes() -> None:
    """fluids 1.3.1 friction.one_phase_dP, as tabulated."""
    assert len(WATER) == 24
    for row in WATER:
        bore, flow = 1e-3 * float(row["id_mm"]), ML_MIN * float(row["flow_mL_min"])
        eta = 1e-3 * float(row["viscosity_mPas"])
        drop = tube_resistance(float(row["length_m"]), bore) * eta * flow
        assert 1e-5 * drop == pytest.approx(float(row["dP_fluids_bar"]), rel=1e-5)
        assert reynolds(flow, bore, eta, 997.047) == pytest.approx(float(row["Re"]), rel=1e-4)


def test_fluids_live() -> None:
    from fluids.friction import one_phase_dP

    for row in WATER:
        bore, flow = 1e-3 * float(row["id_mm"]), ML_MIN * float(row["flow_mL_min"])
        eta = 1e-3 * float(row["viscosity_mPas"])
        theirs = one_phase_dP(m=flow * 997.047, rho=997.047, mu=eta, D=bore, L=1.0)
        assert tube_resistance(1.0, bore) * eta * flow == pytest.approx(theirs, rel=1e-9)


def test_textbook_example() -> None:
    """Bird, Stewart, Lightfoot, 2nd ed., example 2.3-1 (from memory): 4.92 g/(cm s)."""
    row = next(row for row in rows("tube_examples") if row["id_mm"] == "2.54")
    pressure = 1e5 * float(row["dP_HagenPoiseuille_bar"])
    flow = 0.00398 * 0.3048**3 / 60
    eta = pressure / (tube_resistance(float(row["length_m"]), 2.54e-3) * flow)
    assert eta == pytest.approx(0.492, rel=2e-3)


def test_bore_five_percent_off_is_a_fifth_of_the_pressure() -> None:
    ratio = tube_resistance(1.0, 0.95e-4) / tube_resistance(1.0, 1e-4)
    assert ratio == pytest.approx(1.228, abs=0.001)


@pytest.mark.parametrize("sizes", [(0, 1), (1, 0)])
def test_impossible_sizes(sizes: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="above zero"):
        tube_resistance(*sizes)

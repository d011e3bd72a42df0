"""Whether normal runs reach a cutoff or a rating of the receiving instrument."""

from __future__ import annotations

from datetime import date
from math import erf, exp, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.physics.other_instrument import PressureRatio
from limitcheck.physics.ratio import RatioInterval
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import ProfileFile
from limitcheck.transfer import transfer
from limitcheck.transfer.normal_pressure import ScaledBand, ScaledEnd
from limitcheck.transfer.reach import SIGMAS, Reach, normal_runs, probabilities
from limitcheck.units import Pressure
from tests.profiles_for_tests import WITH_GEOMETRY, with_geometry

from .changed import THERE, changed

BAND = "low = 145\nhigh = 172"
HERE = with_geometry()


def there(*changes: tuple[str, str]) -> ProfileFile:
    text = WITH_GEOMETRY.replace('id = "KB-LC-03"', 'id = "HM-LC-07"')
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return with_geometry(text)


def reach(name: str, receiving: ProfileFile) -> Reach:
    found = normal_runs(HERE.profile, receiving.profile).reaches
    return next(item for item in found if item.limit.name.startswith(name))


def test_a_cutoff_beyond_the_interval_holds() -> None:
    found = reach("high cutoff", there())
    assert found.outcome == "holds"
    assert found.text.endswith("bar below 260 bar, at the end of its interval")
    assert found.band is not None
    assert found.band < 0.05


@pytest.mark.parametrize(
    ("cutoff", "outcome", "least", "most"),
    [(185, "not decided", 0.05, 0.5), (170, "broken", 0.5, 0.8), (140, "broken", 0.95, 1.0)],
)
def test_a_band_that_reaches_over_the_cutoff_by_its_own_figures(
    cutoff: int, outcome: str, least: float, most: float
) -> None:
    """Equal parts, so a ratio of 1 with its interval: 172 bar is over 170, and may be over 185."""
    found = reach("high cutoff", there(("high = 260", f"high = {cutoff}")))
    assert found.outcome == outcome
    assert found.band is not None
    assert found.run is not None
    assert least < found.band <= most
    assert found.run <= found.band
    assert "probability that normal runs reach it" in found.text


def test_the_low_cutoff_is_reached_from_above() -> None:
    assert reach("low cutoff", there()).outcome == "holds"
    assert reach("low cutoff", there(("low = 30", "low = 135"))).outcome == "not decided"
    found = reach("low cutoff", there(("low = 30", "low = 150")))
    assert found.outcome == "broken"
    assert "5 bar below 150 bar; probability" in found.text


def test_the_flow_kept_on_a_wider_bore_falls_under_the_low_cutoff() -> None:
    """Pressure goes with 1 / bore^2: (4.6/10)^2 = 0.21 of the column's share."""
    wide = there(('"4.6 mm"', '"10 mm"'), ("low = 30", "low = 70"))
    assert reach("low cutoff", wide).outcome == "broken"


def test_a_rating_that_normal_runs_pass() -> None:
    weak = there(('rating = "400 bar"', 'rating = "160 bar"'))
    found = reach("weakest rating", weak)
    assert (found.outcome, found.limit.name) == ("broken", "weakest rating, pump")
    assert "12 bar above 160 bar" in found.text


@pytest.mark.parametrize(("top", "outcome"), [(250, "holds"), (260, "broken"), (270, "broken")])
def test_a_band_measured_here_decides_exactly(top: int, outcome: str) -> None:
    found = reach("high cutoff", there((BAND, f'low = 147\nhigh = {top}\nbasis = "measured"')))
    assert (found.outcome, found.band, found.run) == (outcome, None, None)
    assert "measured here: " in found.text


def test_a_gap_in_the_unit_of_the_instrument_and_in_bar() -> None:
    psi = there(
        ('pressure_unit = "bar"', 'pressure_unit = "psi"'),
        (BAND, 'low = "145 bar"\nhigh = "172 bar"'),
        ("high = 260", "high = 2400"),
        ("low = 30", "low = 435"),
    )
    assert (
        "95 psi (6.5 bar) above 2400 psi" in reach("high cutoff", psi).text
    )  # 172 bar is 2494.6 psi


def band(low: float, high: float, below: float, above: float) -> ScaledBand:
    ends = [
        ScaledEnd(
            *(Pressure.of(f"{end * factor:.9f}", "bar") for factor in (exp(-below), 1, exp(above)))
        )
        for end in (low, high)
    ]
    ratio = RatioInterval(exp(-below), 1.0, exp(above))
    return ScaledBand(*ends, PressureRatio(ratio, ratio))


def test_the_probability_is_that_of_a_normal_distribution() -> None:
    """Normal distribution: 95.8 % below the upper end at sqrt(3) standard uncertainties."""
    found, _ = probabilities(band(100, 200, 0.1, 0.1), 200e5 * exp(0.1), low=False, gradient=True)
    assert found == pytest.approx(0.5 * (1 - erf(SIGMAS / sqrt(2))), abs=1e-6)
    assert 1 - 2 * found == pytest.approx(0.917, abs=0.001)


def test_without_doubt_the_share_of_the_band_is_left() -> None:
    sure = band(100, 200, 0.0, 0.0)
    assert probabilities(sure, 150e5, low=False, gradient=False) == pytest.approx((1.0, 0.5))
    assert probabilities(sure, 150e5, low=True, gradient=False) == pytest.approx((1.0, 0.5))
    assert probabilities(sure, 201e5, low=False, gradient=False) == (0.0, 0.0)


@given(
    st.floats(20, 300), st.floats(1, 3), st.floats(0.001, 0.5), st.floats(0.001, 0.5),
    st.floats(10, 1000), st.booleans(),
)  # fmt: skip
def test_a_higher_limit_is_reached_less(
    low: float, times: float, below: float, above: float, limit: float, is_low: bool
) -> None:
    scaled = band(low, low * times, below, above)
    first = probabilities(scaled, limit * 1e5, low=is_low, gradient=False)
    second = probabilities(scaled, limit * 1.1e5, low=is_low, gradient=False)
    for one, other in zip(first, second, strict=True):
        assert -1e-9 <= one <= 1 + 1e-9
        assert (one <= other + 1e-9) if is_low else (one >= other - 1e-9)
    assert first[1] <= first[0] + 1e-6


@given(
    st.sampled_from(["2.1 mm", "3.0 mm", "4.6 mm", "6.0 mm"]),
    st.sampled_from(["2.1 mm", "3.0 mm", "4.6 mm", "6.0 mm"]),
    st.integers(30, 900),
    st.integers(1, 200),
    st.sampled_from(["130 bar", "400 bar", "1200 bar"]),
    st.sampled_from(["declared", "predicted", "measured"]),
)
def test_nothing_is_accepted_whose_band_reaches_a_limit(
    sent: str, got: str, high: int, low: int, rating: str, basis: str
) -> None:
    """By the record's own figures; a band that was not measured there is always a condition."""
    sides = (
        changed("isocratic", {"column.bore": sent}),
        changed(
            "isocratic",
            THERE
            | {"column.bore": got, "cutoffs.high": high, "cutoffs.low": low}
            | {"column.rating": rating, "expected.basis": basis, "instrument.entry_max": 1000},
        ),
    )
    found = transfer(*sides, (DEFAULT_POLICY, DEFAULT_POLICY), date(2026, 11, 25))
    scaled = found.normal.scaled
    assert scaled is not None
    top, bottom = scaled.high.central, scaled.low.central
    reached = top >= Pressure.of(high, "bar") or bottom <= Pressure.of(low, "bar")
    if reached or top >= Pressure.parse(rating):
        assert found.decision == "do not accept"
    assert len(found.conditions) >= 1  # 120 to 138 bar are the sender's numbers
    outcomes = {reach.outcome for reach in found.normal.reaches}
    if found.decision == "accept":
        assert outcomes == {"holds"}
    if "not decided" in outcomes:
        assert found.decision != "accept"

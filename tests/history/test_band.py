"""Tolerance factors and sample sizes against published and library values."""

from __future__ import annotations

import csv
import math
import random
from pathlib import Path
from statistics import NormalDist, fmean, stdev

import pytest
from scipy import stats

from limitcheck.history.band import chi_square_survival, order_rank, sample_size, tolerance_factor

REFERENCE = Path(__file__).parents[1] / "reference"


def rows(name: str) -> list[dict[str, str]]:
    with (REFERENCE / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize(
    "row",
    rows("tolerance_factors.csv"),
    ids=lambda r: f"{r['n']}-{r['coverage']}-{r['confidence']}",
)
def test_exact_factors(row: dict[str, str]) -> None:
    """Reference: numerical integration with scipy 1.17.1, see the source column."""
    k = tolerance_factor(int(row["n"]), float(row["coverage"]), float(row["confidence"]))
    assert k == pytest.approx(float(row["k2_exact"]), abs=5.1e-5)


def test_handbook_example() -> None:
    """NIST/SEMATECH e-Handbook 7.2.6.3: n = 43, coverage 0.90, confidence 0.99, k = 2.217.

    The handbook's is Howe's form, a little below the exact factor.
    """
    assert tolerance_factor(43, 0.90, 0.99) == pytest.approx(2.217, rel=0.003)


def test_smallest_sample() -> None:
    """ISO 16269-6 prints 36.519 for n = 2, 95 % and 95 % (from memory)."""
    assert tolerance_factor(2, 0.95, 0.95) == pytest.approx(36.519, abs=0.001)


def test_factor_falls_to_the_normal_quantile() -> None:
    quantile = NormalDist().inv_cdf(0.975)
    factors = [tolerance_factor(n, 0.95, 0.95) for n in (10, 100, 1000, 10**6)]
    assert factors == sorted(factors, reverse=True)
    assert 0 < factors[-1] - quantile < 0.01


@pytest.mark.parametrize("degrees", [1, 2, 5, 30, 400, 10**6])
@pytest.mark.parametrize("share", [0.01, 0.5, 0.99])
def test_chi_square(degrees: int, share: float) -> None:
    """Against scipy."""
    x = float(stats.chi2.ppf(share, degrees))
    assert chi_square_survival(x, degrees) == pytest.approx(1 - share, abs=1e-8)


@pytest.mark.parametrize("row", rows("nonparametric_n.csv"))
def test_sample_sizes(row: dict[str, str]) -> None:
    """Wilks (1941): smallest n whose minimum and maximum hold the coverage."""
    n = sample_size(float(row["coverage"]), float(row["confidence"]))
    assert n == int(row["n_two_sided_min_max"])


@pytest.mark.parametrize("n", [93, 150, 500, 5000, 100_000])
def test_ranks_are_the_largest_that_hold(n: int) -> None:
    """The share between two order statistics is Beta distributed (scipy's beta)."""

    def confidence(rank: int) -> float:
        return float(stats.beta.sf(0.95, n + 1 - 2 * rank, 2 * rank))

    rank = order_rank(n, 0.95, 0.95)
    assert confidence(rank) >= 0.95 > confidence(rank + 1)


def test_too_few_for_any_rank() -> None:
    assert order_rank(92, 0.95, 0.95) == 0
    assert order_rank(1, 0.95, 0.95) == 0


def test_intervals_hold_what_they_promise() -> None:
    """1500 samples: the share of intervals holding 90 % of the population is the confidence."""
    rng = random.Random(5)
    normal = NormalDist()
    k = tolerance_factor(12, 0.90, 0.95)
    held = 0
    for _ in range(1500):
        sample = [rng.gauss(0, 1) for _ in range(12)]
        mean, reach = fmean(sample), k * stdev(sample)
        held += normal.cdf(mean + reach) - normal.cdf(mean - reach) >= 0.90
    assert abs(held / 1500 - 0.95) < 4 * math.sqrt(0.95 * 0.05 / 1500)


@pytest.mark.parametrize(("coverage", "confidence"), [(0, 0.9), (1, 0.9), (0.9, 0), (0.9, 1.5)])
def test_impossible_shares(coverage: float, confidence: float) -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        tolerance_factor(10, coverage, confidence)
    with pytest.raises(ValueError, match="between 0 and 1"):
        order_rank(10, coverage, confidence)


def test_one_reading_has_no_spread() -> None:
    with pytest.raises(ValueError, match="at least 2"):
        tolerance_factor(1, 0.9, 0.9)

"""The band that holds a stated share of all readings, with stated confidence.

A tolerance interval, of two kinds. The normal one, mean +- k s, needs few readings and assumes a
normal distribution. The distribution-free one, between two order statistics, assumes nothing about
the shape and needs more readings. Plain floats: `limitcheck baseline` must start without numpy or
scipy.

References
----------
NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.3 (normal) and 7.2.6.4 (distribution-free).
S. S. Wilks, Ann. Math. Stat. 12 (1941) 91 (sample sizes for minimum to maximum).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist
from typing import Literal

from ..bisection import bisect
from .summaries import Tally

FEWEST_READINGS = 5
Kind = Literal["auto", "normal", "distribution-free"]
_STANDARD = NormalDist()
_REACH = 7.5  # standard deviations: the integrand beyond weighs less than 1e-13
_NODES = 31  # trapezoidal steps from 0 to _REACH; the integrand is analytic, so they converge fast


def _share(value: float, name: str) -> float:
    if not 0 < value < 1:
        raise ValueError(f"{name} must lie between 0 and 1, not {value}")
    return value


def chi_square_survival(x: float, degrees: int) -> float:
    """Probability [-] that chi-square with `degrees` [-] of freedom exceeds `x` [-].

    The regularized incomplete gamma function, by its series below the mean and by its continued
    fraction above (Abramowitz and Stegun, 6.5.29 and 6.5.31).
    """
    if x <= 0:
        return 1.0
    a, half = degrees / 2, x / 2
    scale = math.exp(a * math.log(half) - half - math.lgamma(a))
    if half < a + 1:
        term = total = 1 / a
        divisor = a
        while term > total * 1e-16:
            divisor += 1
            term *= half / divisor
            total += term
        return 1 - scale * total
    tiny = 1e-300
    b = half + 1 - a
    c, d = 1 / tiny, 1 / b
    fraction = d
    step, i = 0.0, 0
    while abs(step - 1) > 1e-15:
        i += 1
        factor = -i * (i - a)
        b += 2
        d = 1 / (factor * d + b or tiny)
        c = factor / c + b or tiny
        step = c * d
        fraction *= step
    return scale * fraction


def _half_width(offset: float, coverage: float) -> float:
    """`r` with Phi(offset + r) - Phi(offset - r) = coverage, by Newton's method from above."""
    r = offset + _STANDARD.inv_cdf((1 + coverage) / 2)
    for _ in range(60):
        excess = _STANDARD.cdf(offset + r) - _STANDARD.cdf(offset - r) - coverage
        change = excess / (_STANDARD.pdf(offset + r) + _STANDARD.pdf(offset - r))
        r -= change
        if abs(change) < 1e-13 * r:
            break
    return r


def tolerance_factor(n: int, coverage: float, confidence: float) -> float:
    """Exact two-sided normal tolerance factor k [-].

    mean +- k s of `n` [-] independent normal readings holds at least the share `coverage` [-] of
    the population with probability `confidence` [-].

    Notes
    -----
    Solves E[P(chi2 with n-1 degrees > (n-1) r(Z)^2 / k^2)] = confidence, Z normal with variance
    1/n and r(Z) the half width that covers `coverage` around a mean off by Z. Howe's closed form
    (J. Am. Stat. Assoc. 64 (1969) 610), printed in the e-Handbook, is up to 1.5 % away for n = 5.

    Examples
    --------
    >>> round(tolerance_factor(43, 0.90, 0.99), 4)  # the e-Handbook's example: 2.217 by Howe
    2.2228
    """
    if n < 2:
        raise ValueError(f"a spread needs at least 2 readings, not {n}")
    _share(coverage, "coverage")
    _share(confidence, "confidence")
    degrees = n - 1
    step = _REACH / _NODES
    nodes = []  # (weight, r squared); symmetric in Z, so half the line twice
    for i in range(_NODES + 1):
        weight = (1 if i == 0 else 2) * step * _STANDARD.pdf(i * step)
        nodes.append((weight, _half_width(i * step / math.sqrt(n), coverage) ** 2))

    def reached(k: float) -> float:
        return sum(w * chi_square_survival(degrees * r2 / k**2, degrees) for w, r2 in nodes)

    least = _STANDARD.inv_cdf((1 + coverage) / 2)  # the factor of endless readings
    return bisect(lambda k: reached(k) >= confidence, least, 2 * least, 1e-7)[1]


def order_rank(n: int, coverage: float, confidence: float) -> int:
    """Largest rank r [-] so that the r-th smallest to the r-th largest of `n` [-] readings holds.

    The interval between these two readings holds at least `coverage` [-] of the population with
    probability `confidence` [-], whatever its distribution; 0 where `n` is too small even for the
    smallest and the largest reading (r = 1).

    Notes
    -----
    The share between the two is Beta(n + 1 - 2r, 2r), so the condition is
    P(Binomial(n, 1 - coverage) <= 2r - 1) <= 1 - confidence.
    """
    _share(coverage, "coverage")
    _share(confidence, "confidence")
    outside = math.log1p(-coverage)
    log_term = n * math.log(coverage)
    total = 0.0
    for missed in range(n + 1):
        total += math.exp(log_term)
        if total > 1 - confidence:  # P(at most `missed` outside) is too likely
            return missed // 2
        log_term += math.log((n - missed) / (missed + 1)) + outside - math.log(coverage)
    return n // 2


def sample_size(coverage: float, confidence: float) -> int:
    """Smallest number of readings [-] whose minimum and maximum hold `coverage` at `confidence`.

    Examples
    --------
    >>> sample_size(0.95, 0.95)
    93
    """
    n = 2
    while order_rank(n, coverage, confidence) < 1:
        n += 1
    return n


@dataclass(frozen=True, slots=True)
class Interval:
    """Holds at least the share asked for of all readings, with the confidence asked for."""

    low: float
    high: float
    kind: Literal["normal", "distribution-free"]
    factor: float | None  # k of mean +- k s
    rank: int | None  # r: r-th smallest to r-th largest
    why: str


def tolerance_interval(
    readings: Tally, coverage: float, confidence: float, kind: Kind = "auto"
) -> Interval | None:
    """The band of these readings, in their unit; None where they are too few for one.

    "auto" is distribution-free where there are readings enough. Raises ValueError for a coverage
    or confidence [-] outside 0 to 1.
    """
    n = len(readings)
    needed = sample_size(coverage, confidence)
    free = kind == "distribution-free" or (kind == "auto" and n >= needed)
    if n < max(FEWEST_READINGS, needed if free else 0):
        return None
    if free:
        rank = order_rank(n, coverage, confidence)
        low, high = readings.at_rank(rank, n + 1 - rank)
        ends = "smallest to largest" if rank == 1 else f"{rank} readings from each end"
        why = f"distribution-free ({ends}): {n} readings are at least the {needed} it needs"
        return Interval(low, high, "distribution-free", None, rank, why)
    k = tolerance_factor(n, coverage, confidence)
    mean, reach = readings.mean, k * readings.deviation
    why = f"normal, mean +- {k:.3f} s: " + (
        f"{n} readings are fewer than the {needed} that need no assumption about their shape"
        if n < needed
        else "asked for; it assumes a normal distribution"
    )
    return Interval(max(0.0, mean - reach), mean + reach, "normal", k, None, why)

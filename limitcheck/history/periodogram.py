"""Periods in readings, evenly spaced in time or not: a weighted Lomb-Scargle periodogram.

The power at a frequency is what a sine and a cosine fitted by weighted least squares take away
from the mean square of the readings: half the square of the amplitude. A Hann taper as weights
keeps a strong period out of its neighbours. Each peak is compared with the background around it,
so that noise whose power leans to slow frequencies (as a controlled pressure's does) makes no peak.

References
----------
N. R. Lomb, Astrophys. Space Sci. 39 (1976) 447; J. D. Scargle, Astrophys. J. 263 (1982) 835;
M. Zechmeister and M. Kuerster, Astron. Astrophys. 496 (2009) 577, for weights; F. J. Harris,
Proc. IEEE 66 (1978) 51, for the taper (from memory all). The tests compare the power with
brute-force least squares by numpy.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from operator import mul

FEWEST_CYCLES = 5
_SEGMENTS = 6  # of the broken line that is slow drift
_OVERSAMPLING = 2
_BESIDE = 48  # frequencies on each side that make up the background, or _SHARE of the frequency
_SHARE = 0.5
_QUANTILE = 0.4  # of the background's powers: a few other peaks among them do not count
_OWN = 5  # frequencies on each side that a peak itself takes up
_MOST_PEAKS = 8
_FEWEST_FREQUENCIES = 40
BY_CHANCE = 1e-3
"""Probability that noise shows one such peak anywhere: above it nothing is claimed."""


@dataclass(frozen=True, slots=True)
class Peak:
    """A period that stands out: `frequency` [1/s] with its 95 % interval, `swing` from lowest to
    highest [unit of the readings], and how probable such a peak is in noise.
    """

    frequency: float
    low: float
    high: float
    swing: float
    by_chance: float


def detrended(times: Sequence[float], values: Sequence[float]) -> list[float]:
    """The values less a broken line of six pieces fitted by least squares: drift and gradient."""
    first, span = times[0], times[-1] - times[0]
    n = _SEGMENTS + 1
    matrix = [[0.0] * (n + 1) for _ in range(n)]
    places = []
    for time, value in zip(times, values, strict=True):
        place = min((time - first) / span * _SEGMENTS, _SEGMENTS - 1e-9)
        i = int(place)
        right = place - i
        left = 1 - right
        places.append((i, left, right))
        matrix[i][i] += left * left
        matrix[i][i + 1] += left * right
        matrix[i + 1][i] += left * right
        matrix[i + 1][i + 1] += right * right
        matrix[i][n] += left * value
        matrix[i + 1][n] += right * value
    knots = _solved(matrix)
    return [
        value - left * knots[i] - right * knots[i + 1]
        for value, (i, left, right) in zip(values, places, strict=True)
    ]


def _solved(matrix: list[list[float]]) -> list[float]:
    """Solution of a tridiagonal system; a piece without readings keeps the piece before."""
    n = len(matrix)
    for i in range(n):
        if matrix[i][i] <= 1e-12:
            matrix[i][i] = 1.0
        if i + 1 < n:
            share = matrix[i + 1][i] / matrix[i][i]
            for j in (i, i + 1, n):
                matrix[i + 1][j] -= share * matrix[i][j]
    found = [0.0] * n
    for i in reversed(range(n)):
        after = matrix[i][i + 1] * found[i + 1] if i + 1 < n else 0.0
        found[i] = (matrix[i][n] - after) / matrix[i][i]
    return found


def taper(times: Sequence[float]) -> list[float]:
    """Hann weights [-] over the span of the times; their sum is 1."""
    first, span = times[0], times[-1] - times[0]
    raw = [1 - math.cos(2 * math.pi * (time - first) / span) for time in times]
    total = math.fsum(raw)
    return [weight / total for weight in raw]


def _from_sums(product: complex, square: complex) -> float:
    """Power from the sums of w y exp(i x) and w exp(2 i x), where the weights sum to 1."""
    cc, ss, cs = (1 + square.real) / 2, (1 - square.real) / 2, square.imag / 2
    yc, ys = product.real, product.imag
    determinant = cc * ss - cs * cs
    if determinant < 1e-9:
        return 0.0
    return (yc * yc * ss + ys * ys * cc - 2 * yc * ys * cs) / determinant


def power_at(
    frequency: float, times: Sequence[float], values: Sequence[float], weights: Sequence[float]
) -> float:
    """Power at one frequency [1/s], in the square of the unit of the values."""
    turn = 2j * math.pi * frequency
    waves = [cmath.exp(turn * time) for time in times]
    weighted = list(map(mul, weights, waves))
    return _from_sums(sum(map(mul, weighted, values)), sum(map(mul, weighted, waves)))


def powers(
    times: Sequence[float],
    values: Sequence[float],
    weights: Sequence[float],
    first: float,
    step: float,
    count: int,
) -> Iterator[float]:
    """Power at `count` frequencies [1/s] from `first` on, `step` apart.

    Each wave is turned on from the frequency before, which costs a product and no sine.
    """
    waves = [cmath.exp(2j * math.pi * first * time) for time in times]
    turns = [cmath.exp(2j * math.pi * step * time) for time in times]
    products = list(map(mul, weights, values))
    for _ in range(count):
        square = sum(map(mul, weights, map(mul, waves, waves)))
        yield _from_sums(sum(map(mul, products, waves)), square)
        waves = list(map(mul, waves, turns))


_MOST_FREQUENCIES = 20_000


_MOST_FREQUENCIES = 20_000


def find_peaks(times: Sequence[float], values: Sequence[float], fastest: float) -> tuple[Peak, ...]:
    """The periods that stand out of the noise, strongest first, up to `fastest` [1/s].

    Values are detrended. Nothing slower than five cycles in the whole span is looked for.
    """
    span = times[-1] - times[0]
    step = 1 / (_OVERSAMPLING * span)
    lowest = FEWEST_CYCLES / span
    # Bursts far apart would need millions; what is then too fast is not looked for.
    count = min(int((fastest - lowest) / step) + 1, _MOST_FREQUENCIES)
    if count < _FEWEST_FREQUENCIES or not any(values):
        return ()
    weights = taper(times)
    # From the middle of the span, where a shift of frequency turns no phase.
    centre = times[0] + span / 2
    times = [time - centre for time in times]
    spectrum = list(powers(times, values, weights, lowest, step, count))
    smooth = _background(spectrum, lowest, step)
    found = []
    for i, power in enumerate(spectrum):
        if not (power >= max(spectrum[max(0, i - 2) : i + 3]) and 0 < i < count - 1 and power > 0):
            continue
        near = _beside(spectrum, i)
        order = sorted(near)
        part = int(_QUANTILE * len(order))
        local = order[part] / -math.log(1 - _QUANTILE)
        level = max(local, smooth[i], 1e-300)
        independent = len(near) / 4  # oversampling, and a quantile instead of the mean
        single = (1 + power / level / independent) ** -independent
        by_chance = -math.expm1(count * math.log1p(-min(single, 0.999)))
        if by_chance <= BY_CHANCE:
            found.append((power, i, power / level, by_chance))
    found.sort(reverse=True)
    return tuple(
        _refined(times, values, weights, lowest + i * step, step, ratio, by_chance)
        for power, i, ratio, by_chance in found[:_MOST_PEAKS]
        if power > 1e-4 * found[0][0]
    )


def _beside(spectrum: Sequence[float], i: int) -> list[float]:
    """Powers around a peak, without its own."""
    reach = max(_BESIDE, int(_SHARE * (i + FEWEST_CYCLES * _OVERSAMPLING))) + _OWN
    return [*spectrum[max(0, i - reach) : max(0, i - _OWN)], *spectrum[i + _OWN + 1 : i + reach]]


def _background(spectrum: Sequence[float], lowest: float, step: float) -> list[float]:
    """A parabola through log power over log frequency, at each frequency.

    Where the power leans to slow frequencies, what stands beside a slow peak is on its fast side
    only, and would be too little.
    """
    x = [math.log1p(i * step / lowest) for i in range(len(spectrum))]
    # Slow frequencies are few on this axis: weigh them as the axis does.
    w = [1 / (1 + i * step / lowest) for i in range(len(spectrum))]
    least = max(spectrum) * 1e-15 or 1e-300
    y = [math.log(max(power, least)) for power in spectrum]
    for _ in range(5):
        sums = [math.fsum(wi * xi**k for wi, xi in zip(w, x, strict=True)) for k in range(5)]
        right = [
            math.fsum(wi * yi * xi**k for wi, xi, yi in zip(w, x, y, strict=True)) for k in range(3)
        ]
        a, b, c = _three([[sums[j + k] for j in range(3)] + [right[k]] for k in range(3)])
        fit = [a + b * xi + c * xi * xi for xi in x]
        y = [min(yi, fi + 1.0) for yi, fi in zip(y, fit, strict=True)]
    euler = 0.5772  # the mean logarithm of an exponential variable of mean 1 is -0.5772
    return [math.exp(fi + euler) for fi in fit]


def _three(rows: list[list[float]]) -> list[float]:
    """Solution of three equations (rows of three coefficients and the right side)."""
    for i in range(3):
        pivot = max(range(i, 3), key=lambda r: abs(rows[r][i]))
        rows[i], rows[pivot] = rows[pivot], rows[i]
        for r in range(3):
            if r != i:
                share = rows[r][i] / rows[i][i]
                rows[r] = [p - share * q for p, q in zip(rows[r], rows[i], strict=True)]
    return [rows[i][3] / rows[i][i] for i in range(3)]


def _refined(
    times: Sequence[float],
    values: Sequence[float],
    weights: Sequence[float],
    near: float,
    step: float,
    ratio: float,
    by_chance: float,
) -> Peak:
    """The top of a peak by thirds, and how far it may be off.

    The standard error of a frequency under a Hann taper is 0.49 / (span sqrt(ratio)), `ratio` that
    of power to background: 1.53 times the least possible of D. C. Rife and R. R. Boorstyn, IEEE
    Trans. Inf. Theory 20 (1974) 591 (from memory).
    """
    low, high = near - step, near + step
    for _ in range(20):
        third = (high - low) / 3
        one, other = (power_at(f, times, values, weights) for f in (low + third, high - third))
        low, high = (low + third, high) if one < other else (low, high - third)
    top = (low + high) / 2
    power = power_at(top, times, values, weights)
    off = 1.96 * 0.49 * _OVERSAMPLING * step / math.sqrt(ratio)
    return Peak(top, top - off, top + off, 2 * math.sqrt(2 * power), by_chance)

"""Least squares with what is known beforehand: one update of mean and covariance a reading.

Unknowns are ln of factors on pressures [Pa]; errors are half-widths. Gelb, Applied Optimal
Estimation, 1974, ch. 4 (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, inf, log, sqrt
from typing import NamedTuple

from .pairs import Reading

HALF_WIDTH = 1.96  # standard deviations in a half-width
Matrix = list[list[float]]


class Sight(NamedTuple):
    """One pair through the model: ln(P) predicted, slopes to all unknowns, and its own error."""

    reading: Reading
    value: float
    slopes: list[float]
    noise: float


def updated(
    known: Matrix, sights: Sequence[Sight], here: Sequence[float], mean: Sequence[float]
) -> tuple[list[float], Matrix, float]:
    """Mean and covariance [-] after the pairs, and chi squared of what came unexpected.

    ``here`` is where the slopes were taken, ``mean`` what was known beforehand.
    """
    size = len(known)
    matrix = [list(row) for row in known]
    centre = [*mean, *[0.0] * (size - len(mean))]
    chi = 0.0
    for sight in sights:
        slopes = sight.slopes
        used = [i for i, slope in enumerate(slopes) if slope]
        gain = [sum(row[i] * slopes[i] for i in used) for row in matrix]
        width = sum(slopes[i] * gain[i] for i in used) + sight.noise * sight.noise
        expected = sight.value + sum(
            slopes[i] * (centre[i] - (here[i] if i < len(here) else 0.0)) for i in used
        )
        surprise = log(sight.reading.pressure) - expected
        centre = [c + g * surprise / width for c, g in zip(centre, gain, strict=True)]
        for row, one in zip(matrix, gain, strict=True):
            if one:
                for column, other in enumerate(gain):
                    row[column] -= one * other / width
        chi += HALF_WIDTH * HALF_WIDTH * surprise * surprise / width
    return centre, matrix, chi


def line_through(sights: Sequence[Sight]) -> tuple[float, float, float]:
    """A line through the pairs over what is fitted: chi squared, its value at zero flow [Pa].

    P = k P_fitted + a, weighted least squares; last, the half-width of a [Pa].
    """
    rows = [
        (1.0 / (s.noise * s.reading.pressure) ** 2, exp(s.value), s.reading.pressure)
        for s in sights
    ]
    total = sum(w for w, _, _ in rows)
    middle = sum(w * x for w, x, _ in rows) / total, sum(w * y for w, _, y in rows) / total
    spread = sum(w * (x - middle[0]) ** 2 for w, x, _ in rows)
    if spread <= 1e-9 * total * middle[0] ** 2:
        return inf, 0.0, inf
    scale = sum(w * (x - middle[0]) * (y - middle[1]) for w, x, y in rows) / spread
    offset = middle[1] - scale * middle[0]
    chi = sum(w * (y - offset - scale * x) ** 2 for w, x, y in rows)
    return HALF_WIDTH**2 * chi, offset, sqrt(1.0 / total + middle[0] ** 2 / spread)


def spread(matrix: Matrix, weights: Sequence[float]) -> float:
    """Half-width of a weighted sum of unknowns [-], by their covariance."""
    places = [i for i, weight in enumerate(weights) if weight]
    return sqrt(max(sum(weights[i] * weights[j] * matrix[i][j] for i in places for j in places), 0))

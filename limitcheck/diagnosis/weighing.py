"""Which explanation the readings of an opened flow path speak for.

Explanations weighed: nothing is wrong; all is too high or too low in one proportion (flow,
composition, temperature); one or two restrictions of any size; and beside each of them no, one or
two readings that were misread. A reading is normal within ±5 %, one in ten is misread, one in three
of those too early, at the pressure of a neighbouring step (assumed, no source); what was read
twice and alike is a hundred times less likely misread. A part is to blame only where nearly all of
the weight is on it: what a single misread reading could have made is then hardly ever enough.

Plain Bayes with normal distributions; sizes are spread evenly over their logarithm and integrated
at their best value (Laplace). Pressures are SI floats in pascal.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain, combinations

SURE = 0.985
"""Least share of the weight on which something is said to be so."""
MISREAD = 0.1
_LEAST_SIZE, _MOST_SIZE = 0.05, 10.0  # of a restriction, in normal pressures
_DECADES = math.log(100)  # a misread number is spread evenly over two decades
_EARLY = 0.33  # of misread readings: the pressure of a neighbouring step
_NOTHING, _EVEN, _ONE, _TWO, _ANYTHING = 0.2, 0.15, 0.57, 0.06, 0.02
_MOST_WRONG = 2

Vector = Sequence[float]
Matrix = Sequence[Sequence[float]]


@dataclass(frozen=True, slots=True)
class Weights:
    """Shares [-] of the weight: `restricted` by group of parts (the first lies behind the first
    reading's opening), `misread` by reading; `even_size` is the factor on every pressure."""

    nothing: float
    even: float
    even_size: float
    restricted: tuple[float, ...]
    misread: tuple[float, ...]
    unexplained: float


@dataclass(frozen=True, slots=True)
class _Sum:
    """One explanation: logarithm of its weight, the groups restricted, the readings misread."""

    weight: float
    kind: str
    groups: tuple[int, ...]
    misread: tuple[int, ...]
    size: float = 0.0


def weigh(
    readings: Vector,
    noise: Vector,
    times: Sequence[int],
    normal: Vector,
    unsure: Matrix,
    zero: float = 0.0,
) -> Weights:
    """Weigh readings [Pa] of steps that each leave fewer parts, all connected first.

    `noise` [Pa] is the standard deviation of each, `times` how often it was read alike, `normal`
    [Pa] what is normal at each step, `unsure` [Pa^2] the covariance of the normal pressures, `zero`
    [Pa] the standard deviation of the display's zero, which is in every reading alike.
    """
    unsure = [[each + zero * zero for each in row] for row in unsure]
    sums = list(_explanations(readings, noise, times, normal, unsure, zero))
    top = max(each.weight for each in sums)
    shares = [math.exp(each.weight - top) for each in sums]
    total = math.fsum(shares)
    found = [(share / total, each) for share, each in zip(shares, sums, strict=True)]

    def share(kind: str) -> float:
        return math.fsum(s for s, each in found if each.kind == kind)

    even = [(s, each.size) for s, each in found if each.kind == "even"]
    count = range(len(readings))
    return Weights(
        nothing=share("nothing"),
        even=share("even"),
        even_size=max(even)[1],
        restricted=tuple(math.fsum(s for s, e in found if g in e.groups) for g in count),
        misread=tuple(math.fsum(s for s, e in found if i in e.misread) for i in count),
        unexplained=share("anything"),
    )


def _explanations(
    readings: Vector,
    noise: Vector,
    times: Sequence[int],
    normal: Vector,
    unsure: Matrix,
    zero: float,
) -> chain[_Sum]:
    n = len(readings)
    wrong = [_as_misread(readings, noise, i, zero) for i in range(n)]
    prior = [MISREAD**k if k == 1 else 0.01 * MISREAD ** (k - 1) for k in times]
    subsets = chain.from_iterable(combinations(range(n), k) for k in range(_MOST_WRONG + 1))
    anything = math.log(_ANYTHING) + math.fsum(wrong)
    return chain(
        [_Sum(anything, "anything", (), ())],
        chain.from_iterable(
            _with_misread(readings, noise, normal, unsure, out, wrong, prior)
            for out in subsets
            if n - len(out) >= 1
        ),
    )


def _as_misread(readings: Vector, noise: Vector, i: int, zero: float) -> float:
    """Logarithm of the density [1/Pa] of a reading that was misread."""
    least = math.hypot(noise[i], 2 * zero)  # a number below that says nothing
    anywhere = (1 - _EARLY) / (_DECADES * max(readings[i], least))
    beside = [readings[k] for k in (i - 1, i + 1) if 0 <= k < len(readings)]
    spread = noise[i] * math.sqrt(2)
    early = sum(math.exp(-(((readings[i] - b) / spread) ** 2) / 2) for b in beside)
    return math.log(anywhere + _EARLY / 2 * early / (spread * math.sqrt(2 * math.pi)))


def _with_misread(
    readings: Vector,
    noise: Vector,
    normal: Vector,
    unsure: Matrix,
    out: tuple[int, ...],
    wrong: Vector,
    prior: Vector,
) -> list[_Sum]:
    """Every explanation in which just the readings `out` are misread."""
    n = len(readings)
    kept = [i for i in range(n) if i not in out]
    base = math.fsum(
        math.log(prior[i]) + wrong[i] if i in out else math.log1p(-prior[i]) for i in range(n)
    )
    covariance = [[unsure[i][k] + (noise[i] ** 2 if i == k else 0.0) for k in kept] for i in kept]
    lower = _cholesky(covariance)
    base -= math.fsum(math.log(row[i]) for i, row in enumerate(lower))
    base -= len(kept) / 2 * math.log(2 * math.pi)
    total = max(normal[0], noise[0])  # a normal of zero is a profile's mistake, told elsewhere
    rest = _solved(lower, [readings[i] - normal[i] for i in kept])
    read = _solved(lower, [readings[i] for i in kept])
    usual = _solved(lower, [normal[i] for i in kept])
    steps = [_solved(lower, [1.0 if i <= g else 0.0 for i in kept]) for g in range(n)]

    even, factor = _one(read, usual, 0.1, 2.0)
    sums = [
        _Sum(base + math.log(_NOTHING) - _dot(rest, rest) / 2, "nothing", (), out),
        _Sum(base + math.log(_EVEN) + even, "even", (), out, factor),
    ]
    least, most = _LEAST_SIZE * total, _MOST_SIZE * total
    for g, step in enumerate(steps):
        weight = base + math.log(_ONE / n) + _one(rest, step, least, most)[0]
        sums.append(_Sum(weight, "restricted", (g,), out))
    pairs = list(combinations(range(n), 2))
    for g, h in pairs:
        weight = base + math.log(_TWO / len(pairs)) + _two(rest, steps[g], steps[h], least, most)
        sums.append(_Sum(weight, "restricted", (g, h), out))
    return sums


def _one(rest: Vector, direction: Vector, least: float, most: float) -> tuple[float, float]:
    """Logarithm of the likelihood with a part of any size from `least` to `most` along a direction
    taken out, and its best size."""
    evenly = math.log(most / least)
    squares, along, own = _dot(rest, rest), _dot(rest, direction), _dot(direction, direction)
    if own <= 0.0:
        return -squares / 2, 0.0  # no reading tells
    best, spread = along / own, 1 / math.sqrt(own)
    size = min(max(best, least), most)
    inside = _below((most - best) / spread) - _below((least - best) / spread)
    if inside <= 1e-300:
        off = (size - best) / spread
        return -squares / 2 + (along * best - off * off) / 2 - 300.0, size
    density = math.log(spread * math.sqrt(2 * math.pi) * inside / (size * evenly))
    return density - (squares - along * best) / 2, size


def _two(rest: Vector, a: Vector, b: Vector, least: float, most: float) -> float:
    """As `_one`, for two parts of a size of their own."""
    evenly = math.log(most / least)
    squares = _dot(rest, rest)
    aa, bb, ab = _dot(a, a), _dot(b, b), _dot(a, b)
    along_a, along_b = _dot(rest, a), _dot(rest, b)
    determinant = aa * bb - ab * ab
    if determinant <= 1e-9 * aa * bb:
        return _one(rest, a if aa >= bb else b, least, most)[0]
    size_a = (along_a * bb - along_b * ab) / determinant
    size_b = (along_b * aa - along_a * ab) / determinant
    if not (least <= size_a <= most and least <= size_b <= most):
        return -math.inf  # one restriction explains as much
    explained = along_a * size_a + along_b * size_b
    density = 2 * math.pi / (math.sqrt(determinant) * size_a * size_b * evenly**2)
    return math.log(density) - (squares - explained) / 2


def _below(deviations: float) -> float:
    return math.erfc(-deviations / math.sqrt(2)) / 2


def _dot(a: Vector, b: Vector) -> float:
    return math.fsum(x * y for x, y in zip(a, b, strict=True))


def _cholesky(matrix: Matrix) -> list[list[float]]:
    """Lower triangle L with L L' = matrix."""
    n = len(matrix)
    lower = [[0.0] * n for _ in range(n)]
    for i in range(n):
        for k in range(i + 1):
            left = matrix[i][k] - _dot(lower[i][:k], lower[k][:k])
            lower[i][k] = math.sqrt(max(left, 1e-300)) if i == k else left / lower[k][k]
    return lower


def _solved(lower: Matrix, vector: Vector) -> list[float]:
    """L^-1 v."""
    found: list[float] = []
    for i, value in enumerate(vector):
        found.append((value - _dot(lower[i][:i], found)) / lower[i][i])
    return found

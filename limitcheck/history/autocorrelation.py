"""Series whose values remember: steps and slopes told from a wandering that means nothing.

Pressures of neighbouring runs are alike (the room, one batch of mobile phase, an oven that
cycles), and such a series wanders: a test for independent values sees steps and drifts in half of
them. Here a value remembers the one before it by a share phi (an autoregression of order one),
phi is estimated together with what is tested, and a step or a slope counts where the likelihood
gains more by it than a wandering series does by chance.

References
----------
NIST/SEMATECH e-Handbook 6.4.4.4 (autoregressive models). Likelihood of such errors with the first
value kept: Prais and Winsten 1954. Bias of phi beside a mean, (1 + 3 phi) / n: Kendall 1954; that
beside more regressors it grows with their number is assumed, no source. What a change must gain is
simulated (`python -m tests.history.drift_study`; 1,000 series each of 24 to 150 readings, phi up to
0.7: one false signal in 510 readings or fewer; of steps of three deviations 88 % listed at 60
independent readings, fewer where readings are alike or few).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from operator import mul

_SHARES = tuple(i / 10 for i in range(10))  # phi looked at
_MOST_SHARE = 0.85
_MOST_CHANGES = 8
_CORNERS = 24  # places of a bend looked at
_ENDS = 3  # fewest values on each side of a step or a bend


def _change_gain(n: int) -> float:
    """What a step or a bend among n values must gain in twice the logarithm of the likelihood."""
    return 15 + 60 / n


def _line_gain(n: int) -> float:
    return 8.5 + 50 / n


@dataclass(frozen=True, slots=True)
class Memory:
    """How a series remembers: share `phi` [-] kept from value to value, standard deviation around
    its level (unit of the values), and the places of its steps."""

    phi: float
    deviation: float
    steps: tuple[int, ...]

    def of_average(self, smoothing: float) -> float:
        """Variance of a moving average of these values over the variance of independent ones."""
        kept = (1 - smoothing) * self.phi
        return (1 + kept) / (1 - kept)

    @property
    def of_mean(self) -> float:
        """Variance of the mean of many values over the variance of a mean of independent ones."""
        return (1 + self.phi) / (1 - self.phi)


def remember(values: Sequence[float], least: float) -> Memory:
    """Estimate phi, deviation and steps of 6 values or more.

    A drift is no memory: a straight line and bends in it are allowed for.

    `least` is the smallest standard deviation believed (unit of the values; a display has a step).
    """
    n = len(values)
    middle = (n - 1) / 2
    fits = [_Fit(values, phi, [[1.0] * n, [i - middle for i in range(n)]]) for phi in _SHARES]
    if fits[0].squares <= n * max(least, 1e-9 * max(map(abs, values))) ** 2:
        return Memory(0.0, max(least, 1e-300), ())  # nothing varies but the last digit
    steps: list[int] = []
    changes = 0  # steps and bends
    while changes < _MOST_CHANGES:
        now = max(fit.likelihood(least) for fit in fits)
        step, place = max(fit.best_step(least, steps) for fit in fits)
        bend, corner = max(fit.best_bend(least) for fit in fits)
        if 2 * (max(step, bend) - now) <= _change_gain(n):
            break
        changes += 1
        if step >= bend:
            steps.append(place)
        regressor = _step(n, place) if step >= bend else _bend(n, corner)
        for fit in fits:
            fit.take(regressor)
    best = max(fits, key=lambda fit: fit.likelihood(least))
    parameters = 2 + changes
    # phi comes out too low beside what is fitted.
    phi = min(max((n * best.phi + parameters) / max(n - 2 * parameters, 1), 0), _MOST_SHARE)
    noise = best.squares / max(n - parameters, 1)
    return Memory(phi, max(math.sqrt(noise / (1 - phi * phi)), least), tuple(sorted(steps)))


def goes(
    times: Sequence[float], values: Sequence[float], least: float, gain: float | None = None
) -> bool:
    """Whether a straight line over `times` explains the values beyond doubt better than a level.

    `least` as in `remember`; 4 values or more, times not all alike. `gain` in twice the logarithm
    of the likelihood; left out, so much that chance hardly ever makes it.
    """
    n = len(values)
    middle = math.fsum(times) / n
    line = [t - middle for t in times]
    level, sloped = (
        max(_Fit(values, phi, regressors).likelihood(least) for phi in _SHARES)
        for regressors in ([[1.0] * n], [[1.0] * n, line])
    )
    return 2 * (sloped - level) > (_line_gain(n) if gain is None else gain)


class _Fit:
    """Least squares of values on regressors at one phi, after taking the memory out of both."""

    def __init__(
        self, values: Sequence[float], phi: float, regressors: Sequence[Sequence[float]]
    ) -> None:
        self.phi = phi
        self._orthogonal: list[list[float]] = []
        self._rest = self._without_memory(values)
        for regressor in regressors:
            self.take(regressor)

    @property
    def squares(self) -> float:
        """Sum of squares of what is left unexplained."""
        return math.fsum(r * r for r in self._rest)

    def take(self, regressor: Sequence[float]) -> None:
        """Explain by one more regressor."""
        own = self._without_memory(regressor)
        length = math.hypot(*own)
        for other in self._orthogonal:
            own = _less(own, other)
        left = math.hypot(*own)
        if left <= 1e-9 * length:
            return
        own = [v / left for v in own]
        self._orthogonal.append(own)
        self._rest = _less(self._rest, own)

    def likelihood(self, least: float, gained: float = 0.0) -> float:
        """Logarithm of the likelihood, less a constant, with `gained` squares more explained."""
        n, phi = len(self._rest), self.phi
        noise = max((self.squares - gained) / n, least * least * (1 - phi * phi), 1e-300)
        return -n / 2 * math.log(noise) + math.log(1 - phi * phi) / 2

    def best_step(self, least: float, taken: Sequence[int]) -> tuple[float, int]:
        """Likelihood with the best step more, and its place."""
        n, kept = len(self._rest), 1 - self.phi
        best = (0.0, _ENDS)
        sums = [_from_place(v, kept) for v in (self._rest, *self._orthogonal)]
        for place in range(_ENDS, n - _ENDS + 1):
            if any(abs(place - other) < _ENDS for other in taken):
                continue
            length = 1 + kept * kept * (n - 1 - place)
            left = length - math.fsum(s[place] ** 2 for s in sums[1:])
            if left > 1e-9 * length:
                best = max(best, (sums[0][place] ** 2 / left, place))
        return self.likelihood(least, best[0]), best[1]

    def best_bend(self, least: float) -> tuple[float, int]:
        """Likelihood with the best bend more, and its place."""
        n = len(self._rest)
        best = (0.0, _ENDS)
        for place in range(_ENDS, n - _ENDS, max(1, n // _CORNERS)):
            own = self._without_memory(_bend(n, place))
            length = math.fsum(v * v for v in own)
            left = length - math.fsum(_product(own, q) ** 2 for q in self._orthogonal)
            if left > 1e-9 * length:
                best = max(best, (_product(own, self._rest) ** 2 / left, place))
        return self.likelihood(least, best[0]), best[1]

    def _without_memory(self, values: Sequence[float]) -> list[float]:
        first = values[0] * math.sqrt(1 - self.phi * self.phi)
        return [first, *(b - self.phi * a for a, b in pairwise(values))]


def _step(n: int, place: int) -> list[float]:
    return [0.0] * place + [1.0] * (n - place)


def _bend(n: int, place: int) -> list[float]:
    return [0.0] * place + [float(i) for i in range(n - place)]


def _product(a: Sequence[float], b: Sequence[float]) -> float:
    return float(sum(map(mul, a, b)))


def _less(values: Sequence[float], direction: Sequence[float]) -> list[float]:
    """The values without their part along a direction of length 1."""
    part = _product(values, direction)
    return [v - part * d for v, d in zip(values, direction, strict=True)]


def _from_place(values: Sequence[float], kept: float) -> list[float]:
    """At each place the product of the values with a step there, its memory taken out."""
    return list(reversed(list(_backwards(values, kept))))


def _backwards(values: Sequence[float], kept: float) -> Iterator[float]:
    later = 0.0
    for value in reversed(values):
        yield value + kept * later
        later += value

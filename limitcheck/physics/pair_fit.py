"""The fit of measured pairs of flow and pressure: how much more each part takes than by geometry.

The model is the prediction itself: P = sum over the parts of k_i P_i(flow, composition,
temperature), P_i by geometry and certificates. The ln(k_i) are estimated by least squares with the
stated errors of the parts as what is known beforehand (Gauss-Newton, one Kalman update a pair:
Gelb, Applied Optimal Estimation, 1974, ch. 4 and 6, from memory). Errors are half-widths in ln.

k_i stands for the resistance and the viscosity at the reference pair together: their errors, and
that of the pump's flow, cancel where the method runs as the pairs were read. What else differs
between pairs is counted: the day, viscosity at another composition or temperature, its rise with
pressure, heat in a bed. SI floats.

Where the readings lie outside what the stated errors allow, something stated is wrong. Then all
columns together, and all other parts together, may be any number of times what the geometry makes
(chi squared says when): what was read outranks what was stated, and which part it is in stays open.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, hypot, log, sqrt

from .drops import drops, either_regime
from .estimation import Matrix, Sight, line_through, spread, updated
from .flow_path import AMBIENT_ERROR, DAY_ERROR, FLOW_ERROR, OVEN_ERROR, REPEAT_ERROR, Segment, Tied
from .liquid import viscosity_ratio_error
from .pairs import Estimate, Factor, Pair, Reading

_UNKNOWN = 3.0  # in ln: as good as nothing known beforehand, to compare pairs with each other
_ROUNDS, _NEARLY, _LONGEST_STEP = 12, 1e-4, 2.0
_ALLOWED = 6.0  # chi squared of the pairs against the geometry: 95 % of two degrees of freedom
_WIDENINGS, _FREE = 6, 0.5


class PairFit:
    """Segments of a flow path with readings [Pa] of it; the reference is the highest reading."""

    def __init__(
        self, segments: Sequence[Segment], readings: Sequence[Reading], least_error: float
    ) -> None:
        self.segments, self.readings = tuple(segments), tuple(readings)
        self.least_error = least_error
        own = [reading for reading in readings if reading.column]
        self.reference = max(own or readings, key=lambda reading: reading.pressure).state
        self.found = drops(self.segments, self.reference)
        self.groups = list(dict.fromkeys(filter(None, map(self._group, readings))))
        self.shared = self._shared()
        self.seen = bool(own)  # the columns, in any reading
        self.free = 0.0  # half-width in ln of a factor on all columns, and on all other parts

    def estimate(self, left_out: float) -> Estimate:
        """What the readings say; parts without a resistance may take left out [Pa] besides."""
        start = [0.0] * len(self.segments)
        stated = self._known(start, False), self._known(start, True)
        found = self._iterate(start)
        for _ in range(_WIDENINGS):
            sights = [self._sight(reading, found) for reading in self.readings]
            chi = updated(self._known(found, None), sights, found, start)[2]
            if chi - self._disagreement(sights, found) <= _ALLOWED:
                break  # the rest is between the pairs, whatever the geometry
            self.free = max(2.0 * self.free, _FREE)
            found = self._iterate(found)
        sights = [self._sight(reading, found) for reading in self.readings]
        after = [
            updated(self._known(found, above), sights, found, found)[1] for above in (False, True)
        ]
        bare = [self._sight(reading, start) for reading in self.readings]
        at = [drop.pressure for drop in self.found]

        def factor(heated: bool | None) -> Factor | None:
            own = [
                p if heated in (None, s.heated) else 0.0
                for p, s in zip(at, self.segments, strict=True)
            ]
            total = sum(own)
            if total == 0.0:
                return None
            now = [p * exp(x) for p, x in zip(own, found, strict=True)]
            below, above = (spread(m, [p / sum(now) for p in now]) for m in after)
            before = [hypot(spread(m, [p / total for p in own]), DAY_ERROR) for m in stated]
            more = 0.0 if heated else left_out / total
            central = sum(now) / total
            return Factor(
                central * exp(-below),
                central,
                central * exp(above),
                exp(-before[0]),
                exp(before[1]) + more,
            )

        whole = factor(None)
        assert whole is not None  # a path without any resistance has no pairs
        columns, others = factor(True), factor(False)
        line = line_through(sights)
        return Estimate(
            tuple(self._beside(*both, stated, left_out) for both in zip(bare, sights, strict=True)),
            self._tied(found, after),
            self.reference,
            whole,
            columns,
            others,
            self._separation(at, found, sights),
            self._disagreement(sights, found),
            *line,
        )

    def _iterate(self, here: list[float]) -> list[float]:
        start = [0.0] * len(here)
        for _ in range(_ROUNDS):
            sights = [self._sight(reading, here) for reading in self.readings]
            mean, _, _ = updated(self._known(here, None), sights, here, start)
            moved = [m - x for m, x in zip(mean, here, strict=False)]
            longest = max(map(abs, moved))
            short = min(1.0, _LONGEST_STEP / longest) if longest else 1.0
            here = [x + short * step for x, step in zip(here, moved, strict=True)]
            if longest < _NEARLY:
                break
        return here

    def _shared(self) -> list[list[float]]:
        """What several segments share: viscosity, its rise, the pump's flow, the ambient."""
        state, segments = self.reference, self.segments
        viscosity, rise, ambient = [], [], []
        for segment, drop in zip(segments, self.found, strict=True):
            kelvin = state.hot if segment.heated else state.cold
            viscosity.append(
                state.liquid.error(kelvin).half_width
                if segment.measured is None
                else viscosity_ratio_error(*segment.measured, state.liquid, kelvin)
            )
            rise.append(drop.exponent * state.liquid.rise(kelvin).uncertainty)
            known = segment.heated or state.cold_known
            ambient.append(0.0 if known else AMBIENT_ERROR * state.liquid.thinning(state.cold))
        return [viscosity, rise, ambient, [FLOW_ERROR] * len(segments)]

    def _known(self, here: Sequence[float], above: bool | None) -> Matrix:
        """Covariance known beforehand, of segments and of what differs between pairs.

        Errors above, below, or of the side that each segment is on.
        """
        count = len(self.segments)
        size = count + 3 + len(self.groups)
        matrix = [[0.0] * size for _ in range(size)]
        for index, segment in enumerate(self.segments):
            upper = here[index] > 0.0 if above is None else above
            drop = self.found[index]
            flow = max(drop.above, drop.turbulent) if upper else max(drop.below, drop.laminar)
            own = hypot(segment.above if upper else segment.below, flow, drop.bed)
            matrix[index][index] += own * own
            for at, beside in enumerate(self.segments):
                if segment.heated == beside.heated and (self.seen or not segment.heated):
                    matrix[index][at] += self.free * self.free
        for errors in self.shared:
            for row, one in enumerate(errors):
                for column, other in enumerate(errors):
                    matrix[row][column] += one * other
        for index in range(count, size):
            matrix[index][index] = 1.0
        return matrix

    def _group(self, reading: Reading) -> tuple[object, ...] | None:
        """Pairs of another composition or temperature share the error of their viscosity."""
        state, own = reading.state, self.reference
        if state.liquid == own.liquid and (state.hot == own.hot or not reading.column):
            return None
        return state.liquid, state.hot if reading.column else None

    def _sight(self, reading: Reading, here: Sequence[float]) -> Sight:
        state = reading.state
        places = [i for i, s in enumerate(self.segments) if reading.column or not s.heated]
        parts = [
            self.segments[i]._replace(resistance=self.segments[i].resistance * exp(here[i]))
            for i in places
        ]
        found = drops(parts, state)
        total = sum(drop.pressure for drop in found)
        slopes = [0.0] * len(self.segments)
        rise = heat = other = 0.0
        for index, part, drop in zip(places, parts, found, strict=True):
            share, at = drop.pressure / total, self.found[index]
            slopes[index] = share
            kelvin, own = (
                (state.hot, self.reference.hot)
                if part.heated
                else (state.cold, self.reference.cold)
            )
            rise += share * (
                drop.exponent * state.liquid.rise(kelvin).uncertainty - self.shared[1][index]
            )
            flow = max(abs(drop.below - at.below), abs(drop.above - at.above))
            flow = max(flow, *either_regime(at.regimes, drop.regimes))
            heat += share * hypot(flow, drop.bed - at.bed)
            between = viscosity_ratio_error(self.reference.liquid, own, state.liquid, kelvin)
            other += share * hypot(
                between, OVEN_ERROR * state.liquid.thinning(kelvin) if kelvin != own else 0.0
            )
        group = self._group(reading)
        by_group = [other if known == group else 0.0 for known in self.groups]
        noise = hypot(REPEAT_ERROR, self.least_error / reading.pressure)
        return Sight(reading, log(total), [*slopes, DAY_ERROR, rise, heat, *by_group], noise)

    def _disagreement(self, sights: Sequence[Sight], found: Sequence[float]) -> float:
        """Chi squared of the pairs among each other, whatever the geometry says."""
        matrix = self._known(found, None)
        for index in range(len(self.segments)):
            matrix[index][index] += _UNKNOWN * _UNKNOWN
        return updated(matrix, sights, found, found)[2]

    def _separation(
        self, at: Sequence[float], found: Sequence[float], sights: Sequence[Sight]
    ) -> float:
        """Width of columns against others after all pairs, over that after the reference alone."""
        now = [p * exp(x) for p, x in zip(at, found, strict=True)]
        totals = [
            sum(p for p, s in zip(now, self.segments, strict=True) if s.heated is heated)
            for heated in (False, True)
        ]
        if 0.0 in totals:
            return 0.0
        weights = [
            p / totals[s.heated] * (1.0 if s.heated else -1.0)
            for p, s in zip(now, self.segments, strict=True)
        ]
        known = self._known(found, None)
        alone = [sight for sight in sights if sight.reading.state == self.reference][:1]
        one, every = (updated(known, seen, found, found)[1] for seen in (alone, sights))
        return spread(every, weights) / spread(one, weights)

    def _beside(self, bare: Sight, seen: Sight, known: Sequence[Matrix], left_out: float) -> Pair:
        below, above = (hypot(spread(m, bare.slopes), bare.noise) for m in known)
        predicted = exp(bare.value)
        return Pair(
            bare.reading,
            predicted * exp(-below),
            predicted,
            predicted * exp(above) + left_out,
            exp(seen.value),
        )

    def _tied(self, found: Sequence[float], after: Sequence[Matrix]) -> tuple[Segment, ...]:
        count, state = len(self.segments), self.reference
        scaled = [
            s._replace(resistance=s.resistance * exp(x), measured=None, certified=0.0)
            for s, x in zip(self.segments, found, strict=True)
        ]
        now = drops(scaled, state)
        return tuple(
            segment._replace(
                below=sqrt(after[0][i][i]),
                above=sqrt(after[1][i][i]),
                measured=(state.liquid, state.hot if segment.heated else state.cold),
                certified=drop.pressure,
                tied=Tied(
                    i,
                    tuple(after[0][i][:count]),
                    tuple(after[1][i][:count]),
                    drop.exponent,
                    0.0 if segment.heated else drop.below,
                    0.0 if segment.heated else drop.above,
                    drop.regimes,
                ),
            )
            for i, (segment, drop) in enumerate(zip(scaled, now, strict=True))
        )

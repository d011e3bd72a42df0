"""The measured pairs of a profile put to use, or why they cannot be. SI floats."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import combinations
from math import exp, log, sqrt

from ..profile.measured import MeasuredPair
from ..profile.model import Conditions, Profile
from ..units import PRESSURE_UNITS, percent
from ..units.printing import digits, in_unit
from .drops import drops
from .flow_path import Assumed, FlowPath, State, measured_state
from .liquid import CannotPredict
from .pair_fit import PairFit
from .pairs import Estimate, Fit, Oddity, Pair, Reading

LEAST_ERROR = 1e5  # Pa, of one pair beside another; common practice, no source
LEFT_OUT = 10e5  # Pa, what parts without a resistance may take (common practice, no source)
ALIKE = 0.08  # in ln, between pairs read alike: twice the error of one
TOO_FAR = 5.0  # times more or less than by geometry: such pairs are not used
_OTHER_FLOW = 1.1  # times: nearer flows tell nothing of zero flow
_BEYOND = 1e4  # times more or less than by geometry: another thing was measured


def fitted(profile: Profile, path: FlowPath, state: State) -> FlowPath:
    """The flow path as the measured pairs of the profile make it; some are needed.

    Resistances [1/m^3] times the fitted factors, tied by what the pairs leave unknown.
    """
    placed = {segment.place for segment in path.segments}
    for index, part in enumerate(profile.flow_path):
        if part.part == "restrictor" and index not in placed:
            why = f"how much of the readings the {part.name} takes is not known"
            found = Fit(None, (), why, advice=f"resistance_at of the {part.name}")
            reason = f"[[measured]] is not used: {why}"
            return path._replace(fit=found, reasons=(*path.reasons, Assumed(reason)))
    instrument = profile.instrument
    step = float(instrument.step * PRESSURE_UNITS[instrument.pressure_unit].factor)
    found = _fit(
        profile.measured,
        profile.conditions,
        *(path, state, max(step, LEAST_ERROR), instrument.pressure_unit),
    )
    if found.unused or found.estimate is None:
        reason = f"[[measured]] is not used: {found.unused}"
        return path._replace(fit=found, reasons=(*path.reasons, Assumed(reason)))
    # What is assumed of a packing no longer counts where its pressure is measured.
    kept = () if found.separated else path.reasons
    fitted = tuple(s.place for s in found.estimate.segments if s.tied is not None)
    return path._replace(
        segments=found.estimate.segments, fit=found, reasons=(Assumed(told(found), fitted), *kept)
    )


def told(found: Fit) -> str:
    """What the pairs make of the predicted pressure [-], for people."""
    shares = ", ".join(
        f"{name} {group.central:.2f} ({group.low:.2f} to {group.high:.2f})"
        for name, group in found.groups
    )
    split = "" if found.separated else "; how it is shared between the parts rests on the geometry"
    count = len(found.estimate.pairs) if found.estimate is not None else 0
    off = (
        f"; pair {pair.reading.number} is {percent(abs(exp(pair.off) - 1.0))} "
        f"{'over' if pair.off > 0.0 else 'under'} that, by its own liquid or temperature: counted "
        "there, and by as much less as another is off from it"
        for pair in found.elsewhere
    )
    told = f"{count} measured pairs, times what the geometry makes: {shares}{split}"
    return told + "".join(off)


@lru_cache(maxsize=8)
def _fit(
    measured: tuple[MeasuredPair, ...],
    conditions: Conditions | None,
    path: FlowPath,
    state: State,
    least_error: float,
    unit: str,
) -> Fit:
    skipped: list[tuple[int, str]] = []
    readings: list[Reading] = []
    for number, pair in enumerate(measured, 1):
        try:
            readings.append(_reading(number, pair, conditions, path, state, least_error))
        except CannotPredict as error:
            skipped.append((number, error.message))
    if len({_place(reading) for reading in readings}) < 2:
        return _at_one_place(readings, tuple(skipped), _too_few(len(measured), skipped))
    left_out = LEFT_OUT if path.left_out else 0.0
    found = PairFit(path.segments, readings, least_error).estimate(left_out)
    oddity, odd, between = _contradiction(found, unit)
    unused = f"they contradict each other: {odd}" if odd else ""
    if not unused and any(map(_too_far, found.pairs)):
        unused = f"they are more than {TOO_FAR:g} times off what the geometry makes, and outside it"
    return Fit(found, tuple(skipped), unused, oddity, odd, between)


def _at_one_place(
    readings: Sequence[Reading], skipped: tuple[tuple[int, str], ...], too_few: str
) -> Fit:
    """Of pairs that were all read alike: they scale nothing, but they may lie apart."""
    ordered = sorted(readings, key=lambda reading: reading.pressure)
    if len(ordered) > 1 and (told := _apart(ordered[0], ordered[-1])):
        between = ordered[0].number, ordered[-1].number
        return Fit(None, skipped, f"they contradict each other: {told}", "apart", told, between)
    return Fit(None, skipped, too_few)


def _apart(one: Reading, other: Reading) -> str:
    """That two pairs that were read alike lie apart, in words; empty where they do not."""
    apart = abs(log(other.pressure / one.pressure))
    if apart <= ALIKE:
        return ""
    numbers = " and ".join(str(reading.number) for reading in (one, other))
    return f"pairs {numbers} were read alike, {percent(exp(apart) - 1.0)} apart"


def _too_far(pair: Pair) -> bool:
    """Whether a pair is so far off that it is not of this column, or in another unit."""
    measured = pair.reading.pressure
    near = pair.predicted / TOO_FAR <= measured <= pair.predicted * TOO_FAR
    return not near and not pair.least <= measured <= pair.most


def _contradiction(found: Estimate, unit: str) -> tuple[Oddity, str, tuple[int, ...]]:
    """How the pairs contradict each other, in words, and which; empty where they do not."""
    for bare, whole in combinations(found.pairs, 2):
        one, other = sorted((bare, whole), key=lambda pair: pair.reading.column)
        if _takes_nothing(one.reading, other.reading):
            told = (
                f"pair {one.reading.number} was read without the column at no more flow than pair "
                f"{other.reading.number} with it, but its pressure is not lower"
            )
            return "no column", told, (other.reading.number, one.reading.number)
    limit = _chi_limit(len(found.pairs) - 1)
    if found.disagreement <= limit:
        return "", "", ()
    for one, other in combinations(found.pairs, 2):
        low, high = sorted((one, other), key=lambda pair: pair.predicted)
        numbers = low.reading.number, high.reading.number
        flows = low.reading.state.flow, high.reading.state.flow
        alike = _kind(low.reading) == _kind(high.reading)
        if alike and flows[1] > 1.05 * flows[0]:
            if high.reading.pressure <= low.reading.pressure:
                more = f"pair {numbers[1]} was read at more flow than pair {numbers[0]}"
                return "falls", f"{more}, but its pressure is not higher", numbers
        elif alike and flows[1] < 1.02 * flows[0] and (told := _apart(low.reading, high.reading)):
            return "apart", told, numbers
    every = tuple(pair.reading.number for pair in found.pairs)
    every_flow = [pair.reading.state.flow for pair in found.pairs]
    told_apart = max(every_flow) > _OTHER_FLOW * min(every_flow)
    sure = abs(found.offset) > found.offset_error and told_apart
    if sure and found.reconciled <= _chi_limit(len(found.pairs) - 2):
        height = f"{digits(in_unit(abs(found.offset), unit), 2)} {unit}"
        sign = "" if found.offset > 0.0 else "minus "
        return "offset", f"they agree only with about {sign}{height} at zero flow", every
    return "no scale", "no one scale of the predicted pressure fits them all", every


def _takes_nothing(bare: Reading, whole: Reading) -> bool:
    """Whether a pair without the column leaves nothing for it of a pair with it."""
    alike = bare.state.liquid == whole.state.liquid and bare.state.cold == whole.state.cold
    less = bare.state.flow <= 1.02 * whole.state.flow
    return bare.column < whole.column and alike and less and bare.pressure >= whole.pressure


def _kind(reading: Reading) -> tuple[object, ...]:
    """What two pairs have in common that differ by flow only."""
    return reading.state.liquid, reading.state.hot, reading.column


def _chi_limit(freedom: int) -> float:
    """Chi squared that one set of pairs in 1000 exceeds by chance, by Wilson and Hilferty.

    Proc. Natl. Acad. Sci. 17 (1931) 684 (from memory); 3.09 is the normal quantile of 0.999.
    """
    if freedom < 1:
        return 0.1
    part = 2.0 / (9.0 * freedom)
    return float(freedom * (1.0 - part + 3.09 * sqrt(part)) ** 3)


def _too_few(count: int, skipped: Sequence[tuple[int, str]]) -> str:
    why = f" (pair {skipped[0][0]}: {skipped[0][1]})" if skipped else ""
    if count - len(skipped) == 1:
        return f"a single pair{why} shows no contradiction; add one at another flow"
    if count == len(skipped):
        return f"none of the pairs can be used{why}"
    return f"all pairs{why} were read at one flow; add one at another"


def _place(reading: Reading) -> tuple[object, ...]:
    """What makes two pairs differ: flows less than 2 % apart do not."""
    state = reading.state
    return round(log(state.flow) / 0.02), state.liquid, round(state.hot), reading.column


def _reading(
    number: int,
    pair: MeasuredPair,
    conditions: Conditions | None,
    path: FlowPath,
    state: State,
    least: float,
) -> Reading:
    column = pair.column is not False
    if not column and all(segment.heated for segment in path.segments):
        raise CannotPredict("read without the column, and no other part has a resistance")
    mixed, hot = measured_state(pair, conditions, state, heated=True)
    pressure = float(pair.pressure)
    if pressure <= least:
        raise CannotPredict("too little pressure to tell anything from")
    own = state._replace(flow=float(pair.flow), liquid=mixed, hot=hot)
    parts = [segment for segment in path.segments if column or not segment.heated]
    predicted = sum(drop.pressure for drop in drops(parts, own))
    if not predicted < _BEYOND * pressure < _BEYOND**2 * predicted:
        raise CannotPredict(f"more than {_BEYOND:.0f} times off what the geometry makes")
    return Reading(number, pressure, own, column)

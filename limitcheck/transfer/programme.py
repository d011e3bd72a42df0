"""A gradient, step by step, and the dwell volume that delays it.

Both programmes are compared as lines through their points: a point that lies on the line
between its neighbours changes nothing. What stands before the first change is the first hold,
and the dwell volume adds to it: tc = t - (D - D0) / F (harmonised chapter, secondary summary).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple

from ..policy import AdjustmentLimits
from ..units import Flow, Volume, percent, plain_or_rounded
from .adjustment import CHAPTER, SUITABILITY, source_of, time_scale_of
from .composition import within
from .ruling import NOT_GIVEN, Field, Pair, Ruling, Word
from .solvent import TO_BE_SHOWN, as_sent

_OF_A_STEP = Fraction(1, 10)
"""A tolerance in minutes is no more than this share of a step."""
_ML, _ML_MIN = "mL", "mL/min"


class Step(NamedTuple):
    """A stretch of a programme: its length in minutes, and percent B at both ends."""

    minutes: Fraction
    start: Fraction
    end: Fraction

    def __str__(self) -> str:
        if self.start == self.end:
            return f"{number(self.minutes)} min at {number(self.start)} % B"
        return f"{number(self.minutes)} min from {number(self.start)} to {number(self.end)} % B"


class Programme(NamedTuple):
    """A gradient as its first hold (0 where it starts at once) and the steps that follow."""

    hold: Fraction
    start: Fraction
    steps: tuple[Step, ...]


Points = Sequence[tuple[Fraction, Fraction]]


def programme(points: Points, *, merged: bool) -> Programme:
    """The programme through points of minute and percent B, steps of one slope as one if `merged`.

    >>> points = [(Fraction(m), Fraction(b)) for m, b in ((0, 5), (2, 5), (7, 50), (12, 95))]
    >>> found = programme(points, merged=True)
    >>> float(found.hold), [str(step) for step in found.steps]
    (2.0, ['10 min from 5 to 95 % B'])
    """
    steps: list[Step] = []
    for sooner, later in pairwise([(Fraction(0), points[0][1]), *points]):
        step = Step(later[0] - sooner[0], sooner[1], later[1])
        if steps and (merged or _level(steps)) and _one_line(steps[-1], step):
            last = steps.pop()
            step = Step(last.minutes + step.minutes, last.start, step.end)
        if step.minutes or step.start != step.end:
            steps.append(step)
    hold = steps.pop(0).minutes if steps and _level(steps[:1]) else Fraction(0)
    return Programme(hold, points[0][1], tuple(steps))


def _level(steps: Sequence[Step]) -> bool:
    """Whether these steps are no more than a first hold."""
    return len(steps) == 1 and steps[0].start == steps[0].end


def _one_line(first: Step, second: Step) -> bool:
    """Whether one step goes on as the one before: the same slope, or both at one minute."""
    if first.minutes == 0 or second.minutes == 0:
        return first.minutes == second.minutes
    return (first.end - first.start) * second.minutes == (second.end - second.start) * first.minutes


class Moved(NamedTuple):
    """Both programmes in percent of the sending B, the scale of time, and the dwell volumes."""

    sending: Programme
    receiving: Programme
    scale: Fraction | None
    limits: AdjustmentLimits
    late: Fraction | None
    """Minutes by which the gradient reaches the column later than scaled, under the first hold
    and the time of injection there; None where a dwell volume, flow or size is not given."""

    @property
    def source(self) -> str:
        """Where the rules for its composition stand."""
        return CHAPTER

    @property
    def tolerance(self) -> Fraction:
        """Minutes the gradient may come sooner or later: few, and a small share of it."""
        whole = self.receiving.hold + sum(step.minutes for step in self.receiving.steps)
        return min(self.limits.dwell_minutes, whole * self.limits.gradient_step)


def moved_programme(pair: Pair) -> Moved | None:
    """The gradient of both sides; None where a side has none."""
    sent, got = pair.conditions
    if sent.gradient is None or got.gradient is None:
        return None
    first, second = _programmes(
        [(point.minute, point.percent_b) for point in sent.gradient],
        [(point.minute, as_sent(point.percent_b, pair)) for point in got.gradient],
    )
    scale = time_scale_of(pair)
    limits = pair.policy.adjustments
    before = _delay(pair.sending.instrument.dwell_volume, sent.flow)
    after = _delay(pair.receiving.instrument.dwell_volume, got.flow)
    late = None
    if scale is not None and before is not None and after is not None:
        was = before + first.hold - (sent.injection_minute or 0)
        now = after + second.hold - (got.injection_minute or 0)
        late = now - scale * was
    return Moved(first, second, scale, limits, late)


def _programmes(sent: Points, got: Points) -> tuple[Programme, Programme]:
    """Point by point where the points correspond, else without those that lie on a line."""
    first, second = (programme(points, merged=False) for points in (sent, got))
    if len(first.steps) != len(second.steps):
        first, second = (programme(points, merged=True) for points in (sent, got))
    return first, second


def _delay(dwell: Volume | None, flow: Flow | None) -> Fraction | None:
    """D / F in minutes."""
    return dwell.to(_ML) / flow.to(_ML_MIN) if dwell is not None and flow is not None else None


# ---- rulings


def rule_gradient(field: Field) -> Iterator[Ruling]:
    """The programme as a whole, its first hold, and each step."""
    moved = moved_programme(field.pair)
    if moved is None:
        return  # percent_b says so
    first, second = moved.sending, moved.receiving
    sent, got = _programme_text(first), _programme_text(second)
    whole = Ruling(field.name, sent, got, "same", "the same steps", "")
    if len(first.steps) != len(second.steps):
        told = f"{_steps(second)} for {_steps(first)}: another programme is another method"
        yield whole._replace(ruling="not allowed", rule=told, source=moved.source)
        return
    if first == second and moved.scale == 1:
        yield whole
    else:
        told = "each step and the first hold are ruled below"
        yield whole._replace(ruling="information", rule=told)
    yield from _first_hold(field.name, moved)
    for place, pair in enumerate(zip(first.steps, second.steps, strict=True), start=1):
        yield _step(f"{field.name}, step {place}", *pair, moved)


def _first_hold(name: str, moved: Moved) -> Iterator[Ruling]:
    sent, got, scale = moved.sending.hold, moved.receiving.hold, moved.scale
    texts = (f"{number(sent)} min", f"{number(got)} min")
    row = Ruling(f"{name}, first hold", *texts, "same", "the same hold", "")
    word = _start(moved)
    if word is not None:
        yield row._replace(ruling=word[0], rule=word[1], source=moved.source)
    elif scale is None:
        yield row._replace(ruling="cannot decide", rule=UNSCALED)
    elif moved.late is not None and abs(moved.late) <= moved.tolerance:
        if sent == got and scale == 1:
            yield row
        else:
            told = f"scaled {number(sent * scale)} min, and as the dwell volumes ask"
            source = source_of(moved.limits, "dwell_minutes")
            yield row._replace(ruling="allowed", rule=told, source=source, condition=SUITABILITY)
    else:
        yield _minutes(row, sent, got, moved)


def _start(moved: Moved) -> tuple[Word, str] | None:
    """What is wrong with the composition at the start; None where nothing is."""
    was, now = moved.sending.start, moved.receiving.start
    if was == now:
        return None
    told = f"the gradient starts at {number(now)} % B, not {number(was)}"
    return _changed(was, now, told, moved)


def _changed(was: Fraction, now: Fraction, told: str, moved: Moved) -> tuple[Word, str]:
    """A changed composition of a gradient: at best something that chromatograms must show."""
    if within(was, now, moved.limits):
        return "cannot decide", f"{told}: {TO_BE_SHOWN}"
    return "not allowed", f"{told}: another programme is another method"


def _step(name: str, sent: Step, got: Step, moved: Moved) -> Ruling:
    row = Ruling(name, str(sent), str(got), "same", "the same step", "")
    directions = [(step.end > step.start) - (step.end < step.start) for step in (sent, got)]
    if directions[0] != directions[1]:
        told = f"it runs {_RUNS[directions[1]]}, not {_RUNS[directions[0]]}"
        return row._replace(ruling="not allowed", rule=told, source=moved.source)
    if sent.end != got.end:
        told = f"it ends at {number(got.end)} % B, not {number(sent.end)}"
        word, told = _changed(sent.end, got.end, told, moved)
        return row._replace(ruling=word, rule=told, source=moved.source)
    if moved.scale is None:
        return row._replace(ruling="cannot decide", rule=UNSCALED)
    return _minutes(row, sent.minutes, got.minutes, moved)


_RUNS = {1: "up", -1: "down", 0: "level"}
UNSCALED = (
    "its time cannot be scaled: give flow, length, bore and particle_size of one column on both "
    "sides"
)


def _minutes(row: Ruling, sent: Fraction, got: Fraction, moved: Moved) -> Ruling:
    """The length of a step or hold against the scaled one."""
    scale, limits = moved.scale, moved.limits
    assert scale is not None
    wanted = sent * scale
    if got == sent and scale == 1:
        return row
    apart = abs(got - wanted)
    least = min(limits.gradient_minutes, wanted * _OF_A_STEP)
    allowed = max(wanted * limits.gradient_step, least)
    source = source_of(limits, "gradient_step", "gradient_minutes")
    span = f"{percent(limits.gradient_step)}, at least {number(least)} min"
    told = f"scaled {number(wanted)} min (+/- {span})"
    if apart <= allowed:
        row = row._replace(ruling="allowed", condition=SUITABILITY)
        return row._replace(rule=told, source=source)
    off = f", {float(got / wanted - 1) * 100:+.3g} %" if wanted else ""
    told = f"{told}: {number(got)} min is {number(apart)} min off{off}"
    return row._replace(ruling="not allowed", rule=told, source=source)


def _programme_text(side: Programme) -> str:
    held = f"{number(side.hold)} min at {number(side.start)} % B; " if side.hold else ""
    return held + "; ".join(map(str, side.steps)) if side.steps or held else NOT_GIVEN


def _steps(side: Programme) -> str:
    return f"{len(side.steps)} step{'' if len(side.steps) == 1 else 's'}"


def number(value: Fraction) -> str:
    """Minutes or percent to four decimals at most."""
    return plain_or_rounded(round(value, 4))

"""Where a restriction sits: pressures read while the flow path is opened step by step.

A part is named only when nearly all of the weight of the readings is on it (`weighing`), so that
one misread pressure names nothing. Where the readings cannot be, or contradict each other, or an
answer would rest on a single one, what to read again is said instead.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from ..physics.system import Change
from ..profile.model import Profile
from ..units import Pressure
from .acts import (
    Advice,
    further_steps,
    last_column,
    what_first,
    what_stops,
    what_to_do,
    when_cured,
    when_reversed,
)
from .clear import clear_excesses, not_explained
from .impossible import impossible
from .measurements import Measurements
from .openings import EVERYTHING
from .remedies import must_not_be_reversed
from .steps import Excess, PlannedStep
from .unknown_parts import not_to_be_named, within_allowance
from .weighing import SURE, Weights

Verdict = Literal[
    "plan", "found", "several", "repeat", "undecided", "normal", "high", "low", "contradiction",
    "unjudged",
]  # fmt: skip
_RATHER = 0.5  # of the weight
_LIKELY = 0.9
_POSSIBLE = 0.03
_RIVAL = 0.2  # another restriction is not to be passed over

_GOOD_DAY = "A reading of a good day tells: --normal all=..."
_CORRECT = "Correct the band first: limitcheck check says what is wrong with it."
_BELOW_NORMAL = (
    "the pressure is below normal: no restriction, but perhaps a leak, air in the pump, or another "
    "mobile phase (see: limitcheck reading)."
)


@dataclass(frozen=True, slots=True)
class Isolation:
    """Plan, readings, and what they say; `unit` is the display's, `resolution` its step [Pa].

    `repeat` are the steps to read again; `further` would tell the parts of a group apart; `cured`
    are the steps to read after the repair; with `open_nothing` no line may be opened as things are.
    """

    unit: str
    resolution: float
    first: str | None
    open_nothing: bool
    plan: tuple[PlannedStep, ...]
    excesses: tuple[Excess, ...]
    verdict: Verdict
    message: str
    named: tuple[Excess, ...]
    repeat: tuple[PlannedStep, ...]
    further: tuple[PlannedStep, ...]
    advice: tuple[Advice, ...]
    cured: tuple[PlannedStep, ...]
    reversed_column: str | None
    not_reversed: str | None  # why nobody may be told to reverse the column
    no_normal: str | None  # why there is no normal pressure to compare with
    basis: str | None  # what the normal pressure of step all rests on
    doubt: str | None  # why the normal drops themselves are doubtful


@dataclass(frozen=True, slots=True)
class _Answer:
    verdict: Verdict
    message: str
    named: tuple[Excess, ...] = ()
    repeat: tuple[PlannedStep, ...] = ()


def isolate(
    profile: Profile,
    readings: Mapping[str, Pressure],
    *,
    normal: Mapping[str, Pressure] | None = None,
    at: Change | None = None,
    in_doubt: bool,
) -> Isolation:
    """The plan for a profile and what the readings (by step name) say so far.

    A step read once more is `STEP-again`, then `STEP-third`. `normal` holds pressures of the same
    steps from good days; a normal for `all` alone is of use already. `at` names the conditions of
    the readings where they are not the profile's; of a band that is `in_doubt` nothing is normal.
    Raises ReadingError for an unknown step or a reading no instrument can show.
    """
    work = Measurements(profile, readings, normal or {}, at or Change(), in_doubt=in_doubt)
    excesses = work.excesses()
    answer = _answer(work, excesses)
    return Isolation(
        unit=work.unit,
        resolution=work.resolution,
        first=what_first(work),
        open_nothing=what_stops(work) is not None,
        plan=work.plan(),
        excesses=excesses,
        verdict=answer.verdict,
        message=answer.message,
        named=answer.named,
        repeat=answer.repeat,
        further=further_steps(work, answer.named),
        advice=what_to_do(work, answer.named),
        cured=when_cured(work, answer.named),
        reversed_column=when_reversed(work),
        not_reversed=must_not_be_reversed(last_column(profile)),
        no_normal=work.no_normal,
        basis=None if work.usual is None or work.in_doubt else work.usual.basis,
        doubt=work.doubt(),
    )


def _answer(work: Measurements, excesses: Sequence[Excess]) -> _Answer:
    if (wrong := impossible(work)) is not None:
        again = tuple(filter(None, map(work.again, wrong[1])))
        return _Answer("contradiction", f"{wrong[0]}.", repeat=again)
    if not excesses and what_stops(work) is not None:
        return _Answer("plan", "no step yet: first do what is said above.")
    if not excesses and work.position == "normal":
        return _normal(work)
    if not excesses and work.position == "below normal":
        return _Answer("low", _BELOW_NORMAL)
    if not excesses and work.position == "unknown":
        if work.in_doubt:
            return _Answer("undecided", f"{_open(work)}. {_CORRECT} {_GOOD_DAY}.")
        return _Answer("undecided", f"{_open(work)}. {_GOOD_DAY}; so does one step more.")
    if not excesses and work.position == "above normal":
        read = f"{work.show(work.readings[EVERYTHING])} with everything connected"
        told = f"{read} is above normal ({work.told}); one step more tells where it sits"
        return _Answer("undecided", f"{told}: the steps are below.")
    if not excesses:
        missing = (
            "give the reading of step all and of one more" if work.readings else "no reading yet"
        )
        return _Answer("plan", f"{missing}; the steps are below.")
    weights = work.weights()
    if weights is None:
        return _Answer("unjudged", f"no normal pressure to compare with: {work.no_normal}.")
    return _weighed(work, excesses, weights)


def _weighed(work: Measurements, excesses: Sequence[Excess], weights: Weights) -> _Answer:
    suspect = max(range(len(excesses)), key=lambda i: weights.misread[i])
    if not any(work.readings.values()):
        return _Answer(
            "contradiction",
            "every reading is zero: is the pump running, the purge valve closed? Without flow no "
            "restriction shows (see: limitcheck reading 0).",
        )
    clear = () if work.position == "normal" else clear_excesses(work, excesses, weights)
    clear = tuple(excess for excess in clear if not within_allowance(work, excess))
    if clear and weights.unexplained > _RATHER:
        return _found(work, clear, excesses)
    if weights.unexplained > _RATHER or weights.misread[suspect] > _LIKELY:
        return _contradiction(work, excesses[suspect].before, weights)
    if work.position == "normal":
        return _normal(work, excesses)
    named = [e for e, w in zip(excesses, weights.restricted, strict=True) if w >= SURE]
    perhaps = [e for e, w in zip(excesses, weights.restricted, strict=True) if _RIVAL < w < SURE]
    if (why := not_to_be_named(work, [*named, *perhaps])) is not None:
        return _Answer("undecided", why)
    named, perhaps = (
        [excess for excess in some if not within_allowance(work, excess)]
        for some in (named, perhaps)
    )
    if named and not perhaps:
        return _found(work, sorted(named, key=_amount, reverse=True))
    if clear:
        return _found(work, clear, excesses)
    if weights.nothing + weights.even >= _LIKELY:
        return _even(work, weights)
    return _not_sure(work, excesses, weights)


def _found(work: Measurements, named: Sequence[Excess], excesses: Sequence[Excess] = ()) -> _Answer:
    """The restrictions, and which of all excesses these leave unexplained."""
    where = ", and in ".join(_where(work, e) for e in named)
    found = "the restriction is" if len(named) == 1 else "more than one restriction:"
    left = not_explained(work, excesses, named)
    more = f" {left}: perhaps a little is blocked there too." if left else ""
    return _Answer(
        "found" if len(named) == 1 else "several", f"{found} in {where}.{more}", tuple(named)
    )


def _normal(work: Measurements, excesses: Sequence[Excess] = ()) -> _Answer:
    assert work.usual is not None
    assert work.usual.bounds.normal is not None
    low, high = work.usual.bounds.normal
    text = (
        f"{work.show(work.readings[EVERYTHING])} with everything connected is normal "
        f"({work.show(low)} to {work.show(high)})"
    )
    over = [excess for excess in excesses if excess.low is not None and excess.low > 0.0]
    if not over:
        return _Answer("normal", f"{text}: no restriction to look for.")
    where = " and ".join(_where(work, excess) for excess in over)
    return _Answer(
        "normal",
        f"{text}, but more of it than usual is over {where}: a restriction may begin there, or the "
        "usual shares are not those predicted.",
    )


def _open(work: Measurements) -> str:
    """Why what everything connected makes can't be told from normal."""
    read = work.show(work.readings[EVERYTHING])
    return f"{read} with everything connected can't be told from normal ({work.told})"


def _contradiction(work: Measurements, step: str, weights: Weights) -> _Answer:
    read = work.show(work.readings[step])
    if weights.unexplained > _RATHER:
        return _Answer(
            "contradiction",
            "no restriction, leak or other flow makes these readings together. Read every step "
            "again, with flow, mobile phase and temperature of the method; does the display stand "
            "still?",
            repeat=tuple(filter(None, map(work.again, work.readings))),
        )
    again = work.again(step)
    told = f"read it again, and give it as {again.name}" if again else "it does not stand still"
    return _Answer(
        "contradiction",
        f"the reading of {step}, {read}, does not go with the others: {told}.",
        repeat=(again,) if again else (),
    )


def _even(work: Measurements, weights: Weights) -> _Answer:
    if work.position == "unknown":
        return _Answer("undecided", f"no drop stands out, but {_open(work)}. {_GOOD_DAY}.")
    if weights.nothing >= weights.even:
        return _Answer("normal", "every drop is normal within what the readings can show.")
    factor = f"{weights.even_size:.2g} times"
    if weights.even_size < 1:
        return _Answer(
            "low",
            f"every pressure is about {factor} the normal one: no restriction, but perhaps a "
            "leak, air in the pump, or another mobile phase (see: limitcheck reading).",
        )
    return _Answer(
        "high",
        f"every pressure is about {factor} the normal one: rather another flow, mobile phase or "
        "temperature than a restriction (see: limitcheck reading).",
    )


def _not_sure(work: Measurements, excesses: Sequence[Excess], weights: Weights) -> _Answer:
    doubtful = sorted(zip(weights.misread, [e.before for e in excesses], strict=True), reverse=True)
    for share, step in doubtful:
        again = work.again(step)
        if share > _POSSIBLE and again is not None:
            return _Answer(
                "repeat",
                f"not certain yet: an answer would rest on the one reading of {step}. Read it "
                f"again, and give it as {again.name}.",
                repeat=(again,),
            )
    able = [e for e, w in zip(excesses, weights.restricted, strict=True) if w > _POSSIBLE]
    where = ", or ".join(", ".join(e.parts) for e in able)
    below = work.readings[EVERYTHING] < work.total()
    if work.position == "below normal" or (work.position is None and below):
        return _Answer("low", _BELOW_NORMAL)
    if (why := not_to_be_named(work, able)) is not None:
        return _Answer("undecided", why)
    if weights.even > _POSSIBLE:
        where += " - or no restriction, but another flow, mobile phase or temperature"
    elif len(able) == 1:
        once = [step for step, values in work.repeated.items() if len(values) == 1]
        return _Answer(
            "repeat" if once else "undecided",
            f"the readings point to {where}, but not surely enough to name it. "
            + ("Read again what was read once; readings" if once else "Readings")
            + " of a good day help most.",
            repeat=tuple(filter(None, map(work.again, once))),
        )
    begin = "the pressure is too high"
    if work.position == "unknown":
        begin = _open(work)
    return _Answer(
        "undecided",
        f"{begin}, but the readings can't tell apart: "
        f"{where or 'several parts, a little each'}. Check flow, mobile phase and temperature; "
        "readings of every step on a good day help most.",
    )


def _amount(excess: Excess) -> float:
    return excess.excess or 0.0


def _where(work: Measurements, excess: Excess) -> str:
    """The parts of a group and how far above normal its drop is."""
    amount = f"{work.show(_amount(excess), 3)} above normal"
    if len(excess.parts) == 1:
        return f"the {excess.parts[0]} ({amount})"
    return f"one of: {', '.join(excess.parts)} ({amount} together)"

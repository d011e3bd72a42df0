"""A solvent mistaken for another: what each that the tool knows would make of the pressure."""

from __future__ import annotations

from collections.abc import Iterator

from ..physics.blend import Blend, blend
from ..physics.constants import SOLVENTS
from ..physics.faults import NormalRun, NotComputed
from ..physics.liquid import CannotPredict
from ..physics.mobile_phase import liquid
from ..physics.over_course import over_course
from ..physics.predict import predict_system
from ..physics.ratio import RatioInterval, between
from ..physics.system import System
from ..physics.viscosity import pairs, separating
from .catalogue import SOLVENT_A_IS, SOLVENT_B_IS

Ratios = tuple[RatioInterval, RatioInterval]
"""Pressure over normal pressure [-] at the lowest and at the highest point of the run."""


def mistaken_solvents(run: NormalRun) -> Iterator[tuple[str, str, Ratios] | NotComputed]:
    """Name, description and ratios [-] of every mistake; raises CannotPredict for no prediction.

    The points of the run are those of the run with the mistake: another solvent has its highest
    viscosity at another composition. One that would not mix with the other
    solvent, or of whose mixture no measurement is known, is not computed.
    """
    ready = run.system
    used = [percent for _, percent in ready.programme]
    for letter, own, prefix, in_use in (
        ("A", ready.solvent_a, SOLVENT_A_IS, min(used) < 100),
        ("B", ready.solvent_b, SOLVENT_B_IS, max(used) > 0),
    ):
        if own is None or not in_use:
            continue
        pure = liquid(own, None, 0.0)
        for other in SOLVENTS:
            if liquid(other, None, 0.0).solvents == pure.solvents:
                continue
            beside = ready.solvent_b if letter == "A" else ready.solvent_a
            if beside is not None and (reason := _untellable(own, other, beside)):
                yield NotComputed(f"{prefix}{other}", reason)
                continue
            changed = (
                ready._replace(solvent_a=other)
                if letter == "A"
                else ready._replace(solvent_b=other)
            )
            text = f"{other} in place of {own} as {letter}"
            yield _tried(run, f"{prefix}{other}", text, changed)
    if ready.solvent_b is not None and used != [50.0]:
        swapped = ready._replace(solvent_a=ready.solvent_b, solvent_b=ready.solvent_a)
        text = f"A and B swapped: {ready.solvent_b} as A, {ready.solvent_a} as B"
        yield _tried(run, "solvents-swapped", text, swapped)


def _untellable(own: str, other: str, beside: str) -> str | None:
    """Why nothing is said of another solvent with the one beside it; None where something is.

    What is only assumed fits any pressure; it is tried where the method itself rests on it.
    """
    mixture = _together(other, beside)
    if two := separating(mixture):
        return f"{two[0]} and {two[1]} do not mix in every proportion"
    typed = _together(own, beside)
    if separating(typed):  # the method holds so little of one that nobody mixed them half and half
        return f"how viscous {own} and {beside} are together is not known"
    if _measured(mixture) or not _measured(typed):
        return None
    return f"how viscous {other} and {beside} are together is not measured"


def _measured(solvents: Blend) -> bool:
    return all(pair.excess.measured for pair in pairs(solvents))


def _together(one: str, other: str) -> Blend:
    """Both in equal parts."""
    both = [*liquid(one, None, 0.0).solvents, *liquid(other, None, 0.0).solvents]
    return blend((name, 0.5 * share) for name, share in both)


def _tried(
    run: NormalRun, name: str, text: str, changed: System
) -> tuple[str, str, Ratios] | NotComputed:
    try:
        return name, text, ratios(run, changed)
    except CannotPredict as error:
        return NotComputed(name, error.message)


def ratios(run: NormalRun, changed: System) -> Ratios:
    """Pressure of a changed system over the normal one [-]; raises CannotPredict."""
    before, after = run.prediction, predict_system(changed)
    segments, now = run.system.path.segments, changed.path.segments
    lowest = (run.system.at(before.lowest.percent_b), changed.at(after.lowest.percent_b))
    highest = (run.system.at(before.highest.percent_b), changed.at(after.highest.percent_b))
    low, high = (
        own.over(other)
        for own, other in zip(
            over_course(run.profile, before), over_course(run.profile, after), strict=True
        )
    )
    first = between(segments, lowest[0], now, lowest[1])
    last = first if lowest == highest else between(segments, highest[0], now, highest[1])
    return first.times(low.factor, low.half_width), last.times(high.factor, high.half_width)

"""Faults that do damage and that no cutoff stops."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ..findings import Confidence, Finding, KeyPath, Related, Severity
from ..physics.liquid import CannotPredict
from ..profile.hardware import column_index
from ..units import Pressure, percent
from ..units.printing import as_read
from .identity import above, below, by_part
from .subject import ADD_GEOMETRY, Skip, Subject

if TYPE_CHECKING:
    from ..physics.faults import FaultEffect, Overload

HIGH: KeyPath = ("cutoffs", "high")
LOW: KeyPath = ("cutoffs", "low")
UPWARD = (
    "flow-doubled",
    "bed-blocked",
    "smaller-particles",
    "longer-column",
    "heater-off",
    "oven-too-hot",
    "only-a",
    "only-b",
    "tubing-before-injector-blocked",
    "tubing-after-injector-blocked",
    "inlet-frit-blocked",
)
"""Faults that can raise the pressure, or lower what a part holds."""


def fault_unseen(subject: Subject) -> Iterator[Finding]:
    """A fault can overload a part, or let liquid out, and no cutoff stops the pump.

    At the bench: without a high cutoff under the weakest rating, a doubled flow or
    a blockage takes a part past what it holds: fittings slip, beds collapse, liquid
    sprays. With a low cutoff far under normal, most of the flow can leak, and a
    pump head can run dry, before it stops: a note, since it may be meant so where a
    leak sensor watches.
    A derating table counts at the fault's own flow or temperature: a pump that holds
    400 bar at the method's flow may hold 200 bar at twice that.
    Do: bring the cutoffs to the proposed values. `limitcheck faults` lists every
    fault, also those that only spoil results.
    Source: ratios of predicted pressures; which faults are usual is common
    practice, no source.
    """
    yield from _overloads(subject)
    yield from _leaks(subject)
    subject.all_rated()
    if subject.low is not None:
        _ = subject.expected


def _overloads(subject: Subject) -> Iterator[Finding]:
    """Faults that take a part past its rating below the high cutoff or without one."""
    profile, unit = subject.profile, subject.unit
    high = profile.cutoffs.high
    if high is not None and high.value == 0:
        high = None
    if subject.weakest is None or _holds(subject, high):
        return
    # seldom needed, and the check path must start fast
    from ..physics.faults import Faults, may_overload, overload

    names = [name for name in UPWARD if may_overload(profile, name, high)]
    if not names:
        return
    found = Faults(profile, subject.prediction)
    try:
        effects = found.tried(names)[0]
    except CannotPredict as error:
        raise Skip(error.message, error.advice or ADD_GEOMETRY) from None
    over = [
        (effect, hit)
        for effect in effects
        if (hit := overload(profile, effect.name, effect.central, high)) is not None
    ]
    typed = "off" if high is None else high
    cutoff = f"With the high cutoff {'off' if high is None else f'at {high}'}"
    usual = [(effect, hit) for effect, hit in over if not hit.at]
    if usual:
        part = usual[0][1].part
        yield Finding(
            Severity.WARNING,
            f"{cutoff}, these faults pass the rating of the {part.name}, {part.pressure}, before "
            f"anything stops the pump: {_listed(usual, unit)}. A full blockage does so on any "
            "method.",
            "Lower the high cutoff under the weakest rating.",
            HIGH,
            Confidence.LIKELY,
            (Related(part.path, f"{part.name} holds {part.pressure}"),),
            compared=above(typed, by_part([part])),
            data={"faults": [effect.name for effect, _ in usual]},
        )
    own = [(effect, hit) for effect, hit in over if hit.at]
    for path, part in {hit.part.path: hit.part for _, hit in own}.items():
        here = [(effect, hit) for effect, hit in own if hit.part.path == path]
        yield Finding(
            Severity.WARNING,
            f"{cutoff}, these faults pass what the {part.name} holds at the fault's own "
            f"{here[0][1].by}, before anything stops the pump: {_listed(here, unit)}.",
            "Lower the high cutoff under that where the method leaves it room; else accept this "
            "with what guards against the fault.",
            path,
            Confidence.LIKELY,
            (Related(HIGH, f"high cutoff {typed}"),),
            compared=above(typed, by_part([part])),
            data={"faults": [effect.name for effect, _ in here]},
        )


def _listed(over: list[tuple[FaultEffect, Overload]], unit: str) -> str:
    """Faults with their pressures, and what holds where that is another amount than usual."""
    return ", ".join(
        f"{effect.name.replace('-', ' ')} ({as_read(effect.central, unit)} {unit}"
        f"{f', it holds {hit.part.pressure} at {hit.at}' if hit.at else ''})"
        for effect, hit in over
    )


def _holds(subject: Subject, high: Pressure | None) -> bool:
    """Whether every part holds the high cutoff, at any flow and temperature that is stated."""
    behind = column_index(subject.profile) + 1
    return high is not None and all(
        high <= holds
        for part in subject.profile.flow_path[:behind]
        for holds in (
            part.rating,
            *(point.rating for point in part.rating_at_flow or ()),
            *(point.rating for point in part.rating_at_temperature or ()),
        )
        if holds is not None
    )


def _leaks(subject: Subject) -> Iterator[Finding]:
    """A low cutoff that sees a leak late; ``low-cutoff-margin-wide`` takes over below that."""
    low, expected = subject.profile.cutoffs.low, subject.profile.expected
    if low is None or low.value == 0 or expected is None or expected.low <= low:
        return
    left = low.value / expected.low.value
    if not subject.margins.low_wide <= left < (1 - subject.margins.low) / 2:
        return
    yield Finding(
        Severity.NOTE,
        f"The low cutoff {low} stops the pump only when a leak takes {percent(float(1 - left))} of "
        f"the flow at the lowest expected pressure, {expected.low}; air in one pump head goes "
        "unseen.",
        "Raise the low cutoff, or leave it where a leak sensor watches.",
        LOW,
        compared=below(low, expected.low),
        data={"faults": ["leak", "air-in-pump-head"]},
    )

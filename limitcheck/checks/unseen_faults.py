"""Faults that do damage and that no cutoff stops."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ..findings import Confidence, Finding, KeyPath, Related, Severity
from ..physics.liquid import CannotPredict
from ..profile.hardware import RatedPart
from ..units import percent
from ..units.printing import as_read
from .identity import above, below, by_part
from .subject import ADD_GEOMETRY, Skip, Subject

if TYPE_CHECKING:
    from ..physics.faults import FaultEffect, Faults

HIGH: KeyPath = ("cutoffs", "high")
LOW: KeyPath = ("cutoffs", "low")
UPWARD = (
    "flow-doubled",
    "bed-blocked",
    "smaller-particles",
    "longer-column",
    "heater-off",
    "only-a",
    "only-b",
    "tubing-before-injector-blocked",
    "tubing-after-injector-blocked",
    "inlet-frit-blocked",
)
"""Faults that can raise the pressure."""


def fault_unseen(subject: Subject) -> Iterator[Finding]:
    """A fault can overload a part, or let liquid out, and no cutoff stops the pump.

    At the bench: without a high cutoff under the weakest rating, a doubled flow or
    a blockage takes a part past what it holds: fittings slip, beds collapse, liquid
    sprays. With a low cutoff far under normal, most of the flow can leak, and a
    pump head can run dry, before it stops: a note, since it may be meant so where a
    leak sensor watches.
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
    high, part = subject.profile.cutoffs.high, subject.weakest
    if part is None or (high is not None and high <= part.pressure and high.value > 0):
        return
    from ..physics.faults import Faults  # seldom needed, and the check path must start fast

    found = Faults(subject.profile, subject.prediction)
    try:
        named = list(_past(found, part))
    except CannotPredict as error:
        raise Skip(error.message, error.advice or ADD_GEOMETRY) from None
    if not named:
        return
    unit = subject.unit
    listed = ", ".join(
        f"{effect.name.replace('-', ' ')} ({as_read(effect.central, unit)} {unit})"
        for effect in named
    )
    cutoff = f"at {high}" if high is not None and high.value > 0 else "off"
    yield Finding(
        Severity.WARNING,
        f"With the high cutoff {cutoff}, these faults pass the rating of the {part.name}, "
        f"{part.pressure}, before anything stops the pump: {listed}. A full blockage does so "
        "on any method.",
        "Lower the high cutoff under the weakest rating.",
        HIGH,
        Confidence.LIKELY,
        (Related(part.path, f"{part.name} holds {part.pressure}"),),
        compared=above("off" if high is None or high.value == 0 else high, by_part([part])),
        data={"faults": [effect.name for effect in named]},
    )


def _past(found: Faults, part: RatedPart) -> Iterator[FaultEffect]:
    high = found.cutoff("high")
    rating = float(part.pressure)
    for effect in found.tried(UPWARD)[0]:
        if min(effect.central, high if high is not None else effect.central) > rating:
            yield effect


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

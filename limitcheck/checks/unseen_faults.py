"""Faults that do damage and that no cutoff stops."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import TYPE_CHECKING

from ..findings import Confidence, Finding, KeyPath, Related, Severity
from ..physics.liquid import CannotPredict
from ..profile.hardware import column_index
from ..units import Pressure, percent
from ..units.printing import as_read
from .identity import above, below, by_part
from .subject import ADD_BAND, ADD_GEOMETRY, Skip, Subject

if TYPE_CHECKING:
    from ..physics.faults import Overload, Passed

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
    400 bar at the method's flow may hold 200 bar at twice that. Beyond its last point
    nothing is decided. The pressure of a fault counts from the high end of the expected
    band; without a band, from the most likely predicted pressure.
    Do: bring the cutoffs to the proposed values. `limitcheck faults` lists every
    fault, also those that only spoil results.
    Source: ratios of predicted pressures; which faults are usual is common
    practice, no source.
    """
    over, doubtful = _passing(subject)
    yield from _overloads(subject, over)
    yield from _leaks(subject)
    subject.all_rated()
    _stated(subject, {fault.name for fault in over})
    if doubtful:
        raise Skip(f"the normal pressure is only predicted, and with {doubtful}", ADD_BAND, HIGH)


def _stated(subject: Subject, over: Collection[str]) -> None:
    """Skips the check where no rating is stated at the flow or temperature of another fault."""
    if not _derated(subject):
        return
    # seldom needed, and the check path must start fast
    from ..physics.faults import not_rated

    for name in UPWARD:
        for part in not_rated(subject.profile, name) if name not in over else ():
            if part.at is None:
                continue  # ``all_rated`` has said so where it matters
            reason = f"with {_words(name)} the {part.by} is {part.at}, and {part.reason}"
            raise Skip(reason, f"rating of the {part.part.name} at {part.at}", part.path)


def _derated(subject: Subject) -> bool:
    loaded = subject.profile.flow_path[: column_index(subject.profile) + 1]
    return any(part.rating_at_flow or part.rating_at_temperature for part in loaded)


def _passing(subject: Subject) -> tuple[list[Passed], str]:
    """Faults that pass a rating below the high cutoff or without one.

    A pressure at the high end of the expected band is normal, and counts. Without a band the most
    likely predicted pressure does; faults that pass a rating only above that are named apart.
    """
    profile, high = subject.profile, _high(subject)
    if subject.weakest is None or _holds(subject, high):
        return [], ""
    # seldom needed, and the check path must start fast
    from ..physics.faults import Overloads

    found = Overloads(profile, UPWARD, high, subject.prediction)
    if not found.possible:
        return [], ""
    if not found.banded:
        _ = subject.predicted()  # skips the check where there is none fit to judge by
    try:
        passing = list(found.passing())
    except CannotPredict as error:
        raise Skip(error.message, error.advice or ADD_GEOMETRY) from None
    doubtful = [fault for fault in passing if not fault.likely]
    return [fault for fault in passing if fault.likely], _listed(doubtful, subject.unit)


def _high(subject: Subject) -> Pressure | None:
    """The high cutoff; None where it is off."""
    high = subject.profile.cutoffs.high
    return None if high is None or high.value == 0 else high


def _overloads(subject: Subject, over: Sequence[Passed]) -> Iterator[Finding]:
    """What these faults pass: the weakest rating, or what a part holds under the fault itself."""
    high, unit = _high(subject), subject.unit
    typed = "off" if high is None else high
    cutoff = f"With the high cutoff {'off' if high is None else f'at {high}'}"
    usual = [fault for fault in over if not fault.hit.at]
    for path, part in {fault.hit.part.path: fault.hit.part for fault in usual}.items():
        here = [fault for fault in usual if fault.hit.part.path == path]
        yield Finding(
            Severity.WARNING,
            f"{cutoff}, these faults pass the rating of the {part.name}, {part.pressure}, before "
            f"anything stops the pump: {_listed(here, unit)}. A full blockage does so on any "
            "method.",
            "Lower the high cutoff under the weakest rating.",
            HIGH,
            Confidence.LIKELY,
            (Related(part.path, f"{part.name} holds {part.pressure}"),),
            compared=above(typed, by_part([part])),
            data={"faults": [fault.name for fault in here]},
        )
    own = [fault for fault in over if fault.hit.at]
    for path, part in {fault.hit.part.path: fault.hit.part for fault in own}.items():
        here = [fault for fault in own if fault.hit.part.path == path]
        yield Finding(
            Severity.WARNING,
            f"{cutoff}, these faults pass what the {part.name} holds at the fault's own "
            f"{here[0].hit.by}, before anything stops the pump: {_listed(here, unit)}.",
            "Lower the high cutoff under that where the method leaves it room; else accept this "
            "with what guards against the fault.",
            path,
            Confidence.LIKELY,
            (Related(HIGH, f"high cutoff {typed}"),),
            compared=above(typed, by_part([part])),
            data={"faults": [fault.name for fault in here]},
        )


def _listed(over: Sequence[Passed], unit: str) -> str:
    """Faults with their pressures, and what holds where that is another amount than usual."""
    return ", ".join(
        f"{_words(name)} ({_how_far(hit, likely)} {as_read(hit.reached, unit)} {unit}"
        f"{f', it holds {hit.part.pressure} at {hit.at}' if hit.at else ''})"
        for name, hit, likely in over
    )


def _how_far(hit: Overload, likely: bool) -> str:
    """The high cutoff ends it exactly; else it is worked out, or only perhaps so much."""
    if hit.stopped:
        return "up to"
    return "about" if likely else "up to about"


def _words(fault: str) -> str:
    return fault.replace("-", " ")


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
    low, expected = subject.low, subject.profile.expected
    if low is None:
        return
    if expected is None:
        yield from _leaks_predicted(subject, low)
        return
    if subject.band.low <= low:
        return
    left = low.value / expected.low.value
    if not subject.margins.low_wide <= left < (1 - subject.margins.low) / 2:
        return
    yield _leak(
        low,
        f"{percent(float(1 - left))} of the flow at the lowest expected pressure, {expected.low}",
        str(expected.low),
    )


def _leaks_predicted(subject: Subject, low: Pressure) -> Iterator[Finding]:
    """The same where no band is given: by the lowest predicted pressure."""
    if subject.prediction is None:
        _ = subject.expected  # skips the check
        return
    bottom, _ = subject.run_ends
    normal = subject.between(bottom)
    late = float((1 - subject.margins.low) / 2)
    if float(low) >= late * normal.most:
        return
    if float(low) >= late * normal.least:
        raise Skip(f"the lowest pressure is only predicted, {normal.told}", ADD_BAND, HIGH)
    least = percent(1 - float(low) / bottom.low)
    yield _leak(
        low,
        f"at least {least} of the flow at the lowest predicted pressure, {normal.told}",
        f"{as_read(bottom.low, subject.unit)} {subject.unit}",
    )


def _leak(low: Pressure, share: str, lowest: str) -> Finding:
    return Finding(
        Severity.NOTE,
        f"The low cutoff {low} stops the pump only when a leak takes {share}; air in one pump "
        "head goes unseen.",
        "Raise the low cutoff, or leave it where a leak sensor watches.",
        LOW,
        compared=below(low, lowest),
        data={"faults": ["leak", "air-in-pump-head"]},
    )

"""Words about a number: what happens at the bench if it stays as typed, its name, where to look."""

from __future__ import annotations

from ..meant import Group, MeantNumber
from ..meant.evidence import ENTRY_MAX, EXPECTED, EXPECTED_HIGH, EXPECTED_LOW, HIGH, INSTRUMENT, LOW
from ..profile.model import Profile
from ..units import Pressure
from .subject import Subject, gap, typed


def left_as_typed(subject: Subject, group: Group) -> str:
    """What happens if a group of numbers stays as it was typed."""
    if group == HIGH:
        return _high(subject)
    if group == LOW:
        return _low(subject)
    if group == ENTRY_MAX:
        return (
            f"The largest entry of the field, {_largest(subject)}, does not fit the rest: what the "
            "field takes is then not what this profile is checked for."
        )
    if group[:1] == EXPECTED:
        band = subject.expected
        return (
            f"The expected band {band.low} to {typed(band.high)} does not fit the rest: every "
            "limit drawn from it is wrong by the factor between the units."
        )
    if group == INSTRUMENT:
        return (
            f"What was typed at this instrument does not fit the rest if it shows {subject.unit}: "
            "its cutoffs stop good runs or protect nothing."
        )
    return _rating(subject, group)


def _high(subject: Subject) -> str:
    high, weakest, expected = subject.high, subject.weakest, subject.profile.expected
    start = f"The high cutoff {typed(high)}"
    if weakest is not None and high > weakest.pressure:
        return (
            f"{start} protects nothing: the {weakest.name} gives way first, "
            f"{gap(high, weakest.pressure, subject.unit)} lower, at {weakest.pressure}."
        )
    if expected is not None and high < expected.low:
        return (
            f"{start} stops the run as soon as the pump starts: normal is {expected.low} to "
            f"{expected.high}."
        )
    if expected is not None and high <= expected.high:
        return f"{start} stops normal runs: they reach {expected.high}."
    if expected is None or not expected.high.value:  # it may act far too soon as well
        return f"{start} does not fit the rest: it is far from what the hardware suggests."
    ratio = float(high.value / expected.high.value)
    return (
        f"{start} acts late: pressure must rise to {ratio:.3g} times normal before the pump stops."
    )


def _low(subject: Subject) -> str:
    low, expected, high = subject.low, subject.profile.expected, subject.profile.cutoffs.high
    if low is None:
        return "The low cutoff is off."
    start = f"The low cutoff {typed(low)}"
    if high is not None and low >= high:
        return f"{start} leaves no pressure at which the pump may run: the high cutoff is {high}."
    if expected is not None and low >= expected.low:
        return f"{start} stops good runs as if there were a leak: they start at {expected.low}."
    if expected is None:  # it may lie above what is normal as well
        return f"{start} does not fit the rest: it is far from what the hardware suggests."
    return f"{start} never acts: a leak is not noticed."


def _rating(subject: Subject, group: Group) -> str:
    rated = next(part for part in subject.rated if part.place == group[1])
    rating = rated.part.rating or rated.pressure
    return (
        f"The rating of the {rated.name}, {typed(rating)}, does not fit the rest: limits drawn "
        "from it stop good runs or protect nothing."
    )


def _largest(subject: Subject) -> Pressure:
    return Pressure.of(subject.profile.instrument.entry_max or 0, subject.unit)


def origin(group: Group) -> str:
    """Where to look for the number that was meant."""
    if group == INSTRUMENT:
        return "Look which unit the front panel shows."
    if group == ENTRY_MAX:
        return "Look at the instrument what the field takes, and in which unit."
    if group[-1] == "rating":
        return "Read the label or plate again, with its unit."
    if group[0] in ("flow_path", "conditions"):
        return "Check it at its origin (column label, method), with its unit."
    return "Check the number at its origin (method, label, instrument)."


def settles(group: Group) -> str:
    """The measurement that tells explanations apart."""
    if group[0] in ("flow_path", "conditions") and group[-1] != "rating":
        return "The label, or a pressure read on the running method, settles it."
    return "A pressure read on the running method, with its unit, settles it."


def change_text(profile: Profile, change: MeantNumber) -> str:
    """What a change says, in words; no number, so that none contradicts what is recommended."""
    if change.kind == "typing":
        return f"a typing error in the {name_of(profile, change.group)}"
    if change.kind == "geometry":
        return f"another {name_of(profile, change.group)}"
    return f"the {name_of(profile, change.group)} in {change.unit}"


def name_of(profile: Profile, group: Group) -> str:
    """The name of a group of numbers, without its article."""
    names = {
        HIGH: "high cutoff",
        LOW: "low cutoff",
        EXPECTED: "expected band",
        EXPECTED_LOW: "expected minimum",
        EXPECTED_HIGH: "expected maximum",
        ENTRY_MAX: "largest entry of the field",
        INSTRUMENT: "whole instrument",
        ("conditions", "flow"): "flow",
    }
    if group in names:
        return names[group]
    part = profile.flow_path[int(group[1])]
    return f"{str(group[2]).replace('_', ' ')} of the {part.name}"

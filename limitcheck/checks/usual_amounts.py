"""Amounts that are hardly ever seen: a finding on the line, so that no check goes by in silence."""

from __future__ import annotations

from collections.abc import Iterator

from ..findings import Confidence, Finding, Related, Severity
from ..profile.amounts import Unusual, unusual_amounts
from .identity import changed
from .subject import Subject


def amount_implausible(subject: Subject) -> Iterator[Finding]:
    """A temperature, volume, time, measured drop or display step is hardly ever seen.

    At the bench: what rests on it is wrong or cannot be computed: 350 degC for 350 K leaves a
    method without prediction, 1000 mL for 1000 uL a gradient without its delay.
    Two ranges by kind of number: outside what is usual it is a warning, outside what is possible
    an error. So are amounts that two numbers make: an injection larger than the column, a dwell
    volume over the flow, the flow of a certificate through the bore.
    Do: check the number at its origin, with its unit.
    Source: common practice, no source (wide ranges, from capillary to preparative scale).
    """
    for item in unusual_amounts(subject.profile):
        yield Finding(
            Severity.WARNING if item.possible else Severity.ERROR,
            _message(item),
            "Check it at its origin (method, manual, certificate), with its unit.",
            item.places[0],
            confidence=Confidence.LIKELY,
            related=tuple(Related(place, "the other number") for place in item.places[1:]),
            compared=changed(item.shown, item.range.usual),
            data={"meant": list(item.meant)},
        )


def _message(item: Unusual) -> str:
    grade = "is hardly ever seen" if item.possible else "is not possible"
    text = f"The {item.name}, {item.shown}, {grade}: usual is {item.range.usual}."
    if item.meant:
        text += f" {' or '.join(item.meant)} would be usual."
    return text

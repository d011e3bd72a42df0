"""The expected pressure band against itself and the hardware."""

from __future__ import annotations

from collections.abc import Iterator

from ..findings import Finding, Related, Severity
from .subject import Skip, Subject, gap, typed

LOW, HIGH = ("expected", "low"), ("expected", "high")


def expected_inverted(subject: Subject) -> Iterator[Finding]:
    """The expected minimum is above the expected maximum.

    At the bench: no pressure is normal, and every limit drawn from the band is wrong.
    Do: exchange the two numbers, or correct the wrong one (look at their units).
    Source: arithmetic on the profile's own numbers.
    """
    expected = subject.expected
    if expected.low.value <= expected.high.value:
        return
    yield Finding(
        Severity.ERROR,
        f"The expected minimum {typed(expected.low, expected.high)} is above the expected "
        f"maximum {typed(expected.high, expected.low)}.",
        "Exchange the two, or correct the one that is wrong.",
        LOW,
        related=(Related(HIGH, f"expected up to {expected.high}"),),
    )


def expected_above_rating(subject: Subject) -> Iterator[Finding]:
    """The expected maximum is above what a part between pump and column holds.

    At the bench: the method cannot run on this hardware without overloading the part.
    Do: lower the flow, warm the column, take a shorter column, or use stronger hardware
    (`limitcheck propose` says how far).
    Source: the parts' own ratings.
    """
    high, part = subject.expected.high, subject.weakest
    if part is None:
        raise Skip("no part up to the column has a rating")
    if high.value <= part.pressure.value:
        return
    yield Finding(
        Severity.ERROR,
        f"The expected maximum {typed(high, part.pressure)} is "
        f"{gap(high, part.pressure, subject.unit)} above the rating of the {part.name}, "
        f"{typed(part.pressure, high)}.",
        "Lower the flow, warm the column, shorten it, or use stronger hardware.",
        HIGH,
        related=(Related(part.path, f"{part.name} is rated {part.pressure}"),),
    )

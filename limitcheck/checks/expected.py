"""The expected pressure against itself and the hardware."""

from __future__ import annotations

from collections.abc import Iterator

from ..findings import NOT_DECIDED, Finding, KeyPath, Related, Severity, path_text
from ..profile.plausible import plausible_range
from ..units import Pressure
from .identity import above, by_part
from .subject import Subject, gap, typed

LOW: KeyPath = ("expected", "low")
HIGH: KeyPath = ("expected", "high")


def expected_inverted(subject: Subject) -> Iterator[Finding]:
    """The expected minimum is above the expected maximum.

    At the bench: no pressure is normal, and every limit drawn from the band is wrong.
    Do: exchange the two numbers, or correct the wrong one (look at their units).
    Source: arithmetic on the profile's own numbers.
    """
    expected = subject.expected
    if not expected.inverted:
        return
    yield Finding(
        Severity.ERROR,
        f"The expected minimum {typed(expected.low, expected.high)} is above the expected "
        f"maximum {typed(expected.high, expected.low)}.",
        "Exchange the two, or correct the one that is wrong.",
        LOW,
        compared=above(expected.low, expected.high),
        related=(Related(HIGH, f"expected up to {expected.high}"),),
        data={"explains": [(NOT_DECIDED, path_text(LOW))]},
    )


def expected_above_rating(subject: Subject) -> Iterator[Finding]:
    """The expected maximum is above what a part between pump and column holds.

    At the bench: the method cannot run on this hardware without overloading the part.
    Do: lower the flow, warm the column, take a shorter column, or use stronger hardware
    (`limitcheck propose` says how far).
    Source: the parts' own ratings; what pumps hold at most: common practice, no source.
    """
    high, part = subject.expected.high, subject.weakest
    most = plausible_range("pump")[1]
    if high > most and (part is None or high <= part.pressure):
        yield _above_any_pump(high, most)
        return
    if part is None or high <= part.pressure:
        _ = subject.band  # of exchanged ends the other may be above it
        subject.all_rated()
        return
    yield Finding(
        Severity.ERROR,
        f"The expected maximum {typed(high, part.pressure)} is "
        f"{gap(high, part.pressure, subject.unit)} above the rating of the {part.name}, "
        f"{typed(part.pressure, high)}.",
        "Lower the flow, warm the column, shorten it, or use stronger hardware.",
        HIGH,
        compared=above(high, by_part(p for p in subject.loaded if high > p.pressure)),
        related=(Related(part.path, f"{part.name} is rated {part.pressure}"),),
    )


def _above_any_pump(high: Pressure, most: Pressure) -> Finding:
    return Finding(
        Severity.ERROR,
        f"The expected maximum {typed(high, most)} is above what any pump delivers, "
        f"{typed(most, high)}.",
        "Read the number again, with its unit.",
        HIGH,
        compared=above(high, most),
        doubts=(HIGH,),
    )

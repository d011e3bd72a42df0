"""The cutoffs against the field they are typed into."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from ..findings import Finding, KeyPath, Related, Severity, Suggestion
from ..units import Pressure, plain, plain_or_rounded, round_down, round_up
from .subject import Skip, Subject

NEAR_ENOUGH = Fraction(2, 100)
"""A number rounded by more is another number (common practice, no source)."""
AS_TYPED = Fraction(3, 1000)
"""A number rounded by no more still says the same. One that cannot be stored may have been meant
in another unit, or mistyped: rounded by more, it was wrong in tests/detection."""


def entry_not_storable(subject: Subject) -> Iterator[Finding]:
    """A cutoff is finer than the smallest step the entry field takes.

    At the bench: the instrument keeps another number than the method says; which one
    depends on its firmware.
    Do: enter a whole number of steps, rounded the safe way: the high cutoff down, the low up.
    Source: the instrument's own display.
    """
    step = subject.profile.instrument.display_step
    if step is None:
        raise Skip("no display_step is given")
    for path, entered in _cutoffs(subject):
        number = entered.to(subject.unit)
        below, above = round_down(number, step), round_up(number, step)
        if below == above:
            continue
        way = "up" if path[-1] == "low" else "down"
        safe = below if way == "down" else above
        zero = below == 0 and path[-1] == "high"
        near, exact = (abs(safe - number) <= s * number for s in (NEAR_ENOUGH, AS_TYPED))
        yield Finding(
            Severity.WARNING,
            f"The {path[-1]} cutoff {entered} is finer than the display step "
            f"{plain_or_rounded(step)} {subject.unit}: the instrument will keep {plain(below)} or "
            f"{plain(above)}.",
            "Do not enter 0, which switches it off." if zero else f"Round it {way} to a full step.",
            path,
            related=(Related(("instrument", "display_step"), "the display step"),),
            suggestion=Suggestion(path, plain(safe), subject.unit, kind="step", exact=exact)
            if near
            else None,
        )


def entry_beyond_field(subject: Subject) -> Iterator[Finding]:
    """A cutoff is larger than the largest value the entry field takes.

    At the bench: the instrument refuses the number or cuts it off, and another value than
    the method's is in force.
    Do: enter a value the field takes; look at the unit, too.
    Source: the instrument's own display.
    """
    most = subject.profile.instrument.entry_max
    if most is None:
        raise Skip("no entry_max is given")
    for path, entered in _cutoffs(subject):
        if entered.to(subject.unit) <= most:
            continue
        yield Finding(
            Severity.ERROR,
            f"The {path[-1]} cutoff {entered} is more than the field takes: "
            f"{plain_or_rounded(most)} {subject.unit}.",
            "Look at the unit, and enter a value that the field takes.",
            path,
            related=(Related(("instrument", "entry_max"), "the largest value it takes"),),
        )


def _cutoffs(subject: Subject) -> Iterator[tuple[KeyPath, Pressure]]:
    cutoffs = subject.profile.cutoffs
    for name, entered in (("high", cutoffs.high), ("low", cutoffs.low)):
        if entered is not None:
            yield ("cutoffs", name), entered

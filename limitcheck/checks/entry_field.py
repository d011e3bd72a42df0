"""The cutoffs against the field they are typed into."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from ..findings import Finding, KeyPath, Related, Severity, Suggestion
from ..units import Pressure, plain, plain_or_rounded, round_down, round_up
from .subject import Skip, Subject


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
        safe = below if path[-1] == "high" else above
        off = safe == 0  # the high cutoff is smaller than one step
        yield Finding(
            "entry-not-storable",
            Severity.WARNING,
            f"The {path[-1]} cutoff {entered} is finer than the display step "
            f"{plain_or_rounded(step)} {subject.unit}: the instrument will keep {plain(below)} or "
            f"{plain(above)}.",
            f"Do not enter 0, which switches it off. {subject.high_advice()}"
            if off
            else f"Enter {plain(safe)}, the storable number on the safe side.",
            path,
            related=(Related(("instrument", "display_step"), "the display step"),),
            suggestion=None if off else Suggestion(path, plain(safe), subject.unit),
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
        advice = subject.high_advice() if path[-1] == "high" else subject.low_advice()
        yield Finding(
            "entry-beyond-field",
            Severity.ERROR,
            f"The {path[-1]} cutoff {entered} is more than the field takes: "
            f"{_text(most)} {subject.unit}.",
            advice,
            path,
            related=(Related(("instrument", "entry_max"), "the largest value it takes"),),
        )


def _cutoffs(subject: Subject) -> Iterator[tuple[KeyPath, Pressure]]:
    cutoffs = subject.profile.cutoffs
    for name, entered in (("high", cutoffs.high), ("low", cutoffs.low)):
        if entered is not None:
            yield ("cutoffs", name), entered


def _text(number: Fraction) -> str:
    return plain_or_rounded(number)

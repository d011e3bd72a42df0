"""What would tell whether a pressure is normal, where nothing that is known does."""

from __future__ import annotations

from collections.abc import Iterator

from ..diagnosis.reading import Reading
from .blocks import Bullets, Section, Text

_NO_CAUSES = "No causes are listed: it is not known whether anything is wrong."
_GOOD_DAY = (
    "The pressure of a good day at these conditions, from the logbook or a log (limitcheck "
    "baseline LOG)."
)
_STEPS = (
    "Without one, the steps from the outlet to the pump: they show a part that takes far more than "
    "is predicted for it (limitcheck isolate)."
)


def would_tell(reading: Reading, doubt: str) -> tuple[str, ...]:
    """What to look at first, in sentences; nothing where the pressure is told from normal."""
    return tuple(_would_tell(reading, doubt)) if reading.position == "unknown" else ()


def _would_tell(reading: Reading, doubt: str) -> Iterator[str]:
    if doubt:
        yield "The expected pressure, corrected: limitcheck check says what is wrong with it."
    yield _GOOD_DAY
    if reading.bounds is not None and reading.bounds.in_doubt:
        return
    if reading.normal is not None:
        yield _STEPS
    elif reading.no_normal:
        yield "What a prediction lacks, given in the profile (limitcheck predict)."


def would_tell_section(reading: Reading, doubt: str, *, everything: bool) -> Iterator[Section]:
    """The same as a section, with why no cause stands there.

    Beside causes of a swing it is for a record, or where everything is asked for: they are what to
    look at first, and the verdict says that a pressure of a good day tells.
    """
    if told := would_tell(reading, doubt):
        swings = reading.swing is not None and bool(reading.swing.causes)
        judged = reading.normal is not None or bool(doubt)  # else the verdict says it
        why = (Text(_NO_CAUSES),) if judged and not swings else ()
        yield Section("What would tell", (*why, Bullets(told)), in_record=swings and not everything)

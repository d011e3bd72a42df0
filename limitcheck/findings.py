"""What a check says: plain frozen records, with nothing of ours imported.

A finding names a key path; the engine turns paths into lines and columns in one place. The
records have no slots: with them, sending results between processes takes twice as long.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from typing import Any, Literal

KeyPath = tuple[str | int, ...]
SlipKind = Literal["unit", "typing", "one end", "geometry", "entry field", "rounding", "step"]
"""What went wrong with a number: its unit, a digit, one end of a band, a length or flow of the
geometry, the largest entry of the field, a rounding, the display step."""


class Severity(StrEnum):
    """How bad: an error stops the work, a warning will hurt, a note is for information."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"

    @property
    def rank(self) -> int:
        """0 for error, 1 for warning, 2 for note."""
        return _SEVERITY_ORDER.index(self)


class Confidence(StrEnum):
    """How sure the tool is of what it says."""

    CERTAIN = "certain"
    LIKELY = "likely"
    POSSIBLE = "possible"

    @property
    def rank(self) -> int:
        """0 for certain, 1 for likely, 2 for possible."""
        return _CONFIDENCE_ORDER.index(self)


_SEVERITY_ORDER = tuple(Severity)
_CONFIDENCE_ORDER = tuple(Confidence)


@dataclass(frozen=True)
class Location:
    """A stretch of a file: lines and columns from 1, columns in code points, end exclusive."""

    file: str
    line: int
    column: int
    end_line: int
    end_column: int
    source_line: str = ""


@dataclass(frozen=True)
class Related:
    """Another place that belongs to a finding, and what it says there."""

    path: KeyPath
    message: str
    location: Location | None = None


@dataclass(frozen=True)
class Suggestion:
    """What to type instead: `enter` is a number in `unit`, ready for the field at `path`."""

    path: KeyPath
    enter: str
    unit: str
    meant_unit: str | None = None
    kind: SlipKind = "unit"
    exact: bool = True
    """Whether `enter` says what was meant: not where rounding to the storable step moved it so far
    that it stands otherwise to the other numbers."""


@dataclass(frozen=True)
class Acceptance:
    """Who answers for a finding, why, and until when."""

    reason: str
    by: str
    until: date | None = None


@dataclass(frozen=True)
class Finding:
    """One result of one check."""

    check: str
    severity: Severity
    message: str
    advice: str
    path: KeyPath = ()
    confidence: Confidence = Confidence.CERTAIN
    related: tuple[Related, ...] = ()
    suggestion: Suggestion | None = None
    also: tuple[Suggestion, ...] = ()
    """Further suggestions that belong to the same correction."""
    data: Mapping[str, Any] = field(default_factory=dict)
    location: Location | None = None
    accepted: Acceptance | None = None
    anchor: str = ""
    """The key path with parts by name, and the value there: what stays when lines move."""
    known: bool = False
    """Whether it stands in the file of known findings."""


def path_text(path: KeyPath) -> str:
    """A key path as a reader would write it: `flow_path[3].rating`, counted from 1.

    >>> path_text(("flow_path", 2, "rating"))
    'flow_path[3].rating'
    """
    text = ""
    for step in path:
        if isinstance(step, int):
            text += f"[{step + 1}]"
        else:
            text += f".{step}" if text else step
    return text

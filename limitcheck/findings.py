"""What a check says: plain frozen records, with nothing of ours imported.

A finding names a key path; the engine turns paths into lines and columns in one place. The
records are named tuples: quick to import, and to send between processes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from enum import StrEnum
from typing import Any, Literal, NamedTuple, TypeVar

KeyPath = tuple[str | int, ...]
CRASHED = "crashed-check"
"""The check name of the finding that stands for a check of ours that failed."""
NOT_DECIDED = "not-decided"
"""The check name of a finding about checks that are required and not decided."""
SlipKind = Literal["unit", "typing", "one end", "geometry", "entry field", "rounding", "step"]
"""What kind of slip made a number wrong."""


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
FINDING_GRADES = (*Severity, "accepted", "known")
"""What a finding counts as."""
_WITH_ARTICLE = dict(zip(Severity, ("an error", "a warning", "a note"), strict=True))
_CONFIDENCE_ORDER = tuple(Confidence)


class Location(NamedTuple):
    """A stretch of a file: lines and columns from 1, columns in code points, end exclusive."""

    file: str
    line: int
    column: int
    end_line: int
    end_column: int
    source_line: str = ""
    cell: str = ""
    """Of a table the cell: C7, or Methods!C7 in a workbook, where line and column count rows and
    columns of the sheet."""

    @property
    def in_workbook(self) -> bool:
        """Whether it is a cell of a workbook, which has no lines of text."""
        return "!" in self.cell

    @property
    def text(self) -> str:
        """file:line:column, as messages name a place; file:Methods!C7 of a workbook."""
        if self.in_workbook:
            return f"{self.file}:{self.cell}"
        cell = f" ({self.cell})" if self.cell else ""
        return f"{self.file}:{self.line}:{self.column}{cell}"


class Related(NamedTuple):
    """Another place that belongs to a finding, and what it says there."""

    path: KeyPath
    message: str
    location: Location | None = None


class Suggestion(NamedTuple):
    """What a number was meant to be: `enter` is a number in `unit`, as it belongs in the field.

    `kind` says what kind of slip it corrects; `exact` is false where rounding to what the field
    stores moved the number so much that it no longer says what was meant.
    """

    path: KeyPath
    enter: str
    unit: str
    meant_unit: str | None = None
    kind: SlipKind = "unit"
    exact: bool = True


class Recommendation(NamedTuple):
    """The one thing to type at a place, the same in every output; `enter` is in `unit`.

    It rests on a slip corrected, a rating or a step rounded the safe way, or the proposed limits.
    """

    path: KeyPath
    enter: str
    unit: str
    basis: Literal["slip", "rounding", "step", "proposal"]
    confidence: Confidence
    why_not_written: str = ""
    """Why it is not written without asking; empty where it may be."""
    location: Location | None = None
    then: str = ""
    """The limit that is proposed once this is corrected, where it differs: said of a rounding over
    a rating, and by whatever proposes limits of every slip."""

    @property
    def then_text(self) -> str:
        """What comes after this, in a sentence; empty where it is all."""
        if not self.then:
            return ""
        what = f"the {self.path[-1]} cutoff" if self.path[0] == "cutoffs" else "this"
        return f"Correct {what} first; then the limit proposed for it is {self.then} {self.unit}."

    @property
    def may_be_written(self) -> bool:
        """Whether it may be written without asking."""
        return not self.why_not_written

    @property
    def text(self) -> str:
        """As it is typed at the instrument or written in the profile: "high = 280 (bar)"."""
        if self.path[0] == "cutoffs":
            return f"{self.path[-1]} = {self.enter} ({self.unit})"
        return f"{path_text(self.path)} = " + self.in_place_of('""')

    def in_place_of(self, old: str) -> str:
        """The TOML value to write where `old` stands: text where text stood, with its unit."""
        if self.path[-1] == "pressure_unit":
            return f'"{self.enter}"'
        return f'"{self.enter} {self.unit}"' if old.startswith(('"', "'")) else self.enter


class Withheld(NamedTuple):
    """A place for which nothing can be recommended, and why."""

    path: KeyPath
    reason: str


OfPlace = TypeVar("OfPlace", Recommendation, Withheld)


def of_place(items: Iterable[OfPlace], path: KeyPath) -> OfPlace | None:
    """What is said of one place; None where nothing is."""
    return next((item for item in items if item.path == path), None)


class Undecided(NamedTuple):
    """A check that could not be decided, or not for every part: why, and what would decide it."""

    check: str
    reason: str
    add: str = ""
    """What to add to the profile, and where; empty where that is nothing of the profile."""
    path: KeyPath = ()
    """Where it is missing."""


class Acceptance(NamedTuple):
    """Who answers for a finding, why, and until when."""

    reason: str
    by: str
    until: date | None = None

    @property
    def text(self) -> str:
        """In one line: "Accepted by method owner until 2027-06-30: leak sensor in the tray"."""
        until = f" until {self.until}" if self.until else ""
        return f"Accepted by {self.by}{until}: {self.reason}"


Worse = Literal["above", "below", "changed"]
"""When numbers get worse: the value further above its limit, or below it, or either changed."""
Limit = str | Mapping[str, str]
"""What a number is compared with; by part where it is what parts hold."""


class Compared(NamedTuple):
    """The two numbers of a finding as texts with units: what was found, and its limit."""

    value: str = ""
    limit: Limit = ""
    worse: Worse = "changed"


class Finding(NamedTuple):
    """One result of one check; the engine stamps `check`, `place`, `location` and what follows."""

    severity: Severity
    message: str
    advice: str
    path: KeyPath = ()
    confidence: Confidence = Confidence.CERTAIN
    related: tuple[Related, ...] = ()
    suggestion: Suggestion | None = None
    """What the number was meant to be, where the check is about that."""
    also: tuple[Suggestion, ...] = ()
    """Further suggestions that belong to the same correction."""
    doubts: tuple[KeyPath, ...] = ()
    """Places that the finding doubts besides those of its suggestions."""
    compared: Compared = Compared()
    """What an acceptance of it is given for."""
    data: Mapping[str, Any] = {}
    check: str = ""
    place: str = ""
    """The key path with parts by name: what stays when lines and parts move."""
    fingerprint: str = ""
    """Of check, method, instrument and place, 32 hexadecimal digits."""
    location: Location | None = None
    recommendations: tuple[Recommendation, ...] = ()
    """What to type here, and what belongs to the same correction."""
    withheld: str = ""
    """Why nothing is recommended for a cutoff that should be changed."""
    accepted: Acceptance | None = None
    lapsed: bool = False
    """Whether an acceptance was given for it that does not hold for its numbers."""
    known: bool = False
    """Whether it stands in the known-findings file."""
    own_severity: Severity | None = None
    """The grade that the check gave it, where a policy gives it another."""

    @property
    def grade(self) -> str:
        """As it counts: its severity, or that it is accepted or known."""
        if self.accepted is not None:
            return "accepted"
        return "known" if self.known else self.severity.value

    @property
    def worst(self) -> Severity:
        """The worse of its grade here and its own: what a policy grades down stays what it is."""
        own = self.own_severity or self.severity
        return min(own, self.severity, key=lambda grade: grade.rank)

    @property
    def regraded(self) -> str:
        """What a policy made of its grade, as in "A note here; an error by default."."""
        if self.own_severity is None:
            return ""
        here, own = (_WITH_ARTICLE[grade] for grade in (self.severity, self.own_severity))
        return f"{here.capitalize()} here; {own} by default."


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

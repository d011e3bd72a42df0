"""What to type at each instrument, from profiles that were checked: the rows of a sheet to hang up.

A profile with an open error gives nothing to type, nor does one whose band or numbers are in doubt,
or of which a required check is not decided: the row says so instead of a number. A policy or a
known-findings file changes nothing about that; somebody who answers for a finding does, and is
named.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from fractions import Fraction
from typing import NamedTuple

from ..checking.band import Band, band_of
from ..checking.results import FileReport
from ..checking.root import shown_text
from ..checks.engine import DOUBTING
from ..checks.required import CORE
from ..findings import NOT_DECIDED, Finding, Severity
from ..profile.load import ProfileFile
from ..profile.model import Column, Profile
from ..units import Pressure, plain_or_rounded
from ..version import __version__
from .spreadsheet import Cell, Printed, WrittenTable

OFF = "off (0)"


UNREADABLE, ERROR, IN_DOUBT, LEFT_OPEN = (
    "that cannot be read",
    "with an error",
    "with something in doubt",
    "with something not decided",
)
"""What stands in the way of typing, the worst first."""


class SheetRow(NamedTuple):
    """One method on one instrument. Without a profile, and with `why_not`, nothing may be typed.

    `in_the_way` is the worst of what stands in the way; empty where nothing does.
    """

    report: FileReport
    file: ProfileFile | None
    why_not: tuple[str, ...]
    notes: tuple[str, ...]
    in_the_way: str

    @property
    def profile(self) -> Profile | None:
        """The profile; None of a file that cannot be read."""
        return None if self.file is None else self.file.profile

    @property
    def may_be_typed(self) -> bool:
        """Whether the sheet gives its numbers."""
        return self.file is not None and not self.why_not

    @property
    def method(self) -> str:
        """Method and revision."""
        if self.profile is None:
            return shown_text(self.report.path)
        told = self.profile.method
        return f"{told.id} revision {told.revision}" if told.revision else told.id

    @property
    def band(self) -> Band | None:
        """The expected band; None where it is not given."""
        if self.profile is None:
            return None
        return band_of(self.profile, doubt=self.report.band_doubt)

    @property
    def normal(self) -> str:
        """The normal pressure, in its unit, or why it is not known; empty without a band."""
        band = self.band
        if band is None:
            return ""
        low = band.low.number if band.low.unit == band.high.unit else str(band.low)
        told = f"{low} to {band.high}"
        return told if band.normal else f"not known: {told}, {band.why_not}"

    @property
    def column(self) -> str:
        """The columns of the flow path, by label and size."""
        parts = () if self.profile is None else self.profile.flow_path
        return "; ".join(_column(part) for part in parts if isinstance(part, Column))


def _column(column: Column) -> str:
    size = " x ".join(str(length) for length in (column.length, column.bore) if length is not None)
    told = [column.label or "", size, str(column.particle_size or "")]
    serial = f"serial {column.serial}" if column.serial else ""
    return ", ".join(filter(None, (*told, serial))) or "not described"


def sheet_row(report: FileReport, file: ProfileFile | None) -> SheetRow:
    """What the sheet says of a profile, or of a file that cannot be read."""
    against = [
        f
        for f in report.findings
        if f.accepted is None and (f.worst is Severity.ERROR or f.check in DOUBTING)
    ]
    told = [f"{finding.check}: {finding.message}" for finding in against]
    why_not = tuple(dict.fromkeys((*told, *_left_open(report))))
    if file is None and not why_not:
        why_not = ("it cannot be read",)
    notes = tuple(_notes(report.findings)) if file is not None else ()
    decided = [finding for finding in against if finding.check != NOT_DECIDED]
    ways = (
        (UNREADABLE, file is None),
        (ERROR, any(finding.worst is Severity.ERROR for finding in decided)),
        (IN_DOUBT, decided),
        (LEFT_OPEN, why_not),
    )
    return SheetRow(report, file, why_not, notes, next((way for way, is_so in ways if is_so), ""))


def _left_open(report: FileReport) -> Iterator[str]:
    """Core checks that are not decided, also where a policy does not ask for them."""
    answered = {
        name for f in report.findings if f.check == NOT_DECIDED for name in f.data["checks"]
    }
    for item in report.undecided:
        if item.check in CORE - answered:
            yield f"not decided: {item.check}: {item.reason}."


def _notes(findings: Iterable[Finding]) -> Iterator[str]:
    for finding in findings:
        if finding.accepted is not None and finding.worst is Severity.ERROR:
            yield f"{finding.check}: {finding.message} {finding.accepted.text}."
    others = [f.check for f in findings if f.accepted is None and f.severity is Severity.WARNING]
    if others:
        yield f"Open warnings: {', '.join(dict.fromkeys(others))}. See limitcheck check."


def as_typed(pressure: Pressure | None) -> str:
    """A cutoff as it is typed; that it is off, where it is."""
    if pressure is None or not pressure.value:
        return OFF
    return pressure.number if pressure.typed else plain_or_rounded(pressure.to(pressure.unit))


def sheet_table(rows: Sequence[SheetRow], day: date, caution: str) -> WrittenTable:
    """The rows for a spreadsheet; numbers stand in the unit of their row only."""
    columns = [
        *(("Instrument", 16), ("Method", 18), ("Revision", 9), ("May be typed", 12)),
        *(("High cutoff to type", 14), ("Low cutoff to type", 14), ("Unit", 8)),
        *(("Normal pressure", 18), ("Why nothing is to be typed", 60)),
        *(("Title", 30), ("Column", 34), ("Notes", 40)),
        *(("Site", 16), ("File", 40), ("SHA-256", 66), ("Checked on", 12), ("Checked with", 18)),
        ("Caution", 60),
    ]
    printed = Printed("A:C", 1 + [name for name, _ in columns].index("Why nothing is to be typed"))
    return WrittenTable("To type", columns, (_cells(row, day, caution) for row in rows), printed)


def _cells(row: SheetRow, day: date, caution: str) -> list[Cell]:
    profile, report = row.profile, row.report
    numbers: list[Cell] = [None, None]
    if profile is not None and row.may_be_typed:
        cutoffs = profile.cutoffs
        numbers = [_number(cutoffs.high), _number(cutoffs.low)]
    method = None if profile is None else profile.method
    return [
        report.instrument or "",
        report.method or "",
        (method and method.revision) or "",
        "yes" if row.may_be_typed else "NO",
        *numbers,
        "" if profile is None else profile.instrument.pressure_unit,
        row.normal,
        " ".join(row.why_not),
        (method and method.title) or "",
        row.column,
        " ".join(row.notes),
        (method and method.site) or "",
        shown_text(report.path),
        report.sha256 or "",
        day,
        f"limitcheck {__version__}",
        caution,
    ]


def _number(pressure: Pressure | None) -> Fraction:
    return Fraction(0) if pressure is None else pressure.to(pressure.unit)

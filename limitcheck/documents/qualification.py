"""The qualification record as a document: the installation, and every run in full."""

from __future__ import annotations

from ..qualify.installation import Installation
from ..qualify.record import Record
from ..qualify.results import Group
from .as_text.qualification import count, facts, files_text, verdict_text
from .blocks import Block, Chapter, Document, Facts, Section, Table, Text
from .cautions import IN_A_RECORD, texts
from .parts import signature

SIGNED = "Qualification for use is decided by the site's procedures and qualified staff."


def qualification_document(record: Record) -> Document:
    """Everything that was compared, for the files of the laboratory."""
    title = f"Installation and operation record: limitcheck {record.installation.version}"
    groups = tuple(_group(group) for group in record.groups)
    return Document(
        title,
        (Text(verdict_text(record), strong=True), Facts(tuple(facts(record)))),
        (
            Chapter("Operation: known answers", (_overview(record), *groups)),
            Chapter("Installation: the files", (_files(record.installation),)),
            Chapter("Review", (Section("Decision", (Text(SIGNED),)), signature())),
        ),
        tuple(texts(IN_A_RECORD)),
        record.made.date().isoformat(),
    )


def _overview(record: Record) -> Section:
    rows = tuple((group.title, count(group), group.verdict.value) for group in record.groups)
    table = Table("Groups of runs", ("Group", "Passed", "Verdict"), rows)
    return Section("Overview", (table,))


def _group(group: Group) -> Section:
    rows = tuple((r.subject, r.published, r.computed, r.verdict.value) for r in group.results)
    caption = f"Tolerance: {group.tolerance}. Source: {group.source}"
    columns = ("Computed", "Published", "Here", "Verdict")
    return Section(group.title, (Table(caption, columns, rows),))


def _files(installation: Installation) -> Section:
    blocks: list[Block] = [Text(files_text(installation))]
    if installation.files:
        rows = tuple(
            (file.path, file.expected or "none", file.found or "none", file.state)
            for file in installation.files
        )
        caption = "SHA-256 in base64, as RECORD of the wheel gives it and as found"
        blocks.append(Table(caption, ("File", "RECORD", "Found", "State"), rows))
    return Section("Installed files against RECORD", tuple(blocks))

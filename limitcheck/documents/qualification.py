"""The qualification record: the installation, and every run in full."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from ..qualify.installation import CheckedFile, Installation
from ..qualify.record import Record
from ..qualify.results import Group, Verdict
from .blocks import Block, Chapter, Document, Facts, Section, Table, Text
from .cautions import IN_A_RECORD, texts
from .data import frame
from .parts import signature

_VERDICTS = {
    Verdict.PASS: "pass: every file is as packed and every run gave the published answer",
    Verdict.FAIL: "fail: do not use this installation",
    Verdict.NOT_RUN: "incomplete: nothing failed, but something could not be compared",
}
_SIGNED = "Qualification for use is decided by the site's procedures and qualified staff."


def qualification_document(record: Record) -> Document:
    """The verdict, what did not pass, and for the record everything that was compared."""
    version = record.installation.version
    verdict = f"Qualification of limitcheck {version}: {_VERDICTS[record.verdict]}."
    operation = (_overview(record), *_not_passed(record), *map(_group, record.groups))
    return Document(
        f"Installation and operation record: limitcheck {version}",
        (Text(verdict, strong=True), _facts(record)),
        (
            Chapter("Operation: known answers", operation),
            Chapter("Installation: the files", tuple(_files(record.installation))),
            Chapter("Review", (Section("Decision", (Text(_SIGNED),), in_record=True), signature())),
        ),
        tuple(texts(IN_A_RECORD)),
        record.made.date().isoformat(),
    )


def _facts(record: Record) -> Facts:
    installation = record.installation
    packages = [f"{name} {version}" for name, version in installation.packages.items()]
    return Facts(
        (
            ("Made", record.made.isoformat(sep=" ", timespec="seconds")),
            ("Python", installation.python),
            ("Platform", installation.platform),
            ("Location", installation.location),
            ("Packages", ", ".join(packages) or "not known"),
            ("Build", f"SHA-256 {installation.build_sha256}"),
            ("RECORD", f"SHA-256 {installation.record_sha256 or 'not known'}"),
        )
    )


def _overview(record: Record) -> Section:
    rows = tuple((group.title, _count(group), group.verdict.value) for group in record.groups)
    table = Table("", ("Group of runs", "Passed", "Verdict"), rows)
    return Section("Known answers", (table,))


def _count(group: Group) -> str:
    passed = sum(result.verdict is Verdict.PASS for result in group.results)
    return f"{passed} of {len(group.results)}"


def _not_passed(record: Record) -> Iterator[Section]:
    rows = tuple(
        (r.subject, r.verdict.value, r.published, r.computed, group.tolerance, group.source)
        for group in record.groups
        for r in group.results
        if r.verdict is not Verdict.PASS
    )
    if rows:
        columns = ("Run", "Verdict", "Published", "Here", "Tolerance", "Source")
        yield Section("What did not pass", (Table("", columns, rows),))


def _group(group: Group) -> Section:
    rows = tuple((r.subject, r.published, r.computed, r.verdict.value) for r in group.results)
    caption = f"Tolerance: {group.tolerance}. Source: {group.source}"
    columns = ("Computed", "Published", "Here", "Verdict")
    return Section(group.title, (Table(caption, columns, rows),), in_record=True)


def _files(installation: Installation) -> Iterator[Section]:
    wrong = [file for file in installation.files if file.verdict is not Verdict.PASS]
    blocks: list[Block] = [Text(_compared(installation, len(wrong)))]
    if wrong:
        rows = tuple((file.path, file.state) for file in wrong)
        blocks.append(Table("Not as packed", ("File", "State"), rows))
    yield Section("Installed files", tuple(blocks))
    if installation.files:
        yield Section("Every file", (_hashes(installation.files),), in_record=True)


def _compared(installation: Installation, wrong: int) -> str:
    if installation.not_verifiable is not None:
        return f"not run: the files cannot be verified: {installation.not_verifiable}."
    found = f"{wrong} of {len(installation.files)} not as packed" if wrong else "all as packed"
    return f"{installation.verdict}: installed files against RECORD, {found}."


def _hashes(files: tuple[CheckedFile, ...]) -> Table:
    rows = tuple((f.path, f.expected or "none", f.found or "none", f.state) for f in files)
    caption = "SHA-256 in base64, as RECORD of the wheel gives it and as found"
    return Table(caption, ("File", "RECORD", "Found", "State"), rows)


def qualification_data(record: Record) -> dict[str, Any]:
    """The whole record."""
    installation = record.installation
    files = [
        {**asdict(file), "state": file.state, "verdict": file.verdict.value}
        for file in installation.files
    ]
    groups = [
        {**asdict(group), "results": list(map(asdict, group.results)), "verdict": group.verdict}
        for group in record.groups
    ]
    return frame(
        made=record.made.isoformat(timespec="seconds"),
        verdict=record.verdict.value,
        installation={
            **asdict(installation),
            "packages": dict(installation.packages),
            "verdict": installation.verdict.value,
            "files": files,
        },
        groups=groups,
    )

"""The qualification record as text and as plain dictionaries."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from ...qualify.installation import Installation
from ...qualify.record import Record
from ...qualify.results import Group, Result, Verdict
from ...render.lines import wrap
from ...version import __version__
from ..cautions import CAUTIONS

_VERDICTS = {
    Verdict.PASS: "pass: every file is as packed and every run gave the published answer",
    Verdict.FAIL: "fail: do not use this installation",
    Verdict.NOT_RUN: "incomplete: nothing failed, but something could not be compared",
}


def render_text(record: Record) -> str:
    """The verdict, the installation, one line a group, and all that did not pass in full."""
    lines = [*wrap(verdict_text(record), "", "  "), ""]
    for name, value in facts(record):
        lines += wrap(value, f"{name:9} ", " " * 10)
    lines += ["", *wrap(files_text(record.installation), "", "  ")]
    for file in record.installation.files:
        if file.verdict is not Verdict.PASS:
            lines += wrap(f"{file.path}: {file.state}", "  ", "    ")
    lines.append("")
    for group in record.groups:
        lines += wrap(f"{group.verdict}: {group.title}, {count(group)}", "", "  ")
        for result in group.results:
            if result.verdict is not Verdict.PASS:
                lines += _in_full(group, result)
    lines += ["", *wrap(CAUTIONS["who-decides"])]
    return "\n".join(lines) + "\n"


def _in_full(group: Group, result: Result) -> Iterator[str]:
    yield from wrap(f"{result.verdict}: {result.subject}", "  ", "    ")
    yield from wrap(f"published: {result.published} ({group.source})", "    ", "      ")
    yield from wrap(f"computed: {result.computed}", "    ", "      ")
    yield from wrap(f"tolerance: {group.tolerance}", "    ", "      ")


def verdict_text(record: Record) -> str:
    """The verdict on the record, in a sentence."""
    return f"Qualification of limitcheck {record.installation.version}: {_VERDICTS[record.verdict]}"


def facts(record: Record) -> list[tuple[str, str]]:
    """What was qualified, when and where."""
    installation = record.installation
    packages = [f"{name} {version}" for name, version in installation.packages.items()]
    return [
        ("made", record.made.isoformat(sep=" ", timespec="seconds")),
        ("python", installation.python),
        ("platform", installation.platform),
        ("location", installation.location),
        ("packages", ", ".join(packages) or "not known"),
        ("RECORD", f"SHA-256 {installation.record_sha256 or 'not known'}"),
    ]


def files_text(installation: Installation) -> str:
    """How the installed files compare with those packed."""
    if installation.not_verifiable is not None:
        return f"not run: installed files: not verifiable: {installation.not_verifiable}"
    wrong = sum(file.verdict is not Verdict.PASS for file in installation.files)
    compared = f"{len(installation.files)} installed files against RECORD"
    return f"{installation.verdict}: {compared}" + (f", {wrong} not as packed" if wrong else "")


def count(group: Group) -> str:
    """How many runs of a group passed."""
    passed = sum(result.verdict is Verdict.PASS for result in group.results)
    return f"{passed} of {len(group.results)}"


def render_json(record: Record) -> str:
    """The whole record as one JSON document."""
    return json.dumps(record_dict(record), indent=1, ensure_ascii=False) + "\n"


def record_dict(record: Record) -> dict[str, Any]:
    """The whole record as plain dictionaries."""
    installation = record.installation
    return {
        "format": 1,
        "tool": {"name": "limitcheck", "version": __version__},
        "made": record.made.isoformat(timespec="seconds"),
        "verdict": record.verdict.value,
        "installation": {
            "verdict": installation.verdict.value,
            "version": installation.version,
            "location": installation.location,
            "python": installation.python,
            "platform": installation.platform,
            "packages": dict(installation.packages),
            "record_sha256": installation.record_sha256,
            "not_verifiable": installation.not_verifiable,
            "files": [
                {
                    "path": file.path,
                    "expected": file.expected,
                    "found": file.found,
                    "state": file.state,
                    "verdict": file.verdict.value,
                }
                for file in installation.files
            ],
        },
        "groups": [
            {
                "title": group.title,
                "source": group.source,
                "tolerance": group.tolerance,
                "verdict": group.verdict.value,
                "results": [
                    {
                        "subject": result.subject,
                        "published": result.published,
                        "computed": result.computed,
                        "verdict": result.verdict.value,
                    }
                    for result in group.results
                ],
            }
            for group in record.groups
        ],
    }

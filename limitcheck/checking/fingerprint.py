"""Fingerprints for outputs that follow findings from run to run, and names of files."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

from ..checks.identity import canonical, digest
from ..findings import Finding
from .results import FileReport


def relative_name(path: str, root: Path) -> str:
    """The path of a file from a folder, with forward slashes; one on another drive stays whole."""
    try:
        name = os.path.relpath(path, root)
    except ValueError:
        name = path
    return name.replace(os.sep, "/").encode("utf-8", "backslashreplace").decode()


def fingerprints(report: FileReport, root: Path) -> Iterator[tuple[Finding, str]]:
    """Each finding of a file with its fingerprint.

    In a file that cannot be read its name and the message stand for method, instrument and place.
    """
    name = relative_name(report.path, root)
    for finding in report.findings:
        yield finding, finding.fingerprint or digest(finding.check, name, finding.message)


def with_numbers(fingerprint: str, finding: Finding) -> str:
    """Another fingerprint, of the two numbers as well: what got worse has another."""
    value, limit, _ = canonical(finding.compared)
    named = [limit] if isinstance(limit, str) else [f"{name}={n}" for name, n in limit.items()]
    return digest(fingerprint, value, *named)

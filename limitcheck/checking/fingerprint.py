"""What makes a finding the same finding tomorrow: check, file, key path and value.

Unrelated edits leave it: lines may move, parts may be added, messages may be reworded.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

from ..findings import Finding, path_text
from .results import FileReport


def relative_name(path: str, root: Path) -> str:
    """The path of a file from a folder, with forward slashes; one on another drive stays whole."""
    try:
        name = os.path.relpath(path, root)
    except ValueError:
        name = path
    return name.replace(os.sep, "/").encode("utf-8", "backslashreplace").decode()


def fingerprints(report: FileReport, root: Path) -> Iterator[tuple[Finding, str]]:
    """Each finding of a file with its fingerprint, 32 hexadecimal digits.

    Findings alike in check, key path and value are told apart by their order.
    """
    name = relative_name(report.path, root)
    seen: Counter[tuple[str, str]] = Counter()
    for finding in report.findings:
        about = finding.anchor or f"{path_text(finding.path)}: {finding.message}"
        key = (finding.check, about)
        seen[key] += 1
        text = "\0".join((finding.check, name, about, str(seen[key])))
        yield finding, sha256(text.encode("utf-8", "backslashreplace")).hexdigest()[:32]

"""The installed files against the RECORD that came with the wheel, and what they run on.

Reads the installation's own files; this is the one place outside `cli` and `profile` that does.
"""

from __future__ import annotations

import csv
import hashlib
import json
import platform
import re
import sys
from base64 import urlsafe_b64encode
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from importlib.metadata import Distribution, PackageNotFoundError, distribution, version
from pathlib import Path

from ..version import __version__
from .results import Verdict, worst

_NAME = "limitcheck"
_PACKAGE = Path(__file__).parents[1]
_FOR_TESTS = re.compile("extra == .(test|lint|fuzz|mutation)\\b")


@dataclass(frozen=True, slots=True)
class CheckedFile:
    """One installed file; `expected` and `found` are SHA-256 in base64 as RECORD writes them."""

    path: str
    expected: str | None
    found: str | None

    @property
    def verdict(self) -> Verdict:
        """Pass where the file is as it was packed."""
        return Verdict.PASS if self.expected == self.found else Verdict.FAIL

    @property
    def state(self) -> str:
        """The verdict in words."""
        if self.expected is None:
            return "not part of the wheel"
        if self.found is None:
            return "missing"
        return "as packed" if self.expected == self.found else "altered"


@dataclass(frozen=True, slots=True)
class Installation:
    """What is installed where; `not_verifiable` says why its files could not be verified."""

    version: str
    location: str
    python: str
    platform: str
    packages: Mapping[str, str]
    record_sha256: str | None
    build_sha256: str
    files: tuple[CheckedFile, ...]
    not_verifiable: str | None

    @property
    def verdict(self) -> Verdict:
        """Fail for any file altered, missing or added; not run where nothing could be compared."""
        if self.not_verifiable is not None:
            return Verdict.NOT_RUN
        return worst(file.verdict for file in self.files)


def check_installation() -> Installation:
    """Hash the installed files and name what they run on."""
    packages: dict[str, str] = {}
    record, files = "", tuple[CheckedFile, ...]()
    try:
        installed = distribution(_NAME)
    except PackageNotFoundError:
        reason: str | None = "not installed: running from a folder"
    else:
        packages, reason = _packages(installed), _not_verifiable(installed)
        record = "" if reason is not None else installed.read_text("RECORD") or ""
        files = tuple(_checked(installed, record)) if record else ()
    return Installation(
        __version__,
        str(_PACKAGE),
        f"{platform.python_implementation()} {sys.version}",
        platform.platform(),
        packages,
        hashlib.sha256(record.encode()).hexdigest() if record else None,
        build_sha256(),
        files,
        reason,
    )


def build_sha256() -> str:
    """One hash over every file of the package: the same for the same files, however installed."""
    build = hashlib.sha256()
    for place in sorted(_PACKAGE.rglob("*")):
        if place.is_file() and place.parent.name != "__pycache__":
            name = place.relative_to(_PACKAGE).as_posix()
            build.update(f"{name} {hashlib.sha256(place.read_bytes()).hexdigest()}\n".encode())
    return build.hexdigest()


def _not_verifiable(installed: Distribution) -> str | None:
    origin = json.loads(installed.read_text("direct_url.json") or "{}")
    if origin.get("dir_info", {}).get("editable"):
        return "editable installation: the files are a working copy, not those of a wheel"
    if not installed.read_text("RECORD"):
        return "the installer left no RECORD; install the wheel with pip"
    if Path(str(installed.locate_file(_NAME))).resolve() != _PACKAGE.resolve():
        return f"running from {_PACKAGE}, which is not the installed copy"
    return None


def _packages(installed: Distribution) -> dict[str, str]:
    """Versions of the installed packages that it needs or can use, leaving out tools of tests."""
    found = {}
    for requirement in installed.requires or ():
        if _FOR_TESTS.search(requirement):
            continue
        name = re.split(r"[^A-Za-z0-9._-]", requirement, maxsplit=1)[0]
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            continue
    return dict(sorted(found.items()))


def _checked(installed: Distribution, record: str) -> Iterator[CheckedFile]:
    """Every file with a hash in RECORD, then files in the package that RECORD does not name."""
    listed = set()
    for path, hashed, _size in csv.reader(record.splitlines()):
        place = Path(str(installed.locate_file(path)))
        listed.add(place.resolve())
        if hashed:  # RECORD itself and compiled files have none
            method, _, expected = hashed.partition("=")
            yield CheckedFile(path, expected, _digest(place, method))
    for place in sorted(_PACKAGE.rglob("*")):
        compiled = place.suffix == ".pyc" and place.parent.name == "__pycache__"
        if place.is_file() and not compiled and place.resolve() not in listed:
            yield CheckedFile(str(place.relative_to(_PACKAGE.parent)), None, _digest(place))


def _digest(place: Path, method: str = "sha256") -> str | None:
    try:
        found = hashlib.new(method, place.read_bytes()).digest()
    except OSError:
        return None
    return urlsafe_b64encode(found).rstrip(b"=").decode()

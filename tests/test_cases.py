"""Every file in cases/ says in `# expect:` lines what the checks must find in it, all of it.

A line is `GRADE CHECK PATH [meant UNIT] [enter NUMBER] [certain | likely | possible]`, with
`accepted` as grade for an accepted finding; `nothing` for a clean file.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterator
from datetime import date
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules

import pytest

from limitcheck import checks
from limitcheck.checking.file import check_file
from limitcheck.checks import CHECKS
from limitcheck.checks.documentation import ABOUT_FILES, DOCUMENTED
from limitcheck.checks.repository import REPOSITORY_CHECKS
from limitcheck.findings import Finding, path_text
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import load

CASES = sorted((Path(__file__).parent / "cases").glob("*.toml"))
TODAY = date(2026, 11, 25)


def expectations(text: str) -> list[list[str]]:
    lines = re.findall(r"^# expect: (.+)$", text, re.MULTILINE)
    assert lines, "a case says what it expects"
    return [] if lines == ["nothing"] else [line.split() for line in lines]


def grade(finding: Finding) -> str:
    return "accepted" if finding.accepted else finding.severity.value


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_case_gives_exactly_what_it_expects(path: Path) -> None:
    found = check_file(load(path), DEFAULT_POLICY, TODAY).findings
    expected = expectations(path.read_text(encoding="utf-8"))
    assert sorted((grade(f), f.check, path_text(f.path)) for f in found) == sorted(
        (words[0], words[1], words[2]) for words in expected
    )
    for words in expected:
        finding = next(f for f in found if [f.check, path_text(f.path)] == words[1:3])
        check_details(finding, iter(words[3:]))


def check_details(finding: Finding, words: Iterator[str]) -> None:
    for word in words:
        if word == "meant":
            assert finding.suggestion is not None
            assert finding.suggestion.meant_unit == next(words)
        elif word == "enter":
            (here,) = [item for item in finding.recommendations if item.path == finding.path]
            assert here.enter == next(words)
        else:
            assert finding.confidence.value == word
    assert finding.location is not None
    assert finding.location.line > 1
    assert finding.message.endswith(".")
    assert finding.advice


def test_every_check_is_listed() -> None:
    """A public function of a family that takes a subject and yields findings is a check."""
    families = [import_module(f"{checks.__name__}.{m.name}") for m in iter_modules(checks.__path__)]
    written = {
        function
        for family in families
        for name, function in inspect.getmembers(family, inspect.isgeneratorfunction)
        if function.__module__ == family.__name__ and not name.startswith("_")
        if [*inspect.signature(function).parameters] == ["subject"]
    }
    assert written == set(CHECKS)


def test_every_check_has_a_case() -> None:
    expected = {
        words[1] for path in CASES for words in expectations(path.read_text(encoding="utf-8"))
    }
    # These need more, or less, than one profile; they have tests of their own.
    elsewhere = {*ABOUT_FILES, "rating-raised-over-shared", *REPOSITORY_CHECKS}
    assert set(DOCUMENTED) - elsewhere == expected - elsewhere

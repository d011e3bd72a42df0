"""The engine: crashes, skips, grades, acceptances, places, what an explanation would settle."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from fractions import Fraction

import pytest

from limitcheck.checking.file import check_file
from limitcheck.checking.results import Summary
from limitcheck.checks import CHECKS, Subject, check_name
from limitcheck.checks.documentation import DOCUMENTED
from limitcheck.checks.engine import CRASHED, check_profile
from limitcheck.findings import Finding, Severity
from limitcheck.policy import DEFAULT_POLICY, Margins, Policy
from limitcheck.profile.load import ProfileFile, load_bytes

TODAY = date(2026, 11, 25)
TEXT = """format = 1
[method]
id = "HM-RES-002"
[instrument]
id = "HM-LC-01"
pressure_unit = "bar"
[cutoffs]
high = 420
[expected]
low = 100
high = 150
[[flow_path]]
part = "pump"
rating = "400 bar"
[[flow_path]]
part = "column"
rating = "450 bar"
"""


def profile_file(text: str = TEXT) -> ProfileFile:
    return load_bytes(text.encode(), "harrow.toml")


def checks_of(findings: tuple[Finding, ...]) -> list[str]:
    return [finding.check for finding in findings]


def test_a_crash_is_a_finding_and_the_others_run() -> None:
    def breaks_down(subject: Subject) -> Iterator[Finding]:
        raise ZeroDivisionError("oh")

    report = check_file(profile_file(), DEFAULT_POLICY, TODAY, (breaks_down, *CHECKS))
    crashed = report.findings[0]
    assert crashed.check == CRASHED
    assert crashed.data == {"check": "breaks-down"}
    assert "high-cutoff-above-rating" in checks_of(report.findings)
    assert Summary.of([report]).exit_code(Severity.ERROR) == 3


def test_findings_have_places_and_related_places() -> None:
    report = check_file(profile_file(), DEFAULT_POLICY, TODAY)
    finding = next(f for f in report.findings if f.check == "high-cutoff-above-rating")
    assert finding.location is not None
    assert (finding.location.line, finding.location.column, finding.location.end_column) == (
        8,
        8,
        11,
    )
    assert finding.location.source_line == "high = 420"
    assert [r.location.line for r in finding.related if r.location] == [14]


def test_what_a_check_lacks_is_said() -> None:
    skipped = check_profile(profile_file().profile, DEFAULT_POLICY, TODAY).undecided
    reasons = {item.check: item.reason for item in skipped}
    assert reasons["entry-beyond-field"] == "no entry_max"
    assert "low-cutoff-margin-thin" not in reasons  # low-cutoff-off says it


def test_a_policy_grades_and_turns_off() -> None:
    policy = Policy(
        severities={"low-cutoff-off": Severity.ERROR, "high-cutoff-above-rating": None},
        source="limitcheck.toml",
    )
    found = check_profile(profile_file().profile, policy, TODAY)
    findings, skipped = found.findings, found.undecided
    assert next(f for f in findings if f.check == "low-cutoff-off").severity is Severity.ERROR
    assert "high-cutoff-above-rating" not in checks_of(findings)
    assert "turned off in limitcheck.toml" in {item.reason for item in skipped}


def test_margins_of_the_policy_hold() -> None:
    text = TEXT.replace("high = 420", "high = 160")
    strict = Policy(margins=Margins(high_thin=Fraction(5, 100)))
    assert "high-cutoff-margin-thin" in checks_of(
        check_profile(profile_file(text).profile, DEFAULT_POLICY, TODAY).findings
    )
    assert "high-cutoff-margin-thin" not in checks_of(
        check_profile(profile_file(text).profile, strict, TODAY).findings
    )


def test_an_acceptance_covers_one_place_or_all() -> None:
    accepted = (
        '[[accepted]]\ncheck = "high-cutoff-above-rating"\n'
        'reason = "relief valve"\nby = "method owner"\n'
    )
    report = check_file(profile_file(TEXT + accepted), DEFAULT_POLICY, TODAY)
    finding = next(f for f in report.findings if f.check == "high-cutoff-above-rating")
    assert finding.accepted is not None
    assert finding.accepted.reason == "relief valve"
    assert Summary.of([report]).accepted == 1
    elsewhere = TEXT + accepted + 'where = "cutoffs.low"\n'
    report = check_file(profile_file(elsewhere), DEFAULT_POLICY, TODAY)
    assert all(f.accepted is None for f in report.findings)
    assert "acceptance-unused" in checks_of(report.findings)


def test_an_acceptance_holds_on_its_last_day() -> None:
    accepted = (
        '[[accepted]]\ncheck = "low-cutoff-off"\nreason = "leak sensor"\n'
        'by = "method owner"\nuntil = 2026-11-25\n'
    )
    file = profile_file(TEXT + accepted)
    assert "acceptance-expired" not in checks_of(check_file(file, DEFAULT_POLICY, TODAY).findings)
    later = check_file(file, DEFAULT_POLICY, date(2026, 11, 26))
    assert "acceptance-expired" in checks_of(later.findings)


def test_an_explanation_lists_what_it_would_settle() -> None:
    report = check_file(
        profile_file(TEXT.replace("high = 420", "high = 19")), DEFAULT_POLICY, TODAY
    )
    confused = report.findings[0]
    assert confused.check == "unit-confusion"
    assert confused.data["explains"] == [["high-cutoff-below-expected", "cutoffs.high"]]


@pytest.mark.parametrize("name", DOCUMENTED)
def test_documentation_says_what_and_what_to_do(name: str) -> None:
    text = DOCUMENTED[name]
    for part in ("At the bench:", "Do:", "Source:"):
        assert part in text, f"{name} lacks {part}"


def test_names_are_plain_words() -> None:
    assert all(not any(c.isdigit() for c in check_name(check)) for check in CHECKS)
    assert len({check_name(check) for check in CHECKS}) == len(CHECKS)

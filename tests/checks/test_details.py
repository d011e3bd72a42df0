"""What findings carry beside their grade: words, related places, data, suggestions."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from limitcheck.checking.file import check_file, unreadable
from limitcheck.checking.results import FileReport, Summary
from limitcheck.checks import Subject
from limitcheck.findings import CRASHED, Acceptance, Finding, KeyPath, Severity
from limitcheck.policy import DEFAULT_POLICY, Policy
from limitcheck.profile.load import ProfileFile, load
from limitcheck.profile.text import UnreadableProfile
from tests.profiles_for_tests import profile_file

TODAY = date(2026, 11, 25)
CASES = sorted((Path(__file__).parents[1] / "cases").glob("*.toml"))
PUMP, COLUMN = ("flow_path", 0, "rating"), ("flow_path", 1, "rating")


def findings(file: ProfileFile) -> tuple[Finding, ...]:
    return check_file(file, DEFAULT_POLICY, TODAY).findings


def found(check: str, **values: str) -> Finding:
    return next(f for f in findings(profile_file(**values)) if f.check == check)


def exists(file: ProfileFile, path: KeyPath) -> bool:
    source = file.source
    return source.value_span(path) is not None or source.key_span(path) is not None


@pytest.mark.parametrize("case", CASES, ids=lambda path: path.stem)
def test_findings_of_every_case_are_whole(case: Path) -> None:
    """Sentences in plain words, and places that are in the file."""
    file = load(case)
    for finding in findings(file):
        for text in (finding.message, finding.advice):
            assert re.fullmatch(r"[A-Z\"`].*[.?)A-Za-z]", text, re.DOTALL), text
            assert "None" not in text
            assert text != text.upper()
        assert isinstance(finding.data, dict)
        assert exists(file, finding.path) or exists(file, finding.path[:-1]), finding.path
        for related in finding.related:
            assert exists(file, related.path), related.path
            assert re.fullmatch(r"[a-z].*[a-z0-9]|.* (bar|psi|MPa)|.*[a-z0-9.)]", related.message)
        for suggestion in (finding.suggestion, *finding.also):
            assert suggestion is None or (suggestion.enter and suggestion.unit)


def test_a_report_names_method_and_instrument() -> None:
    report = check_file(profile_file(high="500"), DEFAULT_POLICY, TODAY)
    assert (report.method, report.instrument, report.status) == (
        "KB-TEA-014",
        "KB-LC-03",
        "findings",
    )
    assert report.uses == ()
    skipped = {item.check for item in report.undecided}
    assert "expected-against-prediction" in skipped
    assert check_file(profile_file(), DEFAULT_POLICY, TODAY).status == "ok"


def test_every_rating_the_cutoff_passes_is_named() -> None:
    two = found("high-cutoff-above-rating", high="500")
    assert [(r.path, r.message) for r in two.related] == [
        (PUMP, "pump is rated 400 bar"),
        (COLUMN, "column is rated 450 bar"),
    ]
    assert two.data == {"parts": ["flow_path[1].rating", "flow_path[2].rating"]}
    assert "100 bar above the rating of the pump" in two.message
    assert "rating of the column, 450 bar, too" in two.message
    hair = found("high-cutoff-above-rating", high="400.00001")
    assert "(5801.5097 psi, 40.000001 MPa)" in hair.message
    assert "400 bar (5801.5095 psi, 40 MPa)" in hair.message
    assert hair.data == {"parts": ["flow_path[1].rating"]}


def test_an_absent_cutoff_and_a_zero_one() -> None:
    assert found("high-cutoff-missing", high="0").message.startswith("The high cutoff is 0 bar")
    absent = found("high-cutoff-missing", high="")
    assert absent.message.startswith("There is no high cutoff")


def test_the_field_of_the_instrument() -> None:
    field = "1\nentry_max = 600"
    high = found("entry-beyond-field", high="900", step=field)
    assert [item.text for item in high.recommendations] == ["high = 250 (bar)"]
    low = found("entry-beyond-field", low="700", step=field)
    assert [item.text for item in low.recommendations] == ["low = 60 (bar)"]
    step = found("entry-not-storable", high="250.5")
    assert [(r.path, r.message) for r in step.related] == [
        (("instrument", "display_step"), "the display step")
    ]
    assert "will keep 250 or 251" in step.message


def test_frits() -> None:
    column = '"450 bar"\nparticle_size = "1.7 um"\ninlet_frit = "2 um"\noutlet_frit = "2 um"'
    outlet, inlet = [f for f in findings(profile_file(column=column)) if f.check.startswith("frit")]
    assert "packing passes through it" in outlet.message
    assert "the bed is lost when the column is reversed" in inlet.message


def test_a_high_cutoff_under_one_step_is_not_rounded_to_off() -> None:
    finding = found("entry-not-storable", high="0.5")
    assert finding.suggestion is None
    assert finding.advice == "Do not enter 0, which switches it off."
    assert [item.text for item in finding.recommendations] == ["high = 250 (bar)"]


def test_a_rule_of_thumb_explains_the_breach() -> None:
    over = found(
        "rule-of-thumb-conversion",
        unit='"psi"',
        high="6000",
        expected_low='"120 bar"',
        expected_high='"250 bar"',
    )
    assert ["high-cutoff-above-rating", "cutoffs.high"] in over.data["explains"]
    assert [item.enter for item in over.recommendations] == ["5801"]
    assert "by the rule 15 psi to the bar" in over.message


def test_a_rating_out_of_range_names_the_unit_that_would_be_usual() -> None:
    one = found("rating-implausible", high="0", low="0", pump='"58000 bar"')
    assert "58000 kPa would be usual" in one.message


def test_the_near_unit_is_named_in_words() -> None:
    finding = found(
        "unit-confusion",
        unit='"MPa"',
        step="0.1",
        low="6",
        high="250",
        expected_low="12",
        expected_high="20",
    )
    assert "(kgf/cm2 would fit as well: 2 % apart)" in finding.message
    assert finding.data["meant_unit"] == "bar"


def test_at_the_limit_itself() -> None:
    checks = {f.check for f in findings(profile_file(expected_high="400", high="440"))}
    assert "expected-above-rating" not in checks
    thin = {f.check for f in findings(profile_file(low="102"))}
    assert "low-cutoff-margin-thin" not in thin  # 85 % of 120 bar, not over
    assert "low-cutoff-margin-thin" in {f.check for f in findings(profile_file(low="103"))}


def test_shares_in_words() -> None:
    assert "is 150 % above" in found("high-cutoff-margin-wide", high="500").message
    assert "5.0 times" in found("high-cutoff-margin-wide", high="1000").message
    low = found("low-cutoff-margin-wide", low="5")
    assert "4.17 % of the expected minimum 120 bar" in low.message


def test_codes_and_counts_of_a_run() -> None:
    def report(status: str, *findings: Finding) -> FileReport:
        return FileReport("a.toml", None, None, None, status, findings)

    def codes(*reports: FileReport) -> list[int]:
        """Where a policy fails on errors, warnings, notes, nothing."""
        policies = [Policy(fail_on=grade) for grade in (*Severity, "never")]
        return [Summary.of(r._replace(policy=p) for r in reports).exit_code for p in policies]

    error = found("high-cutoff-missing", high="0")
    warning = error._replace(severity=Severity.WARNING)
    crash = error._replace(check=CRASHED)
    known, accepted = error._replace(known=True), error._replace(accepted=Acceptance("r", "b"))
    assert Summary.of([]) == Summary()
    counted = Summary.of([report("findings", error, warning, known, accepted)], skipped=2)
    assert counted == Summary(
        profiles=1, skipped=2, errors=1, warnings=1, accepted=1, known=1, failing=1
    )
    note = error._replace(severity=Severity.NOTE)
    unread, crashed = report("unreadable", error), report("findings", crash)
    assert codes() == [0, 0, 0, 0]
    assert codes(report("findings", warning)) == [0, 1, 1, 0]
    assert codes(report("findings", note)) == [0, 0, 1, 0]
    assert codes(report("findings", error)) == [1, 1, 1, 0]
    assert codes(report("findings", known, accepted)) == [0, 0, 0, 0]
    assert codes(unread, report("ok")) == [2, 2, 2, 2]
    assert codes(unread, crashed) == [3, 3, 3, 3]


def test_an_unreadable_file_and_a_crash_say_so() -> None:
    with pytest.raises(UnreadableProfile) as refused:
        profile_file(pump='"400"')
    report = unreadable(refused.value, DEFAULT_POLICY)
    assert (report.status, report.sha256, report.method) == ("unreadable", None, None)

    def broken(subject: Subject) -> Iterator[Finding]:
        raise ZeroDivisionError("by nought")
        yield

    crashed = check_file(profile_file(), DEFAULT_POLICY, TODAY, [broken]).findings[0]
    assert crashed.message == (
        "The check broken failed on this profile: ZeroDivisionError: by nought. The other "
        "checks ran."
    )
    assert crashed.data == {"check": "broken"}


def test_proposed_cutoffs_name_their_place() -> None:
    (low,) = found("low-cutoff-off", low="0").recommendations
    (high,) = found("high-cutoff-missing", high="0").recommendations
    assert (low.path, low.text, low.basis) == (("cutoffs", "low"), "low = 60 (bar)", "proposal")
    assert (high.path, high.text) == (("cutoffs", "high"), "high = 250 (bar)")
    assert not low.may_be_written


def test_an_acceptance_shows_until_when() -> None:
    until = (
        '\n\n[[accepted]]\ncheck = "low-cutoff-off"\nat = "cutoffs.low"\nvalue = "off"\n'
        'reason = "r"\nby = "b"\nuntil = 2027-06-30'
    )
    accepted = found("low-cutoff-off", low="0", column=f'"450 bar"{until}').accepted
    assert accepted == Acceptance("r", "b", date(2027, 6, 30))


def test_a_run_that_is_passed_by_several_ratings_counts_them() -> None:
    cell = '"450 bar"\n\n[[flow_path]]\npart = "guard column"\nrating = "420 bar"'
    column = '\n\n[[flow_path]]\npart = "column"\nrating = "430 bar"'
    three = found("high-cutoff-above-rating", high="500", column=cell + column)
    assert three.data == {"parts": [f"flow_path[{n}].rating" for n in (1, 3, 4, 2)]}
    assert len(three.related) == 4

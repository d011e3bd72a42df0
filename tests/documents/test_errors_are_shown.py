"""An error stands as an error in every output: it is never told only below something lesser."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from limitcheck.checking.entry import ask
from limitcheck.checking.file import check_file
from limitcheck.checking.results import FileReport, folded_findings, weight
from limitcheck.checking.run import finish
from limitcheck.documents.entry import entry_document
from limitcheck.documents.findings import finding_blocks
from limitcheck.documents.profile import Checked, profile_document
from limitcheck.findings import Finding, Severity
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import ProfileFile, load_bytes
from limitcheck.profile.write import dump_profile
from limitcheck.render.html import render as render_html
from limitcheck.render.markdown import render as render_markdown
from limitcheck.render.run_text import FORMS
from limitcheck.render.screen import Screen
from limitcheck.render.text import render as render_text
from limitcheck.transfer.decision import reasons_of_findings
from tests.detection.generator import generate
from tests.profiles_for_tests import profile_file

TODAY = date(2026, 11, 27)
WIDE = Screen(width=10_000)
HEAD = r"(error|warning|note|accepted|known): ([a-z-]+)"
REMOVES = "Correcting this also removes: "


@st.composite
def profiles(draw: st.DrawFn) -> ProfileFile:
    """A realistic profile; its numbers are near a rating, or any, and finer than the display."""
    document = json.loads(
        json.dumps(generate(9, draw(st.integers(0, 200))).document, default=float)
    )
    unit = f" {document['instrument']['pressure_unit']}"
    ratings = [part["rating"] for part in document["flow_path"] if "rating" in part]
    own = [float(text.removesuffix(unit)) for text in ratings if text.endswith(unit)]
    document["instrument"].setdefault("display_step", 1)
    high = ("cutoffs", "high")
    others = [("cutoffs", "low"), ("expected", "low"), ("expected", "high")]
    for table, key in {high, draw(st.sampled_from([high, high, *others]))}:
        if key in document.get(table, {}):
            near = draw(st.sampled_from([min(own, default=400), *own, 0, 60, 5800]))
            document[table][key] = near + draw(st.sampled_from([0.5, 0.25, 0, 1, 7]))
    return load_bytes(dump_profile(document).encode(), "any.toml")


def errors(findings: tuple[Finding, ...]) -> set[str]:
    return {f.check for f in findings if weight(f) == Severity.ERROR.rank}


def told_as_errors(text: str, head: str) -> set[str]:
    """The checks under the heads of errors, and those that their blocks name as removed with it."""
    found: set[str] = set()
    grade = ""
    for line in text.splitlines():
        if (headed := re.search(head, line)) is not None:
            grade = headed[1]
            found |= {headed[2]} if grade == "error" else set()
        found |= removed(line) if grade == "error" else set()
    return found


def outputs(file: ProfileFile, report: FileReport) -> Iterator[tuple[str, set[str]]]:
    """What each output tells as an error."""
    run = finish([report])
    for name in ("full", "verbose", "quiet"):
        yield (name, told_as_errors("".join(FORMS[name](run, WIDE)), r"^\S+: " + HEAD))
    document = profile_document([Checked(file, report, DEFAULT_POLICY)], TODAY)
    yield ("report as text", told_as_errors(render_text(document, WIDE), r"^ *\S+: " + HEAD))
    markdown = render_markdown(document)
    yield ("markdown", told_as_errors(markdown, r"^\*\*" + HEAD))
    articles = re.findall(r'<article class="finding (\w+)"', render_html(document))
    boxes = [b for b in finding_blocks(report.findings) if b.grade == "error"]
    assert articles.count("error") == len(boxes)
    sending = [
        reason.text for reason in reasons_of_findings(file, DEFAULT_POLICY, TODAY, "sending")
    ]
    broken = {text.partition(" ")[0] for text in sending}
    yield "transfer", broken.union(*(removed(line) for box in boxes for line in box.remarks))


def removed(line: str) -> set[str]:
    """The checks that a finding says its correction removes."""
    return set(re.findall(r"[a-z]+(?:-[a-z]+)+", line.partition(REMOVES)[2]))


def entered(file: ProfileFile, number: str) -> None:
    answer = ask(file.profile, number, "high", DEFAULT_POLICY, TODAY)
    told = render_text(entry_document(answer, TODAY), WIDE)
    assert errors(answer.findings) <= told_as_errors(told, r"^ *\S+: " + HEAD)


@settings(max_examples=40, deadline=None)
@given(profiles())
def test_every_error_is_told_as_an_error(file: ProfileFile) -> None:
    report = check_file(file, DEFAULT_POLICY, TODAY)
    for name, told in outputs(file, report):
        assert errors(report.findings) <= told, name
    by_id = {id(finding): finding for finding in report.findings}
    for first, others in folded_findings(report.findings).items():
        assert all(weight(by_id[first]) <= weight(other) for other in others)
    if file.profile.cutoffs.high is not None:
        entered(file, str(file.profile.cutoffs.high))


@pytest.mark.parametrize("high", ["400.5", "400.0000000000000000001"])
def test_a_cutoff_a_hair_above_a_rating_and_finer_than_the_display(high: str) -> None:
    file = profile_file(high=high)
    report = check_file(file, DEFAULT_POLICY, TODAY)
    assert "high-cutoff-above-rating" in errors(report.findings)
    for name, told in outputs(file, report):
        assert "high-cutoff-above-rating" in told, name
    entered(profile_file(), high)

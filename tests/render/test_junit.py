from __future__ import annotations

from xml.etree import ElementTree

from hypothesis import given, settings
from hypothesis import strategies as st

from limitcheck.checking.run import check_content
from limitcheck.findings import Severity
from limitcheck.policy import Policy
from limitcheck.render.junit import _printable, render

from .runs import ACCEPTED, DAY, GOOD, HIGH_PSI, LOW_OFF, UNREADABLE, run_in, run_of


def suites_of(run):
    return ElementTree.fromstring("".join(render(run))).findall("testsuite")


def kinds(suite):
    return [[child.tag for child in case] for case in suite.findall("testcase")]


def test_one_suite_a_file_with_its_counts(tmp_path):
    run = run_in(tmp_path, {"a.toml": GOOD, "b.toml": HIGH_PSI, "c.toml": UNREADABLE})
    good, high, unreadable = suites_of(run)
    assert [good.get(k) for k in ("tests", "failures", "errors", "skipped")] == ["1", "0", "0", "0"]
    assert kinds(good) == [[]]
    assert int(high.get("failures")) == kinds(high).count(["failure"]) == 3
    assert int(high.get("tests")) == len(kinds(high)) == 5
    assert kinds(unreadable) == [["error"]]
    assert unreadable.get("errors") == "1"


def test_what_fails_is_what_fails_the_run():
    assert kinds(*suites_of(run_of(LOW_OFF))) == [["system-out"]]
    strict = Policy(fail_on=Severity.WARNING)
    run = check_content(LOW_OFF.encode(), "tea.toml", strict, DAY)
    assert kinds(*suites_of(run)) == [["failure"]]
    assert run.exit_code == 1


def test_an_accepted_finding_is_skipped_with_its_reason():
    (suite,) = suites_of(run_of(ACCEPTED))
    (skipped,) = suite.iter("skipped")
    assert "leak sensor in the drip tray" in skipped.get("message")


def test_control_characters_in_a_file_name_are_replaced():
    (suite,) = suites_of(run_of(GOOD, 'a\x00\x1b<&">\ufffe.toml'))
    assert suite.get("name") == 'a\ufffd\ufffd<&">\ufffd.toml'


@settings(max_examples=60)
@given(st.text())
def test_any_text_is_made_fit_for_xml(text):
    body = _printable(text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    ElementTree.fromstring(f"<a>{body}</a>")

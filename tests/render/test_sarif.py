from __future__ import annotations

import json
from pathlib import Path
from urllib.parse import unquote

import pytest
from jsonschema import Draft4Validator

from limitcheck.checking.known import entries_of, known_text, parse_known, with_known
from limitcheck.findings import Confidence
from limitcheck.render.sarif import render
from tests.profiles_for_tests import CERTAIN, text

from ..needs import need
from .runs import ACCEPTED, GOOD, HIGH_PSI, LOW_OFF, NOT_STORABLE, UNREADABLE, run_in, run_of

SCHEMA_FILE = Path(__file__).parents[3] / "shared/reference/sarif-schema-2.1.0.json"
ALL = [GOOD, HIGH_PSI, NOT_STORABLE, ACCEPTED, UNREADABLE, "format ="]


def log_of(run):
    return json.loads("".join(render(run)))


def results_of(run):
    return log_of(run)["runs"][0]["results"]


@pytest.fixture(scope="module")
def oasis():
    """The schema of the standard: OASIS SARIF 2.1.0 (oasis-tcs/sarif-spec)."""
    need(SCHEMA_FILE.exists(), f"{SCHEMA_FILE} is absent")
    return Draft4Validator(json.loads(SCHEMA_FILE.read_text("utf-8")))


@pytest.mark.parametrize("text", ALL)
def test_valid_against_the_oasis_schema(oasis, text):
    assert [error.message for error in oasis.iter_errors(log_of(run_of(text)))] == []


def test_the_oasis_schema_refuses_a_wrong_log(oasis):
    log = log_of(run_of(HIGH_PSI))
    log["runs"][0]["results"][0]["level"] = "bad"
    assert list(oasis.iter_errors(log))


@pytest.mark.parametrize("text", [HIGH_PSI, NOT_STORABLE, UNREADABLE])
def test_every_result_has_a_rule_with_help_and_a_region(text):
    run = log_of(run_of(text))["runs"][0]
    assert run["columnKind"] == "unicodeCodePoints"
    rules = run["tool"]["driver"]["rules"]
    for result in run["results"]:
        rule = rules[result["ruleIndex"]]
        assert rule["id"] == result["ruleId"]
        assert "Do:" in rule["help"]["text"]
        assert result["suppressions"] == []
        (location,) = result["locations"]
        region = location["physicalLocation"]["region"]
        assert (region["startLine"], region["startColumn"]) < (
            region["endLine"],
            region["endColumn"],
        )


def test_the_region_is_the_value_in_code_points(tmp_path):
    text = NOT_STORABLE.replace("[cutoffs]\nhigh =", '[cutoffs]\n"high"=')
    text = "# \U0001f9ea Küste\n" + text
    (result,) = results_of(run_in(tmp_path, {"é.toml": text}))
    region = result["locations"][0]["physicalLocation"]["region"]
    line = text.splitlines()[region["startLine"] - 1]
    assert line[region["startColumn"] - 1 : region["endColumn"] - 1] == "110.5"
    uri = result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]
    assert uri.isascii()
    assert unquote(uri).endswith("é.toml")


def test_paths_are_from_the_current_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (result,) = results_of(run_in(tmp_path, {"tea.toml": NOT_STORABLE}))
    file = result["locations"][0]["physicalLocation"]["artifactLocation"]
    assert file["uri"] == "tea.toml"


def test_an_accepted_finding_is_suppressed_in_source_with_its_reason():
    (result,) = results_of(run_of(ACCEPTED))
    (suppression,) = result["suppressions"]
    assert suppression["kind"] == "inSource"
    assert "leak sensor in the drip tray" in suppression["justification"]
    assert "method owner" in suppression["justification"]


def test_a_known_finding_is_suppressed_outside(tmp_path):
    run = run_in(tmp_path, {"tea.toml": LOW_OFF})
    known = parse_known(known_text(list(entries_of(run, tmp_path))))
    (result,) = results_of(with_known(run, known, tmp_path))
    assert [s["kind"] for s in result["suppressions"]] == ["external"]


def apply(fix, text):
    """The text with every replacement of a fix applied, the last first."""
    (change,) = fix["artifactChanges"]
    lines = text.splitlines(keepends=True)
    for replacement in sorted(
        change["replacements"], key=lambda r: r["deletedRegion"]["startLine"], reverse=True
    ):
        region = replacement["deletedRegion"]
        line = lines[region["startLine"] - 1]
        lines[region["startLine"] - 1] = (
            line[: region["startColumn"] - 1]
            + replacement["insertedContent"]["text"]
            + line[region["endColumn"] - 1 :]
        )
    return "".join(lines)


@pytest.mark.parametrize("value", ["400", '"400 bar"'])
def test_an_applied_fix_settles_its_finding(value):
    """5800 psi is 399.9 bar: 400 bar is that rating, converted and rounded up past it."""
    over = text(high=f"{value}  # kept", pump='"5800 psi"', expected_high="210")
    fixes = [fix for result in results_of(run_of(over)) for fix in result.get("fixes", ())]
    mended = apply(fixes[0], over)
    assert "399" in mended
    assert "# kept" in mended
    assert results_of(run_of(mended)) == []


def test_no_fix_where_there_is_no_value_to_replace():
    text = LOW_OFF.replace("low = 0\n", "", 1)
    (result,) = results_of(run_of(text))
    assert result["ruleId"] == "low-cutoff-off"
    assert "fixes" not in result


def test_no_fix_for_what_is_not_certain():
    text = GOOD.replace('rating = "400 bar"', 'rating = "400 psi"', 1)
    run = run_of(text)
    unsure = [
        finding.check
        for report in run.reports
        for finding in report.findings
        if finding.suggestion and finding.confidence is not Confidence.CERTAIN
    ]
    assert unsure
    assert not any("fixes" in r for r in results_of(run) if r["ruleId"] in unsure)


def test_the_fix_of_a_wrong_unit_settles_the_file():
    wrong = text(**CERTAIN)
    (fix,) = [r["fixes"][0] for r in results_of(run_of(wrong)) if r["ruleId"] == "unit-confusion"]
    assert results_of(run_of(apply(fix, wrong))) == []


def test_no_fix_where_the_value_is_a_table_over_several_lines():
    """`rating-missing` names a whole part."""
    text = GOOD.replace('label = "column inlet"\nrating = "345 bar"', 'label = "column inlet"')
    (result,) = results_of(run_of(text))
    assert result["ruleId"] == "rating-missing"
    assert "fixes" not in result
    names = [place["fullyQualifiedName"] for place in result["locations"][0]["logicalLocations"]]
    assert names == ["flow_path[4]"]

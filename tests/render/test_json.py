from __future__ import annotations

import json

import pytest
from jsonschema import Draft202012Validator

from limitcheck.checking.known import entries_of, known_text, parse_known, with_known
from limitcheck.render.run_json import render
from limitcheck.schemas import command_schema

from .runs import ACCEPTED, GOOD, HIGH_PSI, LOW_OFF, NOT_STORABLE, UNREADABLE, run_in, run_of

SCHEMA = json.loads(command_schema("check"))


def violations(text):
    return [error.message for error in Draft202012Validator(SCHEMA).iter_errors(json.loads(text))]


def test_the_schema_is_one():
    Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("text", [GOOD, HIGH_PSI, NOT_STORABLE, ACCEPTED, UNREADABLE, "format ="])
def test_output_keeps_to_the_schema(text):
    assert violations("".join(render(run_of(text)))) == []


def test_known_and_stale_keep_to_the_schema(tmp_path):
    before = run_in(tmp_path, {"a.toml": HIGH_PSI, "b.toml": LOW_OFF})
    known = parse_known(known_text(list(entries_of(before, tmp_path))))
    after = with_known(run_in(tmp_path, {"a.toml": HIGH_PSI, "b.toml": GOOD}), known, tmp_path)
    text = "".join(render(after))
    assert violations(text) == []
    document = json.loads(text)
    assert [entry["check"] for entry in document["stale_known"]] == ["low-cutoff-off"]
    assert all(f["known"] for profile in document["profiles"] for f in profile["findings"])


@pytest.mark.parametrize(
    "damage", [{"format": 2}, {"summary": {}}, {"extra": 1}, {"profiles": [{"path": "a.toml"}]}]
)
def test_the_schema_refuses_what_is_no_output(damage):
    document = json.loads("".join(render(run_of(HIGH_PSI))))
    assert violations(json.dumps(document | damage))


def test_one_line_a_profile(tmp_path):
    lines = "".join(render(run_in(tmp_path, {"a.toml": GOOD, "b.toml": LOW_OFF}))).splitlines()
    assert [json.loads(line.rstrip(","))["status"] for line in lines if '"sha256"' in line] == [
        "ok",
        "findings",
    ]

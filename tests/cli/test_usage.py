"""What is typed that cannot be used, and what is said of it."""

from __future__ import annotations

import json
import re

import pytest
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]

from limitcheck.checks.documentation import DOCUMENTED
from limitcheck.cli.app import COMMANDS, run
from limitcheck.schemas import command_schema, with_schema


def test_zero_is_converted(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["convert", "0 bar", "--to", "psi"]) == 0
    assert capsys.readouterr().out == "0 bar = 0 psi\n"


@pytest.mark.parametrize("command", ["convert", "entry", "reading"])
def test_a_number_below_zero_is_no_option(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([command, "-5"]) == 2
    err = capsys.readouterr().err
    assert err == "-5 is below zero\n  Do: write the number as displayed, without a sign\n"


def test_what_is_said_of_an_argument_fits_80_columns(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["explain", "no such check, " * 10]) == 2
    err = capsys.readouterr().err
    assert "  Do: " in err
    assert max(map(len, err.splitlines())) <= 80


@pytest.mark.parametrize("check", DOCUMENTED)
def test_every_explanation_fits_80_columns(check: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["explain", check]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert max(map(len, lines)) <= 80
    assert lines[0].startswith(f"{check}: ")
    starts = [
        line.partition(":")[0] for line in lines if re.match("At the bench:|Do:|Source:", line)
    ]
    assert starts == ["Do", "At the bench", "Source"]


def test_explanations_are_as_their_schema_says(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["explain", "--format", "json"]) == 0
    given = json.loads(capsys.readouterr().out)
    Draft202012Validator(json.loads(command_schema("explain"))).validate(given)
    assert [told["check"] for told in given["checks"]] == list(DOCUMENTED)


@pytest.mark.parametrize("name", with_schema())
def test_the_schema_of_a_command_is_printed(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert name in {
        "settings",
        "verify",
        "agreed",
        "state",
        *(entry.name for entry in COMMANDS),
    }  # options of commands
    assert run(["schema", name]) == 0
    schema = json.loads(capsys.readouterr().out)
    Draft202012Validator.check_schema(schema)
    assert '"format": {"const": 1' in json.dumps(schema)


def test_a_schema_that_is_not_there_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["schema", "colours"]) == 2
    assert "Do: write profile, agreed, baseline," in capsys.readouterr().err

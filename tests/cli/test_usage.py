"""What is typed that cannot be used, and what is said of it."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
import typer
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]

from limitcheck.checks.documentation import DOCUMENTED
from limitcheck.cli.app import COMMANDS, CommandTable, app, run
from limitcheck.schemas import command_schema, with_schema


def test_zero_is_converted(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["convert", "0 bar", "--to", "psi"]) == 0
    assert capsys.readouterr().out == "0 bar = 0 psi\n"


@pytest.mark.parametrize("command", ["convert", "entry", "reading"])
def test_a_number_below_zero_is_no_option(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([command, "-5"]) == 2
    err = capsys.readouterr().err
    assert err == "-5 is below zero\n  Do: write the number as displayed, without a sign\n"


@pytest.mark.parametrize("command", ["convert", "entry", "reading"])
@pytest.mark.parametrize("number", ["-0x10 bar", "-0x10", "-12 bar", "-1e3", "-5bar", "-0.5 psi"])
def test_a_number_below_zero_is_named_as_written(
    command: str, number: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([command, number]) == 2
    assert capsys.readouterr().err.startswith(f"{number} is below zero\n")


def test_zero_with_a_sign_is_not_below_zero(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["convert", "-0.0 bar"]) == 2
    assert capsys.readouterr().err.startswith("-0.0 bar has a sign\n  Do: write the number")


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


def once_only() -> list[tuple[str, str]]:
    """Every option of every command that is read once."""
    table = typer.main.get_command(app)
    assert isinstance(table, CommandTable)
    return [
        (entry.name, option.opts[0])
        for entry in COMMANDS
        for option in table.get_command(None, entry.name).params
        if option.param_type_name == "option" and not (option.multiple or option.is_flag)
    ]


@pytest.mark.parametrize(("command", "option"), once_only())
def test_an_option_given_twice_is_refused(
    command: str, option: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Whichever of the two the parser keeps, what was asked for would be dropped unseen."""
    table = typer.main.get_command(app)
    assert isinstance(table, CommandTable)
    params = table.get_command(None, command).params
    given = [command]
    for other in params:
        if not other.required:
            continue
        if other.param_type_name != "option":
            given.append("x")
        elif other.opts[0] != option:
            given += [other.opts[0], "x"]
    value = "auto" if option == "--color" else "1"
    assert run([*given, option, value, f"{option}={value}"]) == 2
    assert capsys.readouterr() == (
        "",
        f"{option} is given twice\n  Do: give {option} once, as it is meant\n",
    )


def test_a_plain_flag_given_twice_says_the_same(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["new", "--list", "--list"]) == 0
    assert run(["reading", "5", "--profile", "x", "--leak-seen", "--no-leak-seen"]) == 2
    assert "--leak-seen or --no-leak-seen is given twice" in capsys.readouterr().err


def test_conditions_given_apart_hold_together(
    tea: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As --reading and --normal may be repeated, so may --at."""
    flow, percent = "flow=0.8 mL/min", "percent-b=46.5"
    for command in (
        ["predict", str(tea)],
        ["reading", "400", "--profile", str(tea)],
        ["isolate", str(tea), "--reading", "all=300"],
    ):
        code = run([*command, "--at", f"{flow},{percent}"])
        told = capsys.readouterr()
        assert run([*command, "--at", flow, "--at", percent]) == code
        assert capsys.readouterr() == told
        assert flow in told.out
        assert percent in told.out
        for pair in ((flow, flow), (flow, ""), ("flow=0", "8 mL/min")):
            assert run([*command, "--at", pair[0], "--at", pair[1]]) == 2
            assert "--at" in capsys.readouterr().err


@pytest.mark.parametrize("columns", [60, 67, 80])
def test_help_breaks_no_name_of_an_option(
    columns: int, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    for command in ("", *(entry.name for entry in COMMANDS)):
        assert run([*filter(None, [command]), "--help"]) == 0
        out = capsys.readouterr().out
        assert out.isascii(), command
        for line in out.splitlines():
            assert not re.search(r"\w-$", line), line
            example = "Example:" in line or "limitcheck" in line or line.startswith("      ")
            assert len(line) <= columns or example, line

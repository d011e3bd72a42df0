"""Every JSON output keeps to its published schema, in which no other key is allowed."""

from __future__ import annotations

import json
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator, FormatChecker

from limitcheck.cli.app import run
from tests.profiles_for_tests import profile_file

ROOT = Path(__file__).parents[2]
TRANSFER, STARTING = ROOT / "examples/transfer", ROOT / "profiles"
SENDING = TRANSFER / "kestrel-bay.toml"
INSTRUMENTS = [f"--on={path}" for path in sorted((TRANSFER / "instruments").glob("*.toml"))]
SCHEMAS = {
    path.name.partition(".")[0]: json.loads(path.read_text("utf-8"))
    for path in files("limitcheck").joinpath("schemas").iterdir()
    if path.name.endswith(".schema.json")
}
COMMANDS = ("propose", "predict", "faults", "fit", "transfer", "convert")


@pytest.fixture(scope="module")
def no_room(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Under a policy: no safe high cutoff, no ambient temperature, no low cutoff."""
    path = tmp_path_factory.mktemp("schemas") / "no-room.toml"
    (path.parent / "limitcheck.toml").write_text('[severity]\nfault-unseen = "warning"\n', "utf-8")
    path.write_text(profile_file(high="390", low="", expected_high="380").text, "utf-8")
    return str(path)


RUNS = {
    "propose": [
        [str(STARTING)],
        [str(ROOT / "examples/units")],
        [str(ROOT / "examples/cutoffs")],
        ["NO ROOM"],
    ],
    "predict": [
        [str(STARTING / "gradient-water-methanol.toml")],
        [str(STARTING / "bio-inert-glass-column.toml")],
        [str(SENDING), "--at", "flow=1 mL/min,percent-b=10"],
        [str(SENDING), "--calibrate", "300 bar"],
        [str(ROOT / "tests/cases/measured-agree.toml")],
        [str(ROOT / "tests/cases/measured-one-unusable.toml")],
    ],
    "faults": [
        [str(STARTING / "gradient-water-methanol.toml")],
        [str(STARTING / "bio-inert-glass-column.toml")],
        ["NO ROOM"],
        [str(ROOT / "tests/cases/fault-unseen-at-its-own-flow.toml")],
        [str(ROOT / "tests/cases/rating-derated-beyond-table.toml")],
        [str(ROOT / "tests/cases/two-pairs-at-one-flow-apart.toml")],
    ],
    "fit": [[str(SENDING), *INSTRUMENTS], ["NO ROOM", str(STARTING), *INSTRUMENTS]],
    "transfer": [
        *([str(SENDING), str(path)] for path in sorted(TRANSFER.glob("harrow-mill*.toml"))),
        [str(SENDING), str(STARTING / "gradient-water-methanol.toml")],
        [str(STARTING / "gradient-water-methanol.toml"), "NO ROOM"],
        ["NO ROOM", str(SENDING)],
    ],
    "convert": [
        ["6000 psi"],
        ["0 bar"],
        ["760 torr", "--to", "kgf/cm2", "--to", "atm"],
        ["5,8e3 lb/in2", "--to", "bar", "--as", "high"],
    ],
}


def output(
    command: str, arguments: list[str], no_room: str, capsys: pytest.CaptureFixture[str]
) -> Any:
    given = [no_room if argument == "NO ROOM" else argument for argument in arguments]
    assert run([command, *given, "--format", "json"]) in (0, 1)
    return json.loads(capsys.readouterr().out)


def violations(command: str, data: Any) -> list[str]:
    validator = Draft202012Validator(SCHEMAS[command], format_checker=FormatChecker())
    return [f"{error.json_path}: {error.message}" for error in validator.iter_errors(data)]


@pytest.mark.parametrize("command", COMMANDS)
def test_outputs_keep_to_the_schema(
    command: str, no_room: str, capsys: pytest.CaptureFixture[str]
) -> None:
    seen = set()
    for arguments in RUNS[command]:
        data = output(command, arguments, no_room, capsys)
        assert violations(command, data) == [], arguments
        seen |= set(keys(data))
    # Nothing is promised that never comes.
    assert set(keys(SCHEMAS[command], "properties")) - seen <= SELDOM.get(command, set())


SELDOM = {
    "transfer": {"reason", "by", "until", "of_this_build", "cell"},
    "propose": {
        *("exclude", "same_as", "pattern", "policy"),
        *("sha256_before", "values", "was", "now", "mistaken"),
    },
    "fit": {"settings", "default", "from", "text", "exclude", "same_as", "pattern", "policy"},
}
"""Keys that these runs do not have: acceptances, a qualification record; a policy over the
instruments, files skipped (tests/gates/test_selection.py has them); what --write put into a file
(tests/cli/test_propose.py)."""


def keys(data: Any, below: str | None = None) -> Iterator[str]:
    """Every key in some data; or every key below one of that name, as a schema has them."""
    if isinstance(data, dict):
        for key, value in data.items():
            if below is None:
                yield key
            elif key == below:
                yield from value
            yield from keys(value, below)
    elif isinstance(data, list):
        for item in data:
            yield from keys(item, below)


@pytest.mark.parametrize("command", COMMANDS)
def test_another_key_or_form_is_refused(
    command: str, no_room: str, capsys: pytest.CaptureFixture[str]
) -> None:
    data = output(command, RUNS[command][0], no_room, capsys)
    places = list(objects(data))
    assert len(places) > 3
    for place in places:
        place["another"] = 1
        assert violations(command, data), place
        del place["another"]
    pressure = next(place for place in places if set(place) == {"value", "unit", "pascal"})
    for wrong in (4.5, "4,5", "1e5", ""):
        value, pressure["value"] = pressure["value"], wrong
        assert violations(command, data), wrong
        pressure["value"] = value


def objects(data: Any) -> Iterator[dict[str, Any]]:
    """Every object, but the figures of a check, which are the check's own."""
    if isinstance(data, dict):
        yield data
        for key, value in data.items():
            if key != "data":
                yield from objects(value)
    elif isinstance(data, list):
        for item in data:
            yield from objects(item)


@pytest.mark.parametrize("command", sorted(SCHEMAS))
def test_each_is_a_schema(command: str) -> None:
    Draft202012Validator.check_schema(SCHEMAS[command])
    called = {
        "settings": "check --settings --format json",
        "verify": "transfer --verify --format json",
        "agreed": "baseline --state --format json",
        "state": "baseline --state FILE",
    }.get(command, f"{command} --format json")
    assert SCHEMAS[command]["title"] == f"limitcheck {called}"


@pytest.mark.parametrize(
    "name", ["pressure", "exact", "finding", "recommendation", "key_path", "sha256"]
)
def test_what_several_commands_give_is_described_once(name: str) -> None:
    described = [s["$defs"][name] for s in SCHEMAS.values() if name in s.get("$defs", {})]
    assert len(described) > 1
    assert all(description == described[0] for description in described)

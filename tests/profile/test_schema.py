"""The JSON Schema and the models give one verdict on the structure of a profile."""

from __future__ import annotations

import json
import tomllib
from copy import deepcopy
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]
from pydantic import ValidationError

from limitcheck.cli.app import run
from limitcheck.profile import schema
from limitcheck.profile.model import validate_profile

FILE = Path(schema.__file__).with_name("profile.schema.json")
SCHEMA = json.loads(FILE.read_text("utf-8"))
VALIDATOR = Draft202012Validator(SCHEMA, format_checker=Draft202012Validator.FORMAT_CHECKER)
PROFILES = sorted(Path(__file__).parents[2].joinpath("profiles").glob("*.toml"))


def test_the_file_is_what_the_models_give() -> None:
    """To renew it: limitcheck schema > limitcheck/profile/profile.schema.json"""
    assert FILE.read_text("utf-8") == schema.schema_text()


def test_it_is_a_schema_of_its_dialect() -> None:
    Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == Draft202012Validator.META_SCHEMA["$id"]


def as_json(value: Any) -> Any:
    """A TOML value as JSON: exact decimals as numbers, a date as text where a date belongs.

    Elsewhere a date stays what it is, which is no JSON type and fits nowhere.
    """
    if isinstance(value, dict):
        until = value.get("until")
        dated = {"until": until.isoformat()} if isinstance(until, date) else {}
        return {key: as_json(inner) for key, inner in {**value, **dated}.items()}
    if isinstance(value, list):
        return [as_json(inner) for inner in value]
    return float(value) if isinstance(value, Decimal) else value


def schema_accepts(document: dict[str, Any]) -> bool:
    return bool(VALIDATOR.is_valid(as_json(document)))


def models_accept(document: dict[str, Any]) -> bool:
    try:
        validate_profile(document)
    except ValidationError:
        return False
    return True


@pytest.mark.parametrize("path", PROFILES, ids=[path.stem for path in PROFILES])
def test_starting_profiles_pass_both(path: Path) -> None:
    document = tomllib.loads(path.read_text("utf-8"), parse_float=Decimal)
    assert schema_accepts(document)
    assert models_accept(document)


RESISTANCE = {
    "pressure": "88 bar",
    "flow": "1 mL/min",
    "temperature": "25 degC",
    "solvent_a": "water",
    "solvent_b": "methanol",
    "percent_b": 60,
}
WHOLE: dict[str, Any] = {
    "format": 1,
    "method": {"id": "KB-TEA-014", "title": "Tea", "revision": "B", "site": "Kestrel Bay"},
    "instrument": {
        "id": "KB-LC-03",
        "pressure_unit": "bar",
        "display_step": Decimal("0.1"),
        "entry_max": 400,
    },
    "cutoffs": {"high": 260, "low": "30 bar"},
    "expected": {"low": Decimal("120.5"), "high": "20 MPa", "basis": "measured"},
    "conditions": {
        "flow": "1 mL/min",
        "temperature": "35 degC",
        "ambient": "21 degC",
        "solvent_a": "water",
        "solvent_b": "acetonitrile",
        "injection_volume": "5 uL",
        "gradient": [{"minute": 0, "percent_b": 5}, {"minute": 9, "percent_b": Decimal("60.5")}],
    },
    "flow_path": [
        {
            "part": "pump",
            "label": "A",
            "rating": "400 bar",
            "rating_at_flow": [{"flow": "5 mL/min", "rating": "400 bar"}],
            "resistance_at": RESISTANCE,
        },
        {"part": "tubing", "length": "60 cm", "bore": "0.17 mm", "resistance_at": RESISTANCE},
        {
            "part": "fitting",
            "rating": "345 bar",
            "rating_at_temperature": [{"temperature": "25 degC", "rating": "345 bar"}],
        },
        {
            "part": "column",
            "length": "150 mm",
            "bore": "4.6 mm",
            "particle_size": "5 um",
            "particle": "monolith",
            "inlet_frit": "2 um",
            "outlet_frit": "2 um",
            "serial": "S1",
            "rating": "400 bar",
            "certificate": RESISTANCE,
        },
    ],
    "margins": {"high": "25 %", "low": "50 %", "headroom": "10 %"},
    "accepted": [
        {
            "check": "low-cutoff-off",
            "reason": "leak sensor",
            "by": "owner",
            "until": date(2027, 6, 30),
            "at": "cutoffs.low",
            "value": "off",
            "limit": {"column": "400 bar"},
        }
    ],
}

WRONG = st.sampled_from(
    [
        True,
        False,
        -1,
        0,
        1,
        101,
        Decimal("-0.5"),
        Decimal("1.0"),
        "",
        "  ",
        "a\x07b",
        "x" * 301,
        [],
        {},
        [1],
        {"part": "pump"},
        date(2027, 1, 1),
        datetime(2027, 1, 1, 8),
    ]
)


def places(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    if not isinstance(value, dict | list):
        return []
    steps = value.items() if isinstance(value, dict) else enumerate(value)
    return [p for key, inner in steps for p in ((*path, key), *places(inner, (*path, key)))]


def inside(document: Any, path: tuple[Any, ...]) -> Any:
    for step in path:
        document = document[step]
    return document


@st.composite
def documents(draw: st.DrawFn) -> dict[str, Any]:
    """A whole profile with some places left out, replaced, or given a key too many."""
    document = deepcopy(WHOLE)
    for _ in range(draw(st.integers(0, 3))):
        path = draw(st.sampled_from(places(document)))
        holder = inside(document, path[:-1])
        match draw(st.sampled_from(["remove", "remove", "replace", "add"])):
            case "remove":
                del holder[path[-1]]
            case "replace":
                holder[path[-1]] = deepcopy(draw(WRONG))
            case "add" if isinstance(holder, dict):
                key = draw(st.sampled_from(["rating", "bore", "percent_b", "colour", "low", "id"]))
                holder[key] = deepcopy(draw(WRONG | st.just("400 bar")))
    return document


def is_quantity_text(path: tuple[Any, ...], value: Any) -> bool:
    """Whether the schema leaves the reading of a text to the models: quantities and units."""
    whole = inside_or_none(WHOLE, path)
    return (
        isinstance(value, str) and path[-1] not in TEXT_KEYS and (whole is None or value != whole)
    )


TEXT_KEYS = (
    "id",
    "title",
    "revision",
    "site",
    "label",
    "serial",
    "solvent_a",
    "solvent_b",
    "check",
    "reason",
    "by",
    "where",
    "basis",
    "particle",
    "part",
    "colour",
)


def inside_or_none(document: Any, path: tuple[Any, ...]) -> Any:
    try:
        return inside(document, path)
    except (KeyError, IndexError, TypeError):
        return None


@given(documents())
def test_one_verdict_on_structure(document: dict[str, Any]) -> None:
    left_to_the_models = any(
        is_quantity_text(path, inside(document, path)) for path in places(document)
    )
    if left_to_the_models and not models_accept(document):
        return
    assert schema_accepts(document) == models_accept(document)


SHARED = "shared.toml#column"


@pytest.mark.parametrize(
    ("change", "accepted"),
    [
        (lambda d: d["flow_path"].append({"use": SHARED}), True),
        (lambda d: d["flow_path"].append({"use": SHARED, "rating": "9 bar", "bore": "1 mm"}), True),
        (lambda d: d["flow_path"].append({"use": SHARED, "colour": "red"}), False),
        (lambda d: d["flow_path"].append({"use": SHARED, "part": "hose"}), False),
        (lambda d: d["flow_path"].append({"label": "no part"}), False),
        (lambda d: d["flow_path"].__setitem__(0, {"use": SHARED}), True),
        (lambda d: d["flow_path"].__setitem__(3, {"use": SHARED}), True),
        (lambda d: d["flow_path"].__delitem__(3), False),
        (lambda d: d["flow_path"].__delitem__(0), False),
        (lambda d: d.__setitem__("instrument", {"use": "../instruments/kb-lc-03.toml"}), True),
        (lambda d: d.__setitem__("instrument", {"id": "KB-LC-03"}), False),
    ],
)
def test_values_from_shared_descriptions_may_be_left_out(change: Any, accepted: bool) -> None:
    document = deepcopy(WHOLE)
    change(document)
    assert schema_accepts(document) is accepted


def test_the_command_prints_the_schema(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["schema"]) == 0
    assert capsys.readouterr().out == FILE.read_text("utf-8")

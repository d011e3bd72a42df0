"""The format of a profile, key by key, from its JSON Schema and the usual ranges."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from limitcheck.profile.amounts import RANGES
from limitcheck.profile.described import DESCRIBED
from limitcheck.profile.schema import profile_schema
from limitcheck.profile.usual_ranges import usual, usual_rating

from .text import code, plain, prose, table

_TABLES = (
    ("Method", "[method]"),
    ("Instrument", "[instrument]"),
    ("Cutoffs", "[cutoffs]"),
    ("Expected", "[expected]"),
    ("Conditions", "[conditions]"),
    ("GradientPoint", "gradient"),
    ("Pump", "[[flow_path]]: pump"),
    ("Tube", "[[flow_path]]: tubing, loop"),
    ("Column", "[[flow_path]]: column, guard column"),
    ("Device", "[[flow_path]]: other parts"),
    ("FlowRating", "rating_at_flow"),
    ("TemperatureRating", "rating_at_temperature"),
    ("Resistance", "certificate, resistance_at"),
    ("MeasuredPair", "[[measured]]"),
    ("MarginSettings", "[margins]"),
    ("AcceptedFinding", "[[accepted]]"),
    ("MadeFrom", "[[source]]"),
)
"""Tables of the schema, in the order of a profile, and how they are headed."""
OF_TWO = {
    "stroke": "Stroke volume over flow",
    "dwell": "Dwell volume over flow",
    "injection over column": "Injection volume over the volume of the empty column",
    "flow over bore": "Flow over the square of the column's bore",
}
"""Ranges of what two keys make."""


def tables() -> str:
    """Every table of the format with its keys, then usual ratings and ranges of two keys."""
    schema = profile_schema()
    pieces = [_first(schema)]
    for name, title in _TABLES:
        model = schema["$defs"][name]
        rows = [_row(name, key, model) for key in model["properties"]]
        head = ("Key", "What it says", "Written as", "Example", "Usual")
        pieces.append(
            f"## {plain(title)} {{ #{name.lower()} }}\n\n{prose(model.get('description', ''))}"
            f"\n\n{table(head, rows)}"
        )
    pieces += ["## Usual ratings { #ratings }", table(("Part", "Usual rating"), _ratings(schema))]
    pieces += [
        "## Usual of two keys { #of-two }",
        table(
            ("What two keys make", "Usual"), [(OF_TWO[n], plain(RANGES[n].usual)) for n in OF_TWO]
        ),
    ]
    return "\n\n".join(pieces)


def _first(schema: Mapping[str, Any]) -> str:
    """The tables of a profile, with what is needed."""
    needed = schema["required"]
    defined = dict(_TABLES)
    rows = [("`format`", "the number 1", "yes")]
    for key, value in schema["properties"].items():
        name = (value.get("$ref") or value.get("items", {}).get("$ref", "")).rpartition("/")[2]
        if key == "flow_path":
            name = "Pump"
        if name in defined:
            listed = "$ref" not in value
            shown = f"[[{key}]]" if listed else f"[{key}]"
            what = f"list of tables, at most {value['maxItems']}" if listed else "one table"
            link = f"[{plain(shown)}](#{name.lower()})"
            rows.append((link, what, "yes" if key in needed else ""))
    return table(("Table", "What", "Needed"), rows)


def _row(name: str, key: str, model: Mapping[str, Any]) -> list[str]:
    needed = model.get("required") or model.get("anyOf", [{}])[0].get("required", [])
    told = DESCRIBED[name][key]
    return [
        code(key),
        prose(told.text) + (" *Needed.*" if key in needed else ""),
        _written(model["properties"][key], told.example),
        code(told.example),
        _usual(name, key),
    ]


def _written(value: Mapping[str, Any], example: str) -> str:
    """How a value is written, from its schema and an example of it."""
    if "anyOf" in value:
        kinds = [_written(choice, example) for choice in value["anyOf"]]
        return ", or ".join(dict.fromkeys(kinds))
    if "$ref" in value:
        name = value["$ref"].rpartition("/")[2]
        return "a text" if name == "Text" else f"a [table](#{name.lower()})"
    if "const" in value:
        return code(f'"{value["const"]}"')
    if "enum" in value:
        return _one_of(value["enum"])
    if value["type"] == "array":
        return f"a list of [tables](#{value['items']['$ref'].rpartition('/')[2].lower()})"
    if value["type"] == "string":
        return _text(value, example)
    if value["type"] in ("number", "integer"):
        return _bare(value)
    return {"boolean": "true or false", "object": "a table"}[value["type"]]


def _one_of(choices: list[str]) -> str:
    *most, last = (code(f'"{choice}"') for choice in choices)
    return f"{', '.join(most)} or {last}" if most else last


def _text(value: Mapping[str, Any], example: str) -> str:
    if value.get("format") == "date":
        return "a date"
    examples = value.get("examples", [])
    if len(examples) > 1:
        return _one_of(examples)
    if not examples:
        return "a text"
    shown = example if example.startswith('"') else f'"{examples[0]}"'
    return f"a text with a unit, such as {code(shown)}"


def _bare(value: Mapping[str, Any]) -> str:
    word = "a whole number" if value["type"] == "integer" else "a number"
    if "exclusiveMinimum" in value:
        word += f", more than {value['exclusiveMinimum']}"
    elif "minimum" in value:
        word += f", {value['minimum']} or more"
    return f"{word}, at most {value['maximum']}" if "maximum" in value else word


def _usual(name: str, key: str) -> str:
    return "[by part](#ratings)" if key == "rating" else plain(usual(name, key))


def _ratings(schema: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    for part in schema["$defs"]["PartInUse"]["properties"]["part"]["enum"]:
        yield part, usual_rating(part)

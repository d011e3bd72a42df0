"""The format of a profile, key by key, from its JSON Schema and the usual ranges."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from limitcheck.profile.amounts import RANGES
from limitcheck.profile.described import DESCRIBED
from limitcheck.profile.plausible import COLUMN_LENGTHS, FLOWS, TUBE_LENGTHS, plausible_bar
from limitcheck.profile.schema import profile_schema

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
_USUAL = {
    ("Instrument", "display_step"): "display step",
    ("Instrument", "entry_max"): "largest entry",
    ("Instrument", "dwell_volume"): "dwell volume",
    ("Conditions", "temperature"): "temperature",
    ("Conditions", "ambient"): "ambient",
    ("Conditions", "flow"): "flow",
    ("Conditions", "percent_b"): "percent B",
    ("Conditions", "injection_volume"): "injection volume",
    ("GradientPoint", "minute"): "gradient",
    ("GradientPoint", "percent_b"): "percent B",
    ("Pump", "stroke_volume"): "stroke volume",
    ("Tube", "coil_diameter"): "coil",
    ("Column", "permeability"): "permeability",
    ("Column", "plate_number"): "plate number",
    ("FlowRating", "flow"): "flow",
    ("TemperatureRating", "temperature"): "rated temperature",
    ("Resistance", "pressure"): "pressure drop",
    ("Resistance", "flow"): "flow",
    ("Resistance", "temperature"): "temperature of a test",
    ("Expected", "swing"): "swing over band",
    ("MeasuredPair", "pressure"): "pressure drop",
    ("MeasuredPair", "flow"): "flow",
    ("MeasuredPair", "temperature"): "temperature of a test",
}
"""Name of the usual range of a key; lengths and ratings have tables of their own."""
OF_TWO = {
    "stroke": "Stroke volume over flow",
    "dwell": "Dwell volume over flow",
    "injection over column": "Injection volume over the volume of the empty column",
    "flow over bore": "Flow over the square of the column's bore",
}
"""Ranges of what two keys make."""
_LENGTHS: Mapping[str, Mapping[str, tuple[float, float]]] = {
    "Column": COLUMN_LENGTHS,
    "Tube": TUBE_LENGTHS,
}


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
        _written(model["properties"][key]),
        code(told.example),
        _usual(name, key),
    ]


def _written(value: Mapping[str, Any]) -> str:
    """How a value is written, from its schema."""
    if "anyOf" in value:
        kinds = [_written(choice) for choice in value["anyOf"]]
        return " or ".join(dict.fromkeys(kinds))
    if "$ref" in value:
        name = value["$ref"].rpartition("/")[2]
        return "text" if name == "Text" else f"[table](#{name.lower()})"
    if "const" in value:
        return code(f'"{value["const"]}"')
    if "enum" in value:
        return ", ".join(code(f'"{choice}"') for choice in value["enum"])
    if value["type"] == "array":
        return f"list of [tables](#{value['items']['$ref'].rpartition('/')[2].lower()})"
    if value["type"] == "string":
        return _text(value)
    if value["type"] in ("number", "integer"):
        return _bare(value)
    return {"boolean": "true or false", "object": "table"}[value["type"]]


def _text(value: Mapping[str, Any]) -> str:
    if value.get("format") == "date":
        return "date"
    examples = value.get("examples", [])
    if len(examples) > 1:
        return ", ".join(code(f'"{example}"') for example in examples)
    return "quantity with its unit" if examples else "text"


def _bare(value: Mapping[str, Any]) -> str:
    word = "whole number" if value["type"] == "integer" else "number"
    if "maximum" in value:
        least = value.get("minimum", "above 0")
        return f"{word}, {least} to {value['maximum']}"
    return f"{word} above 0" if "exclusiveMinimum" in value else word


def _usual(name: str, key: str) -> str:
    lengths = _LENGTHS.get(name, {}).get(key)
    if lengths is not None:
        return " to ".join(map(_length, lengths))
    if key == "flow":
        least, most = (60 * end for end in FLOWS)
        return f"{least * 1e12:g} nL/min to {most * 1e3:g} L/min"
    if key == "rating":
        return "[by part](#ratings)"
    return plain(RANGES[_USUAL[name, key]].usual) if (name, key) in _USUAL else ""


def _length(metres: float) -> str:
    for factor, unit in ((1.0, "m"), (1e3, "mm"), (1e6, "um")):
        if metres * factor >= 1:
            return f"{metres * factor:g} {unit}"
    return f"{metres * 1e6:g} um"


def _ratings(schema: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    for part in schema["$defs"]["PartInUse"]["properties"]["part"]["enum"]:
        least, most = plausible_bar(part)
        yield part, f"{least} to {most} bar"

"""The profile format as JSON Schema, draft 2020-12, for editors: generated from the models.

It describes the file as written: a table that takes the rest of its values from a shared
description with `use` may leave out what it otherwise needs.
"""

from __future__ import annotations

import json
from typing import Any

from .described import DESCRIBED, PART_IN_USE
from .fields import JsonSchema
from .model import Profile
from .names import TextField

DIALECT = "https://json-schema.org/draft/2020-12/schema"
_PARTS = ("Pump", "Device", "Tube", "Column")
_USES: JsonSchema = {"required": ["use"]}
_TEXT = dict(TextField().json_schema)


def schema_text() -> str:
    """The text of `profile.schema.json`."""
    return json.dumps(profile_schema(), indent=2, ensure_ascii=False) + "\n"


def profile_schema() -> JsonSchema:
    """The schema of a profile file."""
    schema: JsonSchema = _tidy(Profile.model_json_schema())
    tables = schema["$defs"]
    for name, keys in DESCRIBED.items():
        for key, told in keys.items():
            tables[name]["properties"][key] |= {"description": told.text}
            _give_example(tables[name]["properties"][key], told.example)
    tables["Text"] = _TEXT
    instrument = tables["Instrument"]
    instrument["anyOf"] = [{"required": instrument.pop("required")}, _USES]
    tables["PartInUse"] = _part_in_use([tables[name] for name in _PARTS])
    flow_path = schema["properties"]["flow_path"]
    flow_path["items"] = {
        "if": _USES,
        "then": {"$ref": "#/$defs/PartInUse"},
        "else": {"oneOf": [{"$ref": f"#/$defs/{name}"} for name in _PARTS]},
    }
    # Beside `items` it would exempt the first part from it.
    flow_path["allOf"] = [{"prefixItems": [{"anyOf": [*flow_path.pop("prefixItems"), _USES]}]}]
    flow_path["contains"] = {"anyOf": [flow_path["contains"], _USES]}
    return {"$schema": DIALECT, "title": "limitcheck profile", **schema}


def _give_example(value: JsonSchema, example: str) -> None:
    """Put the key's own example in place of one of its type; a list of choices stays."""
    for choice in (value, *value.get("anyOf", ())):
        if len(of_type := choice.get("examples", ())) == 1:
            unit = of_type[0].partition(" ")[2]
            bare = not example.startswith('"')
            choice["examples"] = [f"{example} {unit}" if bare else json.loads(example)]


def _part_in_use(parts: list[JsonSchema]) -> JsonSchema:
    """A part that takes values from a shared description: any key of any part, none needed.

    A key that says one thing of a tube and another of a column says both.
    """
    names: list[str] = []
    properties: dict[str, JsonSchema] = {}
    said: dict[str, dict[str, list[str]]] = {}
    for part in parts:
        kind = part["properties"]["part"]
        kinds = kind.get("enum") or [kind["const"]]
        names += kinds
        for key, value in part["properties"].items():
            before = properties.get(key, {}).get("examples", [])
            properties[key] = dict(value)
            if "examples" in value:
                properties[key]["examples"] = list(dict.fromkeys([*before, *value["examples"]]))
            said.setdefault(key, {}).setdefault(value["description"], []).extend(kinds)
    for key, texts in said.items():
        if len(texts) > 1:
            told = (f"{', '.join(kinds).capitalize()}: {text}" for text, kinds in texts.items())
            properties[key]["description"] = " ".join(told)
    return {
        "description": "A part described in another file, with what is overridden here.",
        "type": "object",
        "additionalProperties": False,
        "properties": properties
        | {"part": {"type": "string", "enum": names, "description": PART_IN_USE.text}},
        **_USES,
    }


def _tidy(schema: Any) -> Any:
    """Without made-up titles, null (TOML has none) and keywords of other standards."""
    if isinstance(schema, list):
        return [_tidy(item) for item in schema]
    if not isinstance(schema, dict):
        return schema
    if schema.items() >= _TEXT.items():
        return {"$ref": "#/$defs/Text"}
    kept = {
        key: _tidy(value)
        for key, value in schema.items()
        if key != "discriminator"
        and not (key == "title" and isinstance(value, str))
        and not (key == "default" and not isinstance(value, str))
    }
    choices = [choice for choice in kept.get("anyOf", ()) if choice != {"type": "null"}]
    if len(choices) > 1:
        kept["anyOf"] = choices
    elif len(choices) == 1:
        del kept["anyOf"]
        kept |= choices[0]
    return kept

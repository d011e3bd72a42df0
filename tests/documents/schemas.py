"""Whether data keep to the published schema of their command."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

from jsonschema import Draft202012Validator


def violations(command: str, data: dict[str, Any]) -> list[str]:
    """What of the data, written as JSON and read back, is against the schema."""
    schema = files("limitcheck").joinpath(f"schemas/{command}.schema.json").read_text("utf-8")
    validator = Draft202012Validator(json.loads(schema))
    validator.check_schema(validator.schema)
    return [error.message for error in validator.iter_errors(json.loads(json.dumps(data)))]

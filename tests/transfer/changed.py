"""Two profiles for a ruling: a base at both laboratories, and what is changed on either side."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from copy import deepcopy
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

from limitcheck.profile.load import ProfileFile, load_bytes
from limitcheck.profile.write import dump_profile

BASES = Path(__file__).parent / "bases"
THERE = {"instrument.id": "HM-LC-07"}
"""What makes a transfer of it: the receiving instrument is another one."""


@cache
def _base(name: str) -> dict[str, Any]:
    text = (BASES / f"{name}.toml").read_text("utf-8")
    return tomllib.loads(text, parse_float=Decimal)


def changed(base: str, changes: Mapping[str, Any], name: str = "case.toml") -> ProfileFile:
    """The base with values put at key paths; an empty text takes the key away.

    A part is called by its kind, as in "column.bore"; a table at a name that no part has, as at
    "column 2", is a part put behind the last column.
    """
    data = deepcopy(_base(base))
    for path, value in changes.items():
        table, _, key = path.rpartition(".")
        if isinstance(value, dict) and "part" in value:
            parts = data["flow_path"]
            behind = next(i for i, part in enumerate(parts) if part["part"] == "column") + 1
            parts.insert(behind, value)
            continue
        place = data if not table else data.get(table) or _part(data, table)
        if value == "":
            place.pop(key, None)
            continue
        if key in ("percent_b", "gradient"):
            place.pop("gradient" if key == "percent_b" else "percent_b", None)
        place[key] = value
    return load_bytes(dump_profile(data).encode(), name)


def _part(data: dict[str, Any], kind: str) -> dict[str, Any]:
    found = (part for part in data["flow_path"] if part["part"] == kind)
    table: dict[str, Any] = next(found)
    return table

"""How a key is written, on the page of the format: in plain English, from the schema."""

from __future__ import annotations

from typing import Any

import pytest

from docsite import format as page
from limitcheck.profile.described import DESCRIBED
from limitcheck.profile.schema import profile_schema


def written(table: str, key: str) -> str:
    """The cell "Written as" of a key."""
    value: dict[str, Any] = profile_schema()["$defs"][table]["properties"][key]
    return page._written(value, DESCRIBED[table][key].example)


@pytest.mark.parametrize(
    ("table", "key", "told"),
    [
        ("Cutoffs", "high", 'a number, 0 or more, or a text with a unit, such as `"240 bar"`'),
        ("Pump", "heads", "a whole number, more than 0, at most 4"),
        ("Conditions", "percent_b", "a number, 0 or more, at most 100"),
        ("Instrument", "entry_max", "a number, more than 0"),
        ("Column", "bore", 'a text with a unit, such as `"4.6 mm"`'),
        ("Column", "reversible", "true or false"),
        ("Column", "part", '`"column"` or `"guard column"`'),
        ("Method", "title", "a text"),
        ("AcceptedFinding", "until", "a date"),
        ("AcceptedFinding", "limit", "a text, or a table"),
        ("Conditions", "gradient", "a list of [tables](#gradientpoint)"),
    ],
)
def test_a_key_is_written_in_plain_english(table: str, key: str, told: str) -> None:
    cell = written(table, key)
    for tag in ("<code>", "</code>"):
        cell = cell.replace(tag, "`")
    assert cell.replace("&quot;", '"') == told


def test_every_key_says_how_it_is_written() -> None:
    for table, keys in DESCRIBED.items():
        for key in keys:
            cell = written(table, key)
            assert cell.startswith(("a ", "true", "`", "<code>")), (table, key, cell)

"""A whole profile in one line, as a cell of a table has it: an inline table of TOML.

What is read back is what was written: numbers with their digits, dates as dates.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import tomli_w

from ..errors import Refused
from .toml import TomlError, parse

BEGINS = "{ format = "
"""How every such text begins."""
LONGEST = 32_767
"""Characters of a cell of a workbook."""
_ADVICE = "leave this cell as it was written"
TOO_LONG = "too long for a cell"


def one_line(data: Mapping[str, Any]) -> str:
    """The profile in one line, without `use`: shared values are filled in. Or TOO_LONG.

    >>> one_line({"method": {"id": "KB-1"}, "format": 1})
    '{ format = 1, method = { id = "KB-1" } }'
    """
    text = _value({"format": data.get("format", 1)} | dict(data))
    return text if len(text) <= LONGEST else TOO_LONG


def from_one_line(text: str) -> dict[str, Any]:
    """The profile that `one_line` wrote; raises Refused for another text."""
    try:
        data = parse(f"profile = {text}")
    except TomlError as error:
        raise Refused(
            f"no profile in one line: {error.message}", "leave this cell as it was"
        ) from None
    profile = data["profile"]
    if len(data) != 1 or not isinstance(profile, dict):
        raise Refused("no profile in one line", "leave this cell as it was")
    return profile


def _value(value: Any) -> str:
    if isinstance(value, Mapping):
        pairs = ", ".join(
            f"{_key(key)} = {_value(one)}" for key, one in value.items() if key != "use"
        )
        return f"{{ {pairs} }}" if pairs else "{}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(_value, value))}]"
    return tomli_w.dumps({"a": value}).removeprefix("a = ").removesuffix("\n")


def _key(key: str) -> str:
    return tomli_w.dumps({key: 0}).removesuffix(" = 0\n")

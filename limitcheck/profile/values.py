"""What a file says, apart from how it is written: one hash over its values."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any

_NOT_TAKEN = ("use", "accepted", "source", "measured")
"""Keys that another profile made from the file does not take over."""


def values_sha256(tables: Mapping[str, Any]) -> str:
    """SHA-256 over the values of a file, those of shared descriptions among them.

    Comments, the order of keys, how a number is spelled, references and acceptances do not
    change it; any other value does.
    """
    text = json.dumps(_plain(tables), sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {key: _plain(item) for key, item in value.items() if key not in _NOT_TAKEN}
    if isinstance(value, list):
        return [_plain(item) for item in value]
    if isinstance(value, bool | str):
        return value
    if isinstance(value, int | Decimal):
        return [str(Fraction(value))]  # a list, so that the number 1 is not the text "1"
    return [type(value).__name__, str(value)]

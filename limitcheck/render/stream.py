"""JSON documents with one long list, given piece by piece: one line an item."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from typing import Any

LIST = "\0list"
"""Stands in a document for the long list."""


def stream(document: dict[str, Any], items: Iterable[Any]) -> Iterator[str]:
    """The pieces of the document's text, with `items` in the list's place."""
    before, after = json.dumps(document, indent=1, ensure_ascii=False).split(json.dumps(LIST))
    yield before + "["
    comma = ""
    for item in items:
        yield f"{comma}\n{json.dumps(item, ensure_ascii=False)}"
        comma = ","
    yield f"\n]{after}\n"

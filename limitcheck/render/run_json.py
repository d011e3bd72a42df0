"""A run as JSON; the contract is `schemas/check.schema.json` of the package."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from typing import Any

from ..checking.run import Run
from ..documents.findings import report_data, run_frame

LIST = "\0list"
"""Stands in a document for the one long list."""


def render(run: Run) -> Iterator[str]:
    """The run as one JSON document, in pieces."""
    return stream(run_frame(run, LIST), map(report_data, run.reports))


def stream(document: dict[str, Any], items: Iterable[Any]) -> Iterator[str]:
    """The pieces of a document's text, with `items` in the list's place: one line an item."""
    before, after = json.dumps(document, indent=1, ensure_ascii=False).split(json.dumps(LIST))
    yield before + "["
    comma = ""
    for item in items:
        yield f"{comma}\n{json.dumps(item, ensure_ascii=False)}"
        comma = ","
    yield f"\n]{after}\n"

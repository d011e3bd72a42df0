"""A run as JSON; the contract is `schemas/check.schema.json` of the package."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from ..checking.run import Run
from ..documents.findings import report_data, run_frame

LIST, SECOND = "\0list", "\0second"
"""Stand in a document for its long lists."""


def render(run: Run) -> Iterator[str]:
    """The run as one JSON document, in pieces."""
    return stream(run_frame(run, LIST), {LIST: map(report_data, run.reports)})


def stream(document: dict[str, Any], lists: Mapping[str, Iterable[Any]]) -> Iterator[str]:
    """The pieces of a document's text, with long lists in their places: one line an item.

    The lists must stand in the document in the order in which they are given.
    """
    rest = json.dumps(document, indent=1, ensure_ascii=False)
    for mark, items in lists.items():
        before, _, rest = rest.partition(json.dumps(mark))
        yield before + "["
        comma = ""
        for item in items:
            yield f"{comma}\n{json.dumps(item, ensure_ascii=False)}"
            comma = ","
        yield "\n]"
    yield rest + "\n"

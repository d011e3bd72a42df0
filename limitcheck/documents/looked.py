"""What a command skipped, said once for documents and data."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ..checking.looked import Exclude, Looked
from ..checking.root import shown_path, shown_text
from .blocks import Section, Table, Text


def looked_texts(looked: Looked) -> Iterator[Text]:
    """What was skipped, and which excludes match nothing; no names."""
    return (Text(f"{sentence}.") for sentence in looked.sentences)


def looked_section(looked: Looked) -> Iterator[Section]:
    """The names of what was skipped, for a record; nothing where nothing was."""
    rows = tuple((shown_text(item.path), item.why) for item in looked.skipped)
    if rows:
        table = Table("", ("File or folder", "Why"), rows)
        yield Section("What was skipped", (table,), in_record=True)


def looked_data(looked: Looked) -> dict[str, Any]:
    """The same for programs."""
    return {
        "skipped": [
            {
                "path": shown_text(item.path),
                "reason": item.reason,
                "exclude": None if item.exclude is None else _exclude_data(item.exclude),
                "same_as": None if item.same_as is None else shown_text(item.same_as),
            }
            for item in looked.skipped
        ],
        "unmatched": list(map(_exclude_data, looked.unmatched)),
        "remarks": list(map(shown_text, looked.remarks)),
    }


def _exclude_data(exclude: Exclude) -> dict[str, str]:
    return {"pattern": exclude.pattern, "policy": shown_text(shown_path(exclude.policy))}

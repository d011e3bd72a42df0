"""What checks mean, from their docstrings, which are their documentation."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from inspect import cleandoc
from typing import Any

from ..checks.documentation import DOCUMENTED
from .blocks import Block, Document, Table, Text
from .data import frame

_SECTIONS = {"Do": "do", "At the bench": "at_the_bench", "Source": "source"}
"""Sections of a docstring in the order they are shown in, and their keys in JSON."""
_BEGINS = re.compile(rf"\n\s*(?=(?:{'|'.join(_SECTIONS)}): )")


def explanation_document(names: tuple[str, ...], day: date) -> Document:
    """One check in full, or a table of several."""
    if len(names) == 1:
        told = explanation_data(names[0])
        blocks: tuple[Block, ...] = (
            Text(f"{told['check']}: {told['summary']}", strong=True),
            *(Text(f"{word}: {told[key]}") for word, key in _SECTIONS.items()),
        )
        title = f"Check {names[0]}"
    else:
        rows = tuple((name, explanation_data(name)["summary"]) for name in names)
        blocks, title = (Table("", ("Check", "What it says"), rows),), "Checks"
    return Document(title, blocks, (), (), day.isoformat())


def explanations_data(names: tuple[str, ...]) -> dict[str, Any]:
    """Checks with what they mean."""
    return frame(checks=[dict(explanation_data(name)) for name in names])


def explanation_data(name: str) -> Mapping[str, str]:
    """The parts of a check's documentation by key."""
    summary, *sections = _BEGINS.split(cleandoc(DOCUMENTED[name]))
    told = {"check": name, "summary": " ".join(summary.split())}
    for section in sections:
        word, _, text = section.partition(": ")
        told[_SECTIONS[word]] = " ".join(text.split())
    return told

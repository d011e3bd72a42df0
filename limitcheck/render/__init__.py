"""What is drawn: any document as text, HTML, PDF or Markdown; a run as text and for programs."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ..checking.run import Run

FORMATS = {
    "text": "run_text",
    "json": "run_json",
    "sarif": "sarif",
    "junit": "junit",
    "remarks-text": "remark_lines",
    "remarks-json": "remark_list",
}
"""Formats of a run: name to module of this package; `render(run)` gives pieces of text."""


def renderer(name: str) -> Callable[[Run], Iterator[str]]:
    """The function that turns a run into text of that format; raises KeyError."""
    render: Callable[[Run], Iterator[str]] = import_module(f".{FORMATS[name]}", __name__).render
    return render

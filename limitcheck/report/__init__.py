"""Report formats: one module each with `render(run) -> str`, imported when asked for."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module

from ..run import Run

FORMATS: dict[str, str] = {
    "text": "text",
    "json": "json",
}
"""Format name to module of this package."""


def renderer(name: str) -> Callable[[Run], str]:
    """The function that turns a run into text of that format; raises KeyError."""
    render: Callable[[Run], str] = import_module(f".{FORMATS[name]}", __name__).render
    return render

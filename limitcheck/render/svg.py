"""The charts of a document as one SVG of their own, on white."""

from __future__ import annotations

from ..charts.svg import Drawing, stacked
from ..documents.blocks import Document
from ..errors import LimitcheckError


class NoChart(LimitcheckError):
    """The answer has no chart."""


def render(document: Document) -> str:
    """The charts below each other, the summary's first; raises NoChart."""
    blocks = (*document.summary, *document.blocks)
    found = [block for block in blocks if isinstance(block, Drawing)]
    if not found:
        raise NoChart("no picture: this answer has no chart", "leave the picture out")
    return stacked(found, document.title)

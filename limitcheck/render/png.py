"""The charts of a document as a PNG."""

from __future__ import annotations

from ..documents.blocks import Document
from ..errors import MissingExtra
from .svg import render as svg

DOTS = 192
"""Dots an inch: two for each pixel of the SVG."""
_PAGE = """
#set page(width: auto, height: auto, margin: 0pt, fill: white)
#image(bytes(sys.inputs.svg), format: "svg", width: float(sys.inputs.width) * 0.75pt)
"""


def render(document: Document) -> bytes:
    """The bytes of the PNG; raises NoChart, and MissingExtra without typst."""
    drawn = svg(document)
    try:
        import typst
    except ImportError:
        raise MissingExtra("a PNG", "pdf") from None
    width = drawn.split('viewBox="0 0 ', 1)[1].split()[0]
    made: bytes = typst.compile(
        _PAGE.encode(), format="png", ppi=DOTS, sys_inputs={"svg": drawn, "width": width}
    )
    return made

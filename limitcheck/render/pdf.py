"""A report as archival PDF/A-2b, A-3b with data attached; from the records of the HTML page."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any, Literal

from ..checking.marks import Marks
from ..documents.blocks import Document, ToType
from ..errors import LimitcheckError, MissingExtra, Refused

PAPERS = {"a4": "a4", "letter": "us-letter"}
"""By the name people write: typst's."""


class CannotDraw(LimitcheckError):
    """The PDF cannot hold a text of the document."""


def paper_of(name: str) -> str:
    """Typst's name of a paper, in any case; raises Refused for one that is not known."""
    known = PAPERS.get(name.strip().lower())
    if known is None:
        raise Refused(f'there is no paper "{name}" here', f"write {' or '.join(PAPERS)}")
    return known


def render(document: Document, paper: str = "a4") -> bytes:
    """The bytes of the PDF; raises MissingExtra without typst, CannotDraw, Refused for the paper.

    The fonts that come with typst give the same file everywhere. Where a text has a script they
    do not have, the fonts of the system help.
    """
    try:
        import typst
    except ImportError:
        raise MissingExtra("a PDF", "pdf") from None
    template = files("limitcheck.render").joinpath("templates/report.typ").read_bytes()
    inputs = {"document": json.dumps(_plain(document)), "paper": paper_of(paper)}
    standard: Literal["a-2b", "a-3b"] = "a-3b" if document.attachment else "a-2b"
    reason = ""
    for own_fonts in (True, False):
        try:
            made: bytes = typst.compile(
                template, sys_inputs=inputs, pdf_standards=[standard], ignore_system_fonts=own_fonts
            )
        except typst.TypstError as error:
            reason = error.message
        else:
            return made
    raise CannotDraw(f"no PDF: {reason}", "install a font that has it, or write HTML instead")


def _plain(value: Any) -> Any:
    """The records of a document as dictionaries, for the template."""
    if isinstance(value, Marks):  # the picture has them
        return None
    if isinstance(value, ToType):
        return {"kind": value.kind, "text": value.text, "line": value.line}
    if hasattr(value, "_asdict"):
        return {name: _plain(item) for name, item in value._asdict().items()}
    if isinstance(value, str):  # of a file's name, bytes that are no text
        return value.encode("utf-8", "backslashreplace").decode()
    return [_plain(item) for item in value] if isinstance(value, tuple) else value

"""A report as one HTML page: no network, no script, readable in print, on a phone, in the dark."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from ..documents.blocks import Document
from ..errors import MissingExtra
from .option_names import kept_whole

if TYPE_CHECKING:
    from jinja2 import Template


def render(document: Document) -> str:
    """The page; raises MissingExtra without Jinja2."""
    attachment = document.attachment.replace("<", "\\u003c")  # no end tag within the element
    return kept_whole(_template().render(document=document, attachment=attachment))


@lru_cache(maxsize=1)
def _template() -> Template:
    try:
        from jinja2 import Environment, PackageLoader, StrictUndefined
    except ImportError:
        raise MissingExtra("a report", "report") from None
    environment = Environment(
        loader=PackageLoader("limitcheck.render"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    return environment.get_template("report.html")

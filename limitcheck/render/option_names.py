"""Names of options in HTML stay on one line: a browser breaks words at their hyphens. Pure."""

from __future__ import annotations

import re

_AS_WRITTEN = ("option", "pre", "script", "style", "svg", "textarea", "title")
"""Elements that hold no other element, or whose lines are kept anyway."""
_MARK = re.compile(
    rf"<(?P<closing>/?)(?P<tag>{'|'.join(_AS_WRITTEN)})\b[^>]*>|<[^>]*>"
    r"|(?<![\w-])--[a-z]+(?:-[a-z]+)+"
)


def kept_whole(html: str) -> str:
    """The HTML with each option name of several words in an element that does not break.

    >>> kept_whole('<p title="--dry-run">--dry-run, --write</p>')
    '<p title="--dry-run"><span class="unbroken">--dry-run</span>, --write</p>'
    """
    if "--" not in html:
        return html
    within: list[str] = []

    def told(found: re.Match[str]) -> str:
        tag = found["tag"]
        if tag and not found["closing"]:
            within.append(tag)
        elif tag and tag in within:
            del within[within.index(tag) :]
        if found[0][0] == "<" or within:
            return found[0]
        return f'<span class="unbroken">{found[0]}</span>'

    return _MARK.sub(told, html)

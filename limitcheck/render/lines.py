"""Lines of text that fit a terminal of 80 columns and cannot steer it."""

from __future__ import annotations

import re
import textwrap

WIDTH = 80
_UNSAFE = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff]")


def safe(text: str) -> str:
    """Text with every character that could steer a terminal written as an escape.

    >>> safe("a" + chr(27) + "[2J")
    'a\\\\x1b[2J'
    """
    return _UNSAFE.sub(lambda match: ascii(match[0])[1:-1], text)


def wrap(text: str, first: str = "", rest: str | None = None) -> list[str]:
    """Lines of at most 80 columns, safe to print; `rest` begins every line but the first."""
    return textwrap.wrap(
        safe(text),
        WIDTH,
        initial_indent=first,
        subsequent_indent=first if rest is None else rest,
        break_on_hyphens=False,
        break_long_words=False,
    )

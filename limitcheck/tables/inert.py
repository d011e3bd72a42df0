"""Text in a CSV that no spreadsheet takes for a formula, and the same text read back.

A spreadsheet runs a cell that begins with = + - @ (or their full-width forms), a tab or a carriage
return, some also after blanks and quotes. An apostrophe is put before such a beginning, here and
behind every sign inside the text that may separate cells: a spreadsheet set to another separator
begins a cell there. The apostrophe belongs to what may stand before a formula, so one more of them
is put before text that has one already, and taking one away gives back exactly what was written.

In a workbook text is typed as text and needs none of this.
"""

from __future__ import annotations

import re

_BEFORE = r"[\s\x00-\x20\x7f-\xa0\u200b-\u200f\u2060\ufeff'\"]*"
"""What may stand before a formula without making it text."""
_BEGINS = rf"(?={_BEFORE}[=+\-@＝＋－＠\t\r])"
_CELL = r"(?:\A|(?<=[,;|\t\r\n]))"
"""Where a cell begins for some spreadsheet."""
_FORMULA = re.compile(_CELL + _BEGINS)
_MADE_INERT = re.compile(rf"{_CELL}'{_BEGINS}")


def inert(text: str) -> str:
    """The text as a CSV may have it; `as_meant` gives it back.

    >>> inert("=1+1"), inert("KB-TEA-014"), inert("'-1"), inert("a;@b")
    ("'=1+1", 'KB-TEA-014', "''-1", "a;'@b")
    """
    return _FORMULA.sub("'", text)


def as_meant(text: str) -> str:
    """The text that `inert` was given; any other text as it is.

    >>> as_meant("'=1+1"), as_meant("'quoted'"), as_meant("''-1"), as_meant("a;'@b")
    ('=1+1', "'quoted'", "'-1", 'a;@b')
    """
    return _MADE_INERT.sub("", text)


def one_line(text: str) -> str:
    """The text as a comment of TOML may have it.

    >>> one_line("a" + chr(10) + "b")
    'a b'
    """
    if text.isprintable():
        return text
    return "".join(letter if letter.isprintable() else " " for letter in text)

"""TOML text: parsing it, and finding where each of its values and keys stands.

Pure: text in, values and places out. Parsing is toml-rs, TOML 1.0, decimals kept exact. Places
come from a scanner of our own that runs only when a finding needs a place or a value is rewritten;
tests hold every place it gives against the standard library's `tomllib`.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from re import finditer
from typing import TYPE_CHECKING, Any

import toml_rs

from ..findings import KeyPath

if TYPE_CHECKING:
    from .scanner import Scanner, Section

BOM = "\ufeff"
DEPTH_LIMIT = 64
"""Deepest nesting read. A profile needs four; toml-rs overflows the stack at some thousands."""
INTEGER_LIMIT = 1000
"""Digits of the longest whole number read; CPython will not print one of more than 4300."""


class TomlError(ValueError):
    """The text is not TOML 1.0; `line` and `column` are 1-based, in code points."""

    def __init__(self, message: str, line: int, column: int, advice: str) -> None:
        super().__init__(f"line {line}, column {column}: {message}")
        self.message = message
        self.line = line
        self.column = column
        self.advice = advice


def parse(text: str) -> dict[str, Any]:
    """Read TOML 1.0. A fraction or exponent gives a `Decimal`, with the digits as typed.

    A byte-order mark at the start is passed over. Raises `TomlError`.
    """
    body = text.removeprefix(BOM)
    if body.startswith(BOM):  # toml-rs would pass over this one, too
        from .refusals import second_mark

        raise second_mark(body)
    # Few marks cannot nest deeply; the exact count is only made when there are many.
    if body.count("[") + body.count("{") + body.count(".") > 200:
        from .refusals import refuse_deep

        refuse_deep(body)
    try:
        data = toml_rs.loads(body, parse_float=Decimal, toml_version="1.0.0")
    except toml_rs.TOMLDecodeError as error:
        from .refusals import syntax

        raise syntax(error.msg, body, error.pos) from None
    except UnicodeEncodeError as error:
        from .refusals import half_character

        raise half_character(body, error.start) from None
    if max(map(len, body.split("\n"))) > INTEGER_LIMIT and _has_long_integer(data):
        from .refusals import long_integer

        raise long_integer(body)
    return data


def _has_long_integer(value: object) -> bool:
    if isinstance(value, dict):
        return any(map(_has_long_integer, value.values()))
    if isinstance(value, list):
        return any(map(_has_long_integer, value))
    return isinstance(value, int) and value.bit_length() > 4 * INTEGER_LIMIT


@dataclass(frozen=True, slots=True)
class Span:
    """Code points `start` to `end` of the text, with the lines and columns of both ends.

    Lines and columns are 1-based; `end` and `end_column` point past the last character. A
    byte-order mark counts in offsets, not in columns.
    """

    start: int
    end: int
    line: int
    column: int
    end_line: int
    end_column: int


class Source:
    """The places of a text that `parse` has read without error. Scanned on first use."""

    def __init__(self, text: str) -> None:
        self.text = text

    @cached_property
    def _scan(self) -> Scanner:
        from .scanner import Scanner

        scanner = Scanner(self.text)
        scanner.run()
        return scanner

    @cached_property
    def _lines(self) -> list[int]:
        """Offset of the start of each line; the first line starts behind a byte-order mark."""
        first = len(self.text) - len(self.text.removeprefix(BOM))
        return [first, *(m.end() for m in finditer("\n", self.text))]

    def value_span(self, path: KeyPath) -> Span | None:
        """The value at `path`; None where nothing is, and for a table that has a header."""
        return self._span(self._scan.values.get(path))

    def key_span(self, path: KeyPath) -> Span | None:
        """The last part of the key of `path`; for a table or element with a header, the header."""
        return self._span(self._scan.keys.get(path))

    def nearest(self, path: KeyPath) -> Span:
        """The value at `path`, else its key or header, else the same of the table around it."""
        for length in range(len(path), 0, -1):
            span = self.value_span(path[:length]) or self.key_span(path[:length])
            if span:
                return span
        start = self._lines[0]
        return self.span(start, start + len(self.line_text(1)))

    def section(self, path: KeyPath) -> Section | None:
        """Where the table at `path` takes a further key; None where no such table is written."""
        return self._scan.sections.get(path)

    def line_text(self, line: int) -> str:
        """Line `line` without its end and without a byte-order mark; empty past the last line."""
        if not 1 <= line <= len(self._lines):
            return ""
        start = self._lines[line - 1]
        end = self.text.find("\n", start)
        return self.text[start : end if end >= 0 else len(self.text)].removesuffix("\r")

    def span(self, start: int, end: int) -> Span:
        """The span from offset `start` to offset `end`."""
        return Span(start, end, *self._place(start), *self._place(end))

    def _span(self, found: tuple[int, int] | None) -> Span | None:
        return found and self.span(*found)

    def _place(self, offset: int) -> tuple[int, int]:
        line = max(bisect_right(self._lines, offset), 1)
        return line, offset - self._lines[line - 1] + 1

"""Where the values, keys and tables of a TOML text stand. Loaded only when a place is asked for.

Pure. Tests compare every place it gives with the standard library's `tomllib`.
"""

from __future__ import annotations

import re
from functools import cached_property
from typing import NamedTuple

import toml_rs

from ..findings import KeyPath
from .toml import BOM, STRING


class Span(NamedTuple):
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


class TableEnd(NamedTuple):
    """Where a table takes a further key: after `end`, where its last pair (or header) ends.

    `start` is where that last pair or header begins. `prefix` is what a dotted key writes before
    the new name; `inline` tells a {...} table, `empty` that it holds nothing yet.
    """

    start: int
    end: int
    prefix: str = ""
    inline: bool = False
    empty: bool = False


class Source:
    """The places of a text that `parse` has read without error. Scanned on first use."""

    def __init__(self, text: str) -> None:
        self.text = text

    @cached_property
    def _scan(self) -> _Scanner:
        return _Scanner(self.text)

    def value_span(self, path: KeyPath) -> Span | None:
        """The value at `path`; None where nothing is, and for a table that has a header."""
        found = self._scan.values.get(path)
        return found and self._span(*found)

    def key_span(self, path: KeyPath) -> Span | None:
        """The last part of the key of `path`; for a table or element with a header, the header."""
        found = self._scan.keys.get(path)
        return found and self._span(*found)

    def nearest(self, path: KeyPath) -> Span:
        """The value at `path`, else its key or header, else the same of the table around it."""
        for length in range(len(path), 0, -1):
            span = self.value_span(path[:length]) or self.key_span(path[:length])
            if span:
                return span
        start = int(self.text.startswith(BOM))
        return self._span(start, start + len(self.line_around(start)))

    def table_end(self, path: KeyPath) -> TableEnd | None:
        """Where the table at `path` takes a further key; None where no such table is written."""
        return self._scan.tables.get(path)

    def is_written(self, path: KeyPath) -> bool:
        """Whether a table stands there itself, by a header or as {...}: not only by its keys."""
        return path in self._scan.values or any(path == at for at, _, _ in self._scan.headers)

    @property
    def headers(self) -> list[tuple[KeyPath, int, int]]:
        """Every [table] and [[element]] header in the order of the text: path, start and end."""
        return self._scan.headers

    @property
    def begin_and_end(self) -> list[tuple[int, int, KeyPath]]:
        """Every pair, header and element of a list in the order of the text: its ends and path."""
        scan = self._scan
        found = {path: (start, end) for path, start, end in scan.headers}
        for path, (start, end) in scan.values.items():
            key = scan.keys.get(path)
            found[path] = (key[0] if key else start, end)
        places = ((start, end, path) for path, (start, end) in found.items())
        return sorted(places, key=lambda place: place[:2])

    def line_around(self, offset: int) -> str:
        """The line that holds an offset, without its end and without a byte-order mark."""
        start = self.text.rfind("\n", 0, offset) + 1
        line = self.text[start:].partition("\n")[0].removesuffix("\r")
        return line if start else line.removeprefix(BOM)

    def _span(self, start: int, end: int) -> Span:
        return Span(start, end, *self._place(start), *self._place(end))

    def _place(self, offset: int) -> tuple[int, int]:
        start = self.text.rfind("\n", 0, offset) + 1 or int(self.text.startswith(BOM))
        return self.text.count("\n", 0, offset) + 1, offset - start + 1


_BLANK = re.compile(r"[ \t]*+")
_GAP = re.compile(r"(?:[ \t\r\n]++|#[^\n]*+)*")
_DOT = re.compile(r"[ \t]*+\.[ \t]*+")
_EQUALS = re.compile(r"[ \t]*+=[ \t]*+")
_KEY = re.compile(r"[A-Za-z0-9_-]++|\"(?:[^\"\\\n]++|\\.)*\"|'[^'\n]*+'")
_ATOM = re.compile(rf"{STRING}|\d{{4}}-\d\d-\d\d \d\d:[^\s,\]}}#]*+|[^\s,\]}}#]++", re.DOTALL)
# A plain pair alone on its line, as most are, with the gap before it.
_PLAIN = re.compile(
    r"(?:[ \t\r\n]++|#[^\n]*+)*([A-Za-z0-9_-]++)[ \t]*+=[ \t]*+"
    r"(\"[^\"\\\n]*+\"|'[^'\n]*+'|[^\s\"'\[{,\]}#]++)(?=[ \t\r]*+(?:[\n#]|\Z))"
)
_PLAIN_HEADER = re.compile(r"(?:[ \t\r\n]++|#[^\n]*+)*(\[\[?)([A-Za-z0-9_-]++)\]\]?")


class _Scanner:
    """Walks valid TOML once and notes where values, keys and tables stand."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = int(text.startswith("\ufeff"))
        self.values: dict[KeyPath, tuple[int, int]] = {}
        self.keys: dict[KeyPath, tuple[int, int]] = {}
        self.tables: dict[KeyPath, TableEnd] = {(): TableEnd(self.at, self.at, empty=True)}
        self.headers: list[tuple[KeyPath, int, int]] = []
        self._elements: dict[KeyPath, int] = {}
        here: KeyPath = ()
        keys, values = self.keys, self.values
        while True:
            last = None
            while plain := _PLAIN.match(text, self.at):
                last, path = plain, (*here, plain[1])
                keys[path], values[path] = plain.span(1), plain.span(2)
                self.at = plain.end()
            if last:
                self.tables[here] = TableEnd(last.start(1), self.at)
            if header := _PLAIN_HEADER.match(text, self.at):
                self.at = header.end()
                here = self._table([header[2]], header.start(1), len(header[1]))
                continue
            self._take(_GAP)
            if self.at == len(text):
                break
            if text[self.at] == "[":
                here = self._header()
            else:
                self._pair(here)

    def _take(self, pattern: re.Pattern[str]) -> str:
        found = pattern.match(self.text, self.at)
        if not found:
            raise ValueError(f"not valid TOML at offset {self.at}")
        self.at = found.end()
        return found[0]

    def _key(self) -> list[tuple[str, int, int]]:
        parts = []
        while True:
            start = self.at
            raw = self._take(_KEY)
            name = raw[1:-1] if raw[0] in "\"'" else raw
            if raw[0] == '"' and "\\" in raw:
                name = toml_rs.loads(f"key = {raw}")["key"]
            parts.append((name, start, self.at))
            if not _DOT.match(self.text, self.at):
                return parts
            self._take(_DOT)

    def _header(self) -> KeyPath:
        start = self.at
        brackets = 2 if self.text.startswith("[[", start) else 1
        self.at += brackets
        self._take(_BLANK)
        names = [name for name, _, _ in self._key()]
        self._take(_BLANK)
        self.at += brackets
        return self._table(names, start, brackets)

    def _table(self, names: list[str], start: int, brackets: int) -> KeyPath:
        """Note a table or element whose header of these names begins at `start` and ends here."""
        path: KeyPath = ()
        for name in names[:-1]:
            path = (*path, name)
            self.keys.setdefault(path, (start, self.at))
            if path in self._elements:
                path = (*path, self._elements[path])
        path = (*path, names[-1])
        if brackets == 2:
            self.keys.setdefault(path, (start, self.at))
            self._elements[path] = self._elements.get(path, -1) + 1
            path = (*path, self._elements[path])
        self.keys[path] = (start, self.at)
        self.headers.append((path, start, self.at))
        self.tables[path] = TableEnd(start, self.at, empty=True)
        return path

    def _pair(self, table: KeyPath, inline: bool = False) -> None:
        parts = self._key()
        first = parts[0][1]
        path = table
        tables = []
        for name, start, end in parts:
            tables.append((path, self.text[first:start]))
            path = (*path, name)
            self.keys.setdefault(path, (start, end))
        self._take(_EQUALS)
        self._value(path)
        for owner, prefix in tables:
            self.tables[owner] = TableEnd(first, self.at, prefix, inline)

    def _value(self, path: KeyPath) -> None:
        start = self.at
        match self.text[start]:
            case "[":
                self.at += 1
                index = 0
                self._take(_GAP)
                while self.text[self.at] != "]":
                    self._value((*path, index))
                    index += 1
                    self._comma(_GAP)
                self.at += 1
            case "{":
                self.at += 1
                self.tables[path] = TableEnd(start, self.at, inline=True, empty=True)
                self._take(_BLANK)
                while self.text[self.at] != "}":
                    self._pair(path, inline=True)
                    self._comma(_BLANK)
                self.at += 1
            case _:
                self._take(_ATOM)
        self.values[path] = (start, self.at)

    def _comma(self, gap: re.Pattern[str]) -> None:
        self._take(gap)
        if self.text[self.at] == ",":
            self.at += 1
            self._take(gap)

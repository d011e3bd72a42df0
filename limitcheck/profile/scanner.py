"""Walks TOML text and notes where values, keys and tables stand. Loaded only when asked for."""

from __future__ import annotations

import re
from dataclasses import dataclass

import toml_rs

from ..findings import KeyPath

# A possessive group, (...)*+, matches wrongly before Python 3.11.5 (cpython issue 106052);
# possessive classes within do not.
STRING = (
    r'"""(?:[^"\\]++|\\.|"{1,2}(?!"))*(?:"{3,5}|\Z)'
    r"|'''(?:[^']++|'{1,2}(?!'))*(?:'{3,5}|\Z)"
    r'|"(?:[^"\\\n]++|\\[^\n])*"?'
    r"|'[^'\n]*+'?"
)


@dataclass(frozen=True, slots=True)
class Section:
    """Where a table takes a further key: after `end`, where its last pair (or header) ends.

    `start` is where that last pair or header begins. `prefix` is what a dotted key writes before
    the new name; `inline` tells a {...} table, `empty` that it holds nothing yet.
    """

    start: int
    end: int
    prefix: str = ""
    inline: bool = False
    empty: bool = False


_BLANK = re.compile(r"[ \t]*+")
_GAP = re.compile(r"(?:[ \t\r\n]++|#[^\n]*+)*")
_DOT = re.compile(r"[ \t]*+\.[ \t]*+")
_EQUALS = re.compile(r"[ \t]*+=[ \t]*+")
_KEY = re.compile(r"[A-Za-z0-9_-]++|\"(?:[^\"\\\n]++|\\.)*\"|'[^'\n]*+'")
_ATOM = re.compile(rf"{STRING}|\d{{4}}-\d\d-\d\d \d\d:[^\s,\]}}#]*+|[^\s,\]}}#]++", re.DOTALL)


class Scanner:
    """Walks valid TOML once and notes where values, keys and tables stand."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = int(text.startswith("\ufeff"))
        self.values: dict[KeyPath, tuple[int, int]] = {}
        self.keys: dict[KeyPath, tuple[int, int]] = {}
        self.sections: dict[KeyPath, Section] = {(): Section(self.at, self.at, empty=True)}
        self._elements: dict[KeyPath, int] = {}

    def run(self) -> None:
        here: KeyPath = ()
        while self._take(_GAP) is not None and self.at < len(self.text):
            if self.text[self.at] == "[":
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
        self.sections[path] = Section(start, self.at, empty=True)
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
            self.sections[owner] = Section(first, self.at, prefix, inline)

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
                self.sections[path] = Section(start, self.at, inline=True, empty=True)
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

"""TOML text: parsing it, and finding where each of its values and keys stands.

Pure: text in, values and places out. Parsing is toml-rs, TOML 1.0, decimals kept exact. Places
come from a scanner of our own that runs only when a finding needs a place or a value is rewritten;
tests hold every place it gives against the standard library's `tomllib`.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import Any

import toml_rs

from ..findings import KeyPath

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
    # Few marks cannot nest deeply; the exact count is only made when there are many.
    if body.count("[") + body.count("{") + body.count(".") > 200:
        _refuse_deep(body)
    try:
        data = toml_rs.loads(body, parse_float=Decimal, toml_version="1.0.0")
    except toml_rs.TOMLDecodeError as error:
        at = len(body.encode()[: error.pos].decode(errors="ignore"))
        raise _explain(error.msg, body, at) from None
    except UnicodeEncodeError as error:
        raise _at(body, error.start, "this character is half of a pair and has no meaning alone",
                  "save the file as UTF-8") from None  # fmt: skip
    if max(map(len, body.split("\n"))) > INTEGER_LIMIT and _has_long_integer(data):
        long = re.search(rf"[0-9A-Fa-f_]{{{INTEGER_LIMIT},}}", body)
        raise _at(body, long.start() if long else 0, "this whole number has far too many digits",
                  "write the number with the digits it needs")  # fmt: skip
    return data


def _has_long_integer(value: object) -> bool:
    if isinstance(value, dict):
        return any(map(_has_long_integer, value.values()))
    if isinstance(value, list):
        return any(map(_has_long_integer, value))
    return isinstance(value, int) and value.bit_length() > 4 * INTEGER_LIMIT


_STRING = (
    r'"""(?:[^"\\]|\\.|"{1,2}(?!"))*+(?:"{3,5}|\Z)'
    r"|'''(?:[^']|'{1,2}(?!'))*+(?:'{3,5}|\Z)"
    r'|"(?:[^"\\\n]|\\[^\n])*+"?'
    r"|'[^'\n]*+'?"
)
_NESTING = re.compile(rf"{_STRING}|#[^\n]*|(?P<mark>[\[{{\]}}.,\n])", re.DOTALL)


def _refuse_deep(body: str) -> None:
    """Raise `TomlError` where arrays, inline tables and dotted keys nest past the limit."""
    opened: list[int] = []
    depth = dots = 0
    for token in _NESTING.finditer(body):
        match token["mark"]:
            case "[" | "{":
                opened.append(dots + 1)
                depth += dots + 1
                dots = 0
            case "]" | "}":
                depth -= opened.pop() if opened else 0
                dots = 0
            case ".":
                dots += 1
            case "," | "\n":
                dots = 0
        if depth + dots > DEPTH_LIMIT:
            raise _at(body, token.start(), f"nested more than {DEPTH_LIMIT} levels deep",
                      "a profile nests four levels at most; remove the surplus")  # fmt: skip


def _at(body: str, at: int, message: str, advice: str) -> TomlError:
    start = body.rfind("\n", 0, at) + 1
    return TomlError(message, body.count("\n", 0, at) + 1, at - start + 1, advice)


_QUOTE = 'put text in double quotes: rating = "400 bar"'
_PAIR = 'write key = value, one to a line, text in double quotes: rating = "400 bar"'
_NUMBER = "write a plain number such as 260, 0.5 or 1e-3"
_ONE_LINE = "keep {...} on one line, pairs parted by commas, with no comma after the last"
_DATE = "write dates as 2027-06-30"
_SAME = "keep one of the two"

# Start of the parser's message -> what we say, what to do. {seen} is the word at the place.
_WORDS: tuple[tuple[str, str, str], ...] = (
    ("duplicate key", "{seen} is given twice", _SAME),
    ("cannot extend", "{seen} already has a value and cannot hold further keys", _SAME),
    ("string values must be quoted", "expected a value, not {seen}", _QUOTE),
    ("unexpected key or value", "did not expect {seen} here: the line should end", _PAIR),
    ("key with no value", "a key without = and a value", _PAIR),
    ("extra `=`", "one = too many", _PAIR),
    ("unquoted keys cannot be empty", "a key is missing here", _PAIR),
    ("invalid unquoted key", "a key cannot hold {seen}",
     "name keys with letters, digits, - and _"),
    ("keys cannot be multi-line", "a key cannot be a multi-line text", _PAIR),
    ("invalid boolean", "expected a value, not {seen}", "write true or false, in small letters"),
    ("missing escaped value", "a backslash that starts no escape known in TOML",
     "write \\\\ for a backslash, or put the text in single quotes"),
    ("invalid value, expected unicode", "an escape that names no character",
     "write \\u and four hexadecimal digits, or type the character itself"),
    ("too few unicode", "an escape with too few digits",
     "write \\u and four hexadecimal digits, or type the character itself"),
    ("invalid multi-line", "a multi-line text that never ends, or holds a control character",
     "close the text with the three quotes that opened it"),
    ("invalid basic string", "a text that does not end on its line, or holds a control character",
     "close the text with a double quote"),
    ("invalid literal string", "a text that does not end on its line, or holds a control character",
     "close the text with a single quote"),
    ("invalid comment", "a control character in a comment", "remove the character"),
    ("carriage return", "a carriage return that ends no line",
     "end lines with a line feed, or with carriage return and line feed"),
    ("unclosed array table", "a table name that is not closed", "write [[flow_path]]"),
    ("unclosed table", "a table name that is not closed", "write [cutoffs]"),
    ("unclosed array", "a list that never ends", "close the list with ]"),
    ("unclosed inline table", "a {...} that never ends", _ONE_LINE),
    ("missing comma between array", "a comma or ] is missing before {seen}",
     "part the values of a list by commas and close it with ]"),
    ("extra comma in array", "one comma too many in this list", "part the values by one comma"),
    ("extra assignment", "a comma is missing before {seen}", _ONE_LINE),
    ("invalid date", "not a date: {seen}", _DATE),
    ("invalid time", "not a time: {seen}", _DATE),
)  # fmt: skip
_MARKS = re.compile(r"in(side)? inline tables?|inline table")
_NUMERIC = re.compile(
    r"leading zero|may only go between digits|sign|radix|digits|invalid (integer|float|hex|octal"
    r"|binary|mantissa|fraction|exponent)|integer number prefix"
)
_WORD = re.compile(r"\"[^\"\n]*\"?|'[^'\n]*'?|[^\s=,\[\]{}#\"']+|\S")


def _explain(theirs: str, body: str, at: int) -> TomlError:
    theirs = theirs.rsplit("\n", 1)[-1]
    word = _WORD.match(body, at)
    seen = repr(word[0]) if word else "the end of the " + ("line" if at < len(body) else "file")
    for start, message, advice in _WORDS:
        if theirs.startswith(start):
            return _at(body, at, message.replace("{seen}", seen), advice)
    if _MARKS.search(theirs):
        return _at(body, at, f"did not expect {seen} inside {{...}}", _ONE_LINE)
    if _NUMERIC.search(theirs):
        return _at(body, at, f"not a number TOML can read, at {seen}", _NUMBER)
    return _at(body, at, f"did not expect {seen} here ({theirs})", _PAIR)


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


class Source:
    """The places of a text that `parse` has read without error. Scanned on first use."""

    def __init__(self, text: str) -> None:
        self.text = text

    @cached_property
    def _scan(self) -> _Scanner:
        scanner = _Scanner(self.text)
        scanner.run()
        return scanner

    @cached_property
    def _lines(self) -> list[int]:
        """Offset of the start of each line; the first line starts behind a byte-order mark."""
        first = len(self.text) - len(self.text.removeprefix(BOM))
        return [first, *(m.end() for m in re.finditer("\n", self.text))]

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


_BLANK = re.compile(r"[ \t]*+")
_GAP = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*+")
_DOT = re.compile(r"[ \t]*+\.[ \t]*+")
_EQUALS = re.compile(r"[ \t]*+=[ \t]*+")
_KEY = re.compile(r"[A-Za-z0-9_-]++|\"(?:[^\"\\\n]|\\.)*+\"|'[^'\n]*+'")
_ATOM = re.compile(rf"{_STRING}|\d{{4}}-\d\d-\d\d \d\d:[^\s,\]}}#]*+|[^\s,\]}}#]++", re.DOTALL)


class _Scanner:
    """Walks valid TOML once and notes where values, keys and tables stand."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = len(text) - len(text.removeprefix(BOM))
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

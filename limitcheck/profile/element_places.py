"""Where the tables of a list stand in a text, with the commas and comments that go with them.

A [[name]] table takes whole lines, a {...} its place in a list. Pure.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from ..findings import KeyPath, path_text
from .places import Source
from .toml import BOM, STRING
from .write import ChangeRefused

_TOKEN = re.compile(rf"{STRING}|(?P<comment>#[^\r\n]*)", re.DOTALL)
_REMARK = re.compile(r"(?P<before>[ \t]*,?)(?P<remark>[ \t]*(?:#[^\r\n]*)?)(?=\r?\n|\Z)")
_COMMA = re.compile(r"[ \t]*,")


class Piece(NamedTuple):
    """A table with what belongs to it: `start` to `end`, of which `core` to `core_end` is its own.

    Begins where a line begins, and ends before a line end.
    """

    start: int
    core: int
    core_end: int
    end: int
    unclear: tuple[str, ...] = ()
    """Comments beside it that also touch another table."""


class Item(NamedTuple):
    """A {...} in a list, `start` to `end`; `comma` follows it, and `remark` ends its line."""

    start: int
    end: int
    comma: int
    remark: int
    last_on_line: bool
    has_comma: bool


def item_at(text: str, source: Source, path: KeyPath) -> Item:
    """A {...} in a list; raises `ChangeRefused` where there is none."""
    span = source.value_span(path)
    if span is None:
        raise ChangeRefused(f"{path_text(path)} is not a table of a list")
    found = _REMARK.match(text, span.end)
    if found is None:
        behind = _COMMA.match(text, span.end)
        comma = behind.end() if behind else span.end
        return Item(span.start, span.end, comma, comma, False, behind is not None)
    has_comma = found["before"].endswith(",")
    comma = found.end("before") if has_comma else span.end
    return Item(span.start, span.end, comma, found.end(), True, has_comma)


def piece_at(text: str, source: Source, path: KeyPath) -> Piece:
    """A [[name]] table with the tables below it; refused where others stand between them."""
    headers = [((), 0, 0), *source.headers]
    own = [k for k, (at, _, _) in enumerate(headers) if at[: len(path)] == path]
    if not own or own != list(range(own[0], own[-1] + 1)):
        raise ChangeRefused(f"{path_text(path)} is not written in one place")
    core = text.rfind("\n", 0, headers[own[0]][1]) + 1 or int(text.startswith(BOM))
    core_end = _content_end(text, source, headers[own[-1]][0])
    behind = headers[own[-1] + 1][1] if own[-1] + 1 < len(headers) else None
    next_line = len(text) if behind is None else text.rfind("\n", 0, behind) + 1
    _, start, unclear = _between(
        text, _content_end(text, source, headers[own[0] - 1][0]), core, core
    )
    end, _, unclear_below = _between(text, core_end, next_line, behind)
    return Piece(start, core, core_end, end, (*unclear, *unclear_below))


def _content_end(text: str, source: Source, path: KeyPath) -> int:
    """Where the line of a table's last pair ends; 0 or behind the mark for a text without."""
    end = source.table_end(path)
    if end is None or (path == () and end.empty):
        return int(text.startswith(BOM))
    return line_end(text, end.end)


def _between(
    text: str, start: int, end: int, behind: int | None
) -> tuple[int, int, tuple[str, ...]]:
    """Of the lines between two tables, where the comments of the first end and of the next begin.

    And the comments that touch both. `behind` is None at the end of the text.
    """
    top = not text[:start].removeprefix(BOM)
    first = start if top else text.find("\n", start) + 1 or len(text)
    lines = []
    at = first
    while at < end:
        stop = text.find("\n", at, end) + 1 or end
        lines.append((at, line_end(text, at), text[at:stop].strip(" \t\r\n") != ""))
        at = stop
    above = below = 0
    while above < len(lines) and lines[above][2]:
        above += 1
    while below < len(lines) and lines[-1 - below][2]:
        below += 1
    if above == len(lines) and behind is not None:  # touches both
        return start, end, tuple(text[a:b].strip() for a, b, _ in lines)
    trailing = lines[above - 1][1] if above and not top else start
    leading = lines[-below][0] if below and behind is not None else end
    return trailing, leading, ()


def line_end(text: str, at: int) -> int:
    """Where the line of an offset ends, before its line end."""
    stop = text.find("\n", at)
    if stop < 0:
        return len(text)
    return stop - (stop > at and text[stop - 1] == "\r")


def line_end_before(text: str, line: int) -> int:
    """Where the line before one that begins at `line` ends; `line` itself at the start."""
    if not line or text[line - 1] != "\n":
        return line
    return line - (2 if text.endswith("\r\n", 0, line) else 1)


def above(text: str, line: int) -> int:
    """Where the nearest line above that is not blank ends, before its line end."""
    end = line_end_before(text, line)
    while end < line:
        begin = text.rfind("\n", 0, end) + 1
        if text[begin:end].removeprefix(BOM).strip(" \t"):
            return end
        line, end = begin, line_end_before(text, begin)
    return line + (line == 0 and text.startswith(BOM))


def comments(text: str) -> tuple[str, ...]:
    """Every comment of a stretch that begins outside of any text in quotes."""
    return tuple(comment for _, comment in comment_places(text))


def comment_places(text: str) -> tuple[tuple[int, str], ...]:
    """The same, each with the offset that it begins at."""
    return tuple((m.start(), m["comment"]) for m in _TOKEN.finditer(text) if m["comment"])

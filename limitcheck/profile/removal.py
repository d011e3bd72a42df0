"""Takes single values out of a profile's text; every other character stays. Pure."""

from __future__ import annotations

import copy
import re
from typing import Any

from ..findings import KeyPath, path_text
from .element_places import above, comments, line_end
from .places import Source
from .toml import BOM, TomlError, parse
from .write import ChangeRefused, same_values

_BLANK_LINES = re.compile(r"(?:[ \t]*\r?\n)*")
_AFTER = re.compile(r"[ \t]*+(?:#[^\n]*+)?(?:\r?\n|\Z)")


def remove(text: str, path: KeyPath) -> str:
    """The text without the pair at a path: its line with the remark on it, or from {...}.

    Raises `ChangeRefused` where nothing stands there, or more than that would change.
    """
    source = Source(text)
    value, key = source.value_span(path), source.key_span(path)
    if value is None or key is None or not isinstance(path[-1], str):
        raise ChangeRefused(f"{path_text(path)} is not a value that can be taken out")
    wanted = copy.deepcopy(parse(text))
    drop(wanted, path, source)
    for start, end in _stretches(text, key.start, value.end):
        changed = text[:start] + text[end:]
        try:
            if same_values(parse(changed), wanted):
                return changed
        except TomlError:
            pass
    raise ChangeRefused(f"{path_text(path)} cannot be taken out without touching more")


def _stretches(text: str, start: int, end: int) -> list[tuple[int, int]]:
    """What may go, the most natural first: the line, or the pair with one comma."""
    found = []
    line = text.rfind("\n", 0, start) + 1
    line += text.startswith("\ufeff", line)
    if after := _AFTER.match(text, end):
        if not after[0].endswith("\n"):  # a text without a last line end keeps having none
            line -= 2 if text.endswith("\r\n", 0, line) else int(text.endswith("\n", 0, line))
        found.append((line, after.end()))
    before = re.search(r"[ \t]*,[ \t]*\Z", text[:start])
    behind = re.match(r"[ \t]*,[ \t]*", text[end:])
    if before:
        found.append((before.start(), end))
    if behind:
        found.append((start, end + behind.end()))
    if text[:start].endswith("{ ") and text.startswith(" ", end):  # as `assign` puts the first in
        found.append((start - 1, end + 1))
    return [*found, (start, end)]


def remove_list(text: str, path: KeyPath) -> tuple[str, tuple[str, ...]]:
    """The text without an empty list, and the comments in and behind it, which stay as lines.

    Raises `ChangeRefused` where no line can stand, as within {...}.
    """
    source = Source(text)
    span, around = source.value_span(path), source.table_end(path[:-1])
    assert span is not None
    assert around is not None
    end = line_end(text, span.end)
    kept = comments(text[span.start : span.end if around.inline else end])
    if not kept:
        return remove(text, path), ()
    wanted = copy.deepcopy(parse(text))
    drop(wanted, path, source)
    line = text.rfind("\n", 0, span.start) + 1
    line += text.startswith(BOM, line)
    indent = re.match(r"[ \t]*", text[line:])
    newline = "\r\n" if "\r\n" in text else "\n"
    lines = newline.join(f"{indent[0] if indent else ''}{comment}" for comment in kept)
    changed = text[:line] + lines + text[end:]
    if around.inline or not same_values(parse(changed), wanted):
        raise ChangeRefused(f"the comments in {path_text(path)} have no place of their own")
    return changed, kept


def remove_empty(text: str, path: KeyPath) -> str:
    """The text without a table that nothing is left in: its header with the remark on it, or {}.

    Comments on lines of their own stay. The same text where something is in it, or no such table.
    """
    source = Source(text)
    if _at(parse(text), path) != {} or not source.is_written(path):
        return text
    if source.value_span(path):
        return remove(text, path)
    header = source.key_span(path)
    assert header is not None
    line = text.rfind("\n", 0, header.start) + 1
    start, end = above(text, line), line_end(text, header.end)
    gap = _BLANK_LINES.match(text, end)
    behind = gap.end() if gap else end
    if not text[:start].removeprefix(BOM):  # the first line
        return text[:start] + text[behind:]
    if behind < len(text) and text.count("\n", end, behind) == 1:  # the next line has no gap above
        return text[:line] + text[behind:]
    return text[:start] + text[end:]


def _at(data: Any, path: KeyPath) -> Any:
    """What stands at a path; None for nothing."""
    try:
        for step in path:
            data = data[step]
    except (KeyError, IndexError, TypeError):
        return None
    return data


def drop(data: Any, path: KeyPath, source: Source) -> None:
    """Take out the value at a path, and the tables around it that only its keys made."""
    around = data
    for step in path[:-1]:
        around = around[step]
    del around[path[-1]]
    if not around and len(path) > 1 and not source.is_written(path[:-1]):
        drop(data, path[:-1], source)

"""Takes single values out of a profile's text; every other character stays. Pure."""

from __future__ import annotations

import copy
import re
from typing import Any

from ..findings import KeyPath, path_text
from .places import Source
from .toml import TomlError, parse
from .write import ChangeRefused, same_values

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
    _drop(wanted, path)
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


def _drop(data: Any, path: KeyPath) -> None:
    *parents, last = path
    for step in parents:
        data = data[step]
    del data[last]

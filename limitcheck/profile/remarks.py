"""By what each comment of a text stands, and which stand there no more in another text. Pure."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from typing import Any, NamedTuple

from ..findings import KeyPath
from .element_places import comment_places
from .places import Source
from .toml import TomlError, parse


class Moved(NamedTuple):
    """A comment that stood by the value, table or element at `path`, and does so no more."""

    comment: str
    path: KeyPath
    gone: bool
    """Whether the text has it no more; else it stands by something else."""


def moved(before: str, after: str) -> tuple[Moved, ...]:
    """The comments of a text that another has no more, or by something else.

    Paths are those of the text before. None where a text is not TOML, which has no places.
    """
    if before == after or "#" not in before:
        return ()
    try:
        parse(before), parse(after)
    except TomlError:
        return ()
    old, new = _standing(before), _standing(after)
    here = Counter(new)
    there = Counter(comment for comment, _ in new)
    left = [one for one in old if not _taken(here, one)]
    there -= Counter(comment for comment, _ in old) - Counter(comment for comment, _ in left)
    return tuple(Moved(comment, path, not _taken(there, comment)) for comment, path in left)


def _taken(some: Counter[Any], one: Any) -> bool:
    """Take one out; whether it was in there."""
    some[one] -= 1
    return some[one] >= 0


def _standing(text: str) -> list[tuple[str, KeyPath]]:
    """Each comment with the path that it stands by; of none: ()."""
    places = Source(text).begin_and_end
    begins = [begin for begin, _, _ in places]
    found = []
    for at, comment in comment_places(text):
        line = text.rfind("\n", 0, at) + 1
        on_line = bisect_left(begins, line)
        next_one = bisect_left(begins, at)
        if on_line < next_one:  # the first that begins on its line
            path = places[on_line][2]
        elif text[line:at].strip(" \t\ufeff"):  # behind the end of one that began above
            path = max((p for p in places[:on_line] if p[1] <= at), key=lambda p: p[1])[2]
        elif next_one < len(places) and _touch(text, at, begins[next_one]):
            path = places[next_one][2]
        else:
            above = places[next_one - 1] if next_one else None
            path = above[2] if above and _touch(text, above[1], at) else ()
        found.append((comment, path))
    return found


def _touch(text: str, start: int, end: int) -> bool:
    """Whether no line between the two is blank."""
    return all(line.strip() for line in text[start:end].split("\n")[1:-1])

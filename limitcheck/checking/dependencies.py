"""Which files a profile rests on: what it uses, what it was made from, and what these use.

Names are absolute. A file that is not there any more is named all the same, and every link on the
way to a file is, so that whatever of these changed can be found by its name.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from ..profile.shared import LONGEST_REFERENCE, USE, using
from ..profile.text import UnreadableProfile, parsed, read_file

Referred = Callable[[str], tuple[str, ...]]
_MOST_LINKS = 40
"""Links followed on the way to one file; as many as Linux follows."""


def rests_on(path: str, referred: Referred) -> frozenset[str]:
    """The names of a file, and of all files that it rests on; `referred` may remember."""
    names: set[str] = set()
    waiting = [os.path.abspath(path)]
    seen: set[str] = set()
    while waiting:
        file = waiting.pop()
        if file not in seen:
            seen.add(file)
            names.update(names_of(file))
            waiting += referred(file)
    return frozenset(names)


def referred(file: str) -> tuple[str, ...]:
    """The files that a file refers to itself. A broken one was broken before they changed."""
    try:
        content = read_file(file)
        if USE.encode() not in content and b"source" not in content:
            return ()
        data = parsed(content, file).data
    except UnreadableProfile:
        return ()
    folder = os.path.dirname(file)
    sensible = (name for name in _references(data) if len(name) <= LONGEST_REFERENCE)
    return tuple(os.path.join(folder, *name.split("/")) for name in sensible)


def _references(data: Mapping[str, Any]) -> Iterator[str]:
    for _, table in using(data):
        if isinstance(table[USE], str):
            yield table[USE].partition("#")[0]
    sources = data.get("source")
    for source in sources if isinstance(sources, list) else ():
        if isinstance(source, Mapping) and isinstance(source.get("path"), str):
            yield source["path"]


def names_of(file: str) -> Iterator[str]:
    """The name of a file without dots, of each link on the way to it, and of where it leads."""
    yield os.path.normpath(file)
    drive, rest = os.path.splitdrive(file)
    top = drive + os.sep
    at, steps, links = top, rest.split(os.sep)[::-1], 0
    while steps:
        step = steps.pop()
        if step == os.pardir:
            at = os.path.dirname(at)
            continue
        at = os.path.normpath(os.path.join(at, step))
        if links < _MOST_LINKS and os.path.islink(at):
            yield at
            links += 1
            target = os.readlink(at)
            at = top if os.path.isabs(target) else os.path.dirname(at)
            steps += os.path.splitdrive(target)[1].split(os.sep)[::-1]
    yield at

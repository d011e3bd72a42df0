"""Whether a place of a profile's text is the same in two versions of it. Pure."""

from __future__ import annotations

from itertools import permutations
from typing import Any

from ..findings import KeyPath
from ..profile.write import same_values

MOST_CHANGED = 60
"""Changed elements of one list that are told apart: each is held against each other one."""


class Compared:
    """The values of two texts; what it takes to tell elements apart is worked out once a list."""

    def __init__(self, old: Any, new: Any) -> None:
        self.old, self.new = old, new
        self._lists: dict[KeyPath, _Lists] = {}

    def still_the_same(self, path: KeyPath) -> bool:
        """Whether a path means the same in both, and the same value stands there."""
        same = self.same_element(path)
        return same and same_values(_at(self.old, path), _at(self.new, path))

    def same_element(self, path: KeyPath) -> bool:
        """Whether the elements of lists that a path leads through are the same in both."""
        for depth, step in enumerate(path):
            if not isinstance(step, int):
                continue
            at = path[:depth]
            if at not in self._lists:
                self._lists[at] = _Lists(_at(self.old, at), _at(self.new, at))
            if not self._lists[at].same(step, path[depth + 1 : depth + 2]):
                return False
        return True


class _Lists:
    """Two lists: which of their elements differ, and between which places some may have moved."""

    def __init__(self, old: Any, new: Any) -> None:
        self.old, self.new = old, new
        lists = isinstance(old, list) and isinstance(new, list)
        self.alike = lists and len(old) == len(new)
        self.differs: set[int] = set()
        self.unclear: set[int] = set()
        if not self.alike:
            return
        self.differs = {n for n in range(len(old)) if not same_values(old[n], new[n])}
        if len(self.differs) > MOST_CHANGED:
            self.alike = False
            return
        for one, other in permutations(sorted(self.differs), 2):
            own = min(_alike(old[n], new[n]) for n in (one, other))
            if _alike(old[one], new[other]) >= max(1, own):
                self.unclear |= set(range(min(one, other), max(one, other) + 1))

    def same(self, index: int, key: KeyPath) -> bool:
        """Whether both have the same element at a place, whatever its `key` says.

        An element is known by what else stands in it. Where others changed so that they may have
        passed it by, its place says nothing.
        """
        if not self.alike or index >= len(self.old) or index in self.unclear:
            return False
        if index not in self.differs:
            return True
        old, new = self.old[index], self.new[index]
        kinds = [_step(table, "part") for table in (old, new)]
        return same_values(*kinds) and _alike(old, new, key) > 0


def _alike(one: Any, other: Any, without: KeyPath = ()) -> int:
    """How many keys of two tables say the same."""
    if not isinstance(one, dict) or not isinstance(other, dict):
        return 0
    keys = (one.keys() & other.keys()).difference(without)
    return sum(same_values(one[key], other[key]) for key in keys)


def _at(data: Any, path: KeyPath) -> Any:
    for step in path:
        data = _step(data, step)
    return data


def _step(data: Any, step: str | int) -> Any:
    """What stands in a table or list; None for nothing."""
    try:
        return data[step]
    except (KeyError, IndexError, TypeError):
        return None

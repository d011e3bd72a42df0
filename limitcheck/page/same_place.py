"""Whether a place of a profile's text is the same in two versions of it. Pure."""

from __future__ import annotations

from itertools import permutations
from typing import Any

from ..findings import KeyPath
from ..profile.write import same_values


def still_the_same(old: Any, new: Any, path: KeyPath) -> bool:
    """Whether a path means the same in two texts, and the same value stands there."""
    return same_element(old, new, path) and same_values(_at(old, path), _at(new, path))


def same_element(old: Any, new: Any, path: KeyPath) -> bool:
    """Whether the elements of lists that a path leads through are the same in two texts."""
    for depth, step in enumerate(path):
        if isinstance(step, int) and not _same_at(old, new, step, path[depth + 1 : depth + 2]):
            return False
        old, new = _step(old, step), _step(new, step)
    return True


def _same_at(old: Any, new: Any, index: int, key: KeyPath) -> bool:
    """Whether two lists have the same element at a place, whatever its `key` says.

    An element is known by what else stands in it. Where others changed so that they may have
    passed it by, its place says nothing.
    """
    lists = isinstance(old, list) and isinstance(new, list)
    if not lists or len(old) != len(new) or index >= len(old):
        return False
    differs = [n for n in range(len(old)) if not same_values(old[n], new[n])]
    for one, other in permutations(differs, 2):
        own = min(_alike(old[n], new[n]) for n in (one, other))
        if min(one, other) <= index <= max(one, other) and _alike(old[one], new[other]) >= max(
            1, own
        ):
            return False
    if index not in differs:
        return True
    kinds = [_step(table, "part") for table in (old[index], new[index])]
    return same_values(*kinds) and _alike(old[index], new[index], key) > 0


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

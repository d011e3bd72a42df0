"""The patterns of a policy's `exclude`: which file one means, and which can mean none.

A pattern is of a path from the policy's folder. `*` is any text, `?` a character, `[ab]` one of
these; `**/` is any folders, or none. What names a folder means everything below it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fnmatch import fnmatch
from functools import lru_cache


def excluding(name: str, patterns: Sequence[str]) -> Iterator[str]:
    """The patterns that mean a file, given by its path from the policy's folder."""
    above = [name]
    while "/" in above[-1]:
        above.append(above[-1].rpartition("/")[0])
    for pattern in patterns:
        forms = _forms(pattern)
        if any(fnmatch(part, form) for part in above for form in forms):
            yield pattern


def pattern_problem(pattern: str) -> tuple[str, str] | None:
    """What is wrong with a pattern, and advice; None where it may match something."""
    if not pattern.strip():
        return "an empty pattern matches nothing", 'name a file or folder: exclude = ["old"]'
    if "\\" in pattern:
        straight = pattern.replace("\\", "/")
        return f'"{pattern}" has a backslash', f'write folders with /: "{straight}"'
    if pattern.startswith("/") or pattern[1:3] == ":/":
        return f'"{pattern}" is not a path from this folder', 'write it as in "old/tea.toml"'
    if ".." in pattern.split("/"):
        return f'"{pattern}" leads out of this folder', "put it into a policy of that folder"
    return None


@lru_cache(maxsize=1024)
def _forms(pattern: str) -> tuple[str, ...]:
    """A pattern without dots and slashes that say nothing, with and without each `**/`."""
    steps = [step for step in pattern.split("/") if step not in ("", ".")]
    if not steps:
        return ("*",)
    forms = [steps[-1:]]
    for step in reversed(steps[:-1]):
        longer = [[step, *form] for form in forms]
        forms = [*longer, *forms] if step == "**" else longer
    return tuple("/".join(form) for form in forms)

"""The files of a run narrowed to those git tracks, or to those that a change concerns.

Where git cannot be asked nothing is left out: every file on disk is checked, and that is said.
"""

from __future__ import annotations

import os
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from ..errors import Refused
from ..profile.text import UnreadableProfile, parsed, read_file
from .dependencies import Referred, names_of, referred, rests_on
from .git import NoGit, WorkingTree
from .misread_policies import OWN_FILE, SHARED_FILE, TABLE
from .policy_file import policy_for
from .results import some_of


class _Change(NamedTuple):
    """What changed in a working tree; None: all of it is new."""

    names: frozenset[str] | None
    policies: frozenset[str] = frozenset()
    """The folders whose policy changed."""

    @staticmethod
    @lru_cache(maxsize=1024)
    def followed(file: str) -> frozenset[str]:
        """The names of a file that another one may lead to by links."""
        return frozenset(names_of(os.path.abspath(file))) if os.path.islink(file) else frozenset()

    def concerns(self, path: str, referred: Referred) -> bool:
        """Whether a file, one it rests on, or the policy over it changed."""
        if self.names is None:
            return True
        changed = self.names
        if any(above in self.policies for above in _upward(_real(path))):
            return True
        policy = policy_for(Path(path)).source
        if policy is not None and not changed.isdisjoint(self.followed(policy)):
            return True
        return any(at in changed for name in rests_on(path, referred) for at in _upward(name))


class Narrowing:
    """What git says of the files below some paths; `remarks` is what has to be said of it.

    With `since`, a revision, also what changed since; a change of the files `over_all` concerns
    every profile. Raises Refused for a revision that is not there.
    """

    def __init__(
        self, paths: Iterable[str], since: str | None = None, over_all: Sequence[str] = ()
    ) -> None:
        self.since = since
        self._over_all = [name for file in over_all for name in names_of(os.path.abspath(file))]
        self.remarks: list[str] = []
        self._trees: dict[str, WorkingTree] = {}
        self._changes: dict[str, _Change] = {}
        self._referred = lru_cache(maxsize=1024)(referred)
        if since is not None and (not since or since.startswith("-")):
            raise Refused(f'--changed-since: "{since}" is no revision', "name a commit or branch")
        for folder in dict.fromkeys(map(_folder, paths)):
            self._ask(folder)

    def _ask(self, folder: str) -> None:
        try:
            tree = WorkingTree(folder)
            if tree.top in self._trees:
                return
            unstaged = sorted(filter(_is_toml, tree.unstaged.difference(*tree.absent)))
            change = None if self.since is None else _change(tree, self.since, self._over_all)
        except NoGit as error:
            self.remarks.append(
                f"{folder}: every file on disk is checked, whether it is tracked or not: "
                f"{error.message}"
            )
            return
        self._trees[tree.top] = tree
        if change is not None:
            self._changes[tree.top] = change
        if unstaged:
            self.remarks.append(
                "not as staged for the commit, checked as in the working tree: "
                f"{some_of([os.path.relpath(name) for name in unstaged])}"
            )

    def absent(self, folder: str) -> Iterator[tuple[str, bool]]:
        """The tracked TOML files below a folder that are not on disk, and whether that is meant.

        It is where a sparse checkout leaves them out; else the commit will hold what nobody checks.
        """
        real = os.path.realpath(folder)
        tree = self._tree(real)
        for meant, names in enumerate(tree.absent if tree is not None else ()):
            for name in sorted(filter(_is_toml, names)):
                if os.path.commonpath([name, real]) == real:
                    yield os.path.join(folder, os.path.relpath(name, real)), bool(meant)

    def advice(self, path: str) -> str:
        """How to have git track a file."""
        tree = self._tree(_real(path))
        if tree is not None and tree.ignores(_real(path)):
            return f"git add -f {path}, or take it out of .gitignore"
        return f"git add {path}"

    def tracks(self, path: str) -> bool:
        """Whether git tracks a file, or could not be asked."""
        real = _real(path)
        tree = self._tree(real)
        return tree is None or real in tree.files

    def searches(self, folder: str) -> bool:
        """Whether git tracks files in a folder, or could not be asked."""
        real = os.path.realpath(folder)
        tree = self._tree(real)
        return tree is None or real in tree.folders or real in tree.files

    def concerns(self, path: str) -> bool:
        """Whether a file has to be checked for what changed; one git does not track always."""
        tree = self._tree(_real(path))
        change = None if tree is None else self._changes.get(tree.top)
        return change is None or not self.tracks(path) or change.concerns(path, self._referred)

    def _tree(self, real: str) -> WorkingTree | None:
        return next((self._trees[at] for at in _upward(real) if at in self._trees), None)


def _change(tree: WorkingTree, since: str, over_all: Collection[str]) -> _Change:
    commit = tree.commit(since)
    names = None if commit is None else tree.changed(commit)
    if commit is None or names is None or not names.isdisjoint(over_all):
        return _Change(None)
    policies = {
        os.path.dirname(name)
        for name in names
        if (base := os.path.basename(name).lower()) == OWN_FILE
        or (base == SHARED_FILE and _policy_changed(tree, commit, name))
    }
    return _Change(names, frozenset(policies))


def _policy_changed(tree: WorkingTree, commit: str, name: str) -> bool:
    """Whether our table of the shared file is another than it was; a broken file counts."""
    try:
        before = _policy_table(tree.content(commit, name), name)
        after = _policy_table(read_file(name) if os.path.lexists(name) else None, name)
    except UnreadableProfile:
        return True
    return bool(before != after)


def _policy_table(content: bytes | None, name: str) -> Any:
    table: Any = {} if content is None else parsed(content, name, empty=True).data
    for step in TABLE:
        if not isinstance(table, Mapping):
            break
        table = table.get(step)
    return table


def _is_toml(name: str) -> bool:
    return name.lower().endswith(".toml")


def _folder(path: str) -> str:
    """The folder that a path is or lies in; for one that is not there, the nearest that is."""
    folder = path
    while not os.path.isdir(folder):
        folder = os.path.dirname(folder) or os.curdir
    return folder


def _real(path: str) -> str:
    """The path of a file itself, be it a link, in its real folder."""
    folder, name = os.path.split(os.path.abspath(path))
    return os.path.join(os.path.realpath(folder), name)


def _upward(path: str) -> Iterator[str]:
    """A path and every folder above it."""
    yield path
    while (above := os.path.dirname(path)) != path:
        yield (path := above)

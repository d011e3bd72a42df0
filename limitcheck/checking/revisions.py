"""Other revisions of a method in its repository: in other files, and in the history of its own."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from ..profile.load import ProfileFile, load_parsed
from ..profile.shared import marked_root
from ..profile.text import NotAProfile, UnreadableProfile, parsed, read_file
from .git import NoGit, WorkingTree

_SUFFIX = ".toml"
_MOST = 200
"""Commits of a file that are looked at."""
_SHOWN = 5
"""Names of what cannot be read that are said."""


class OtherRevision(NamedTuple):
    """A profile of the same method in another revision; of the history, `path` names the commit."""

    path: str
    sha256: str
    revision: str | None
    instrument: str


class OtherRevisions(NamedTuple):
    """What was found, and where it was looked for.

    `unreadable` are files and folders that cannot be read, and profiles that name the method and
    cannot be used, of today or of a commit. `no_history` is why git was not asked, or what of the
    history was not there to look at; empty where all of it was.
    """

    found: tuple[OtherRevision, ...]
    searched: str
    is_repository: bool
    unreadable: tuple[str, ...]
    no_history: str
    asked: bool

    @property
    def text(self) -> str:
        """What was looked at, in words."""
        where = "" if self.is_repository else " (it is in no repository)"
        told = f"{len(self.found) or 'none'} found in the files below {self.searched}{where}"
        told += " and in the git history of the profile" if self.asked else "; git was not asked"
        told += f": {self.no_history}" if self.no_history else ""
        if self.unreadable:
            names, more = self.unreadable[:_SHOWN], len(self.unreadable) - _SHOWN
            told += f"; cannot be read, and may hold one: {', '.join(names)}"
            told += f" and {more} more" if more > 0 else ""
        return f"Other revisions of the method: {told}."


def other_revisions(file: ProfileFile) -> OtherRevisions:
    """Those in the files around a profile, and in the history of its own file."""
    folder = os.path.dirname(os.path.realpath(file.path))
    root = marked_root(folder)
    unreadable: list[str] = []
    found = list(_in_files(file, root or folder, unreadable))
    try:
        tree = WorkingTree(folder)
        commits = tree.commits(os.path.realpath(file.path), _MOST)
        found += _in_history(file, tree, commits, unreadable)
        asked, no_history = True, "a shallow clone, without what was not fetched"
        if not tree.shallow:
            no_history = f"the latest {_MOST} commits" if len(commits) == _MOST else ""
    except NoGit as error:
        asked, no_history = False, error.message.partition(" (")[0]
    return OtherRevisions(
        tuple(found),
        os.path.relpath(root or folder),
        root is not None,
        tuple(unreadable),
        no_history,
        asked,
    )


def _in_files(file: ProfileFile, root: str, unreadable: list[str]) -> Iterator[OtherRevision]:
    for path in sorted(_toml_files(root, unreadable)):
        shown = os.path.relpath(path)
        try:
            content = read_file(path)
        except UnreadableProfile:
            unreadable.append(shown)
            continue
        if file.profile.method.id.encode() not in content:
            continue
        try:
            yield from _other(file, content, shown, path)
        except NotAProfile:
            continue
        except UnreadableProfile:
            unreadable.append(shown)


def _toml_files(root: str, unreadable: list[str]) -> Iterator[str]:
    def note(error: OSError) -> None:
        unreadable.append(os.path.relpath(error.filename))

    for folder, folders, names in os.walk(root, onerror=note):
        folders[:] = [name for name in folders if not name.startswith(".")]
        yield from (os.path.join(folder, n) for n in names if n.lower().endswith(_SUFFIX))


def _in_history(
    file: ProfileFile, tree: WorkingTree, commits: Iterable[tuple[str, str]], unreadable: list[str]
) -> Iterator[OtherRevision]:
    """Each other revision that the file held, as it was committed last."""
    told = set()
    for commit, name in commits:
        content = tree.content(commit, name)
        if content is None or file.profile.method.id.encode() not in content:
            continue
        shown = f"{os.path.relpath(name)} at {commit[:12]}"
        try:
            for item in _other(file, content, shown, name):
                if item.revision not in told:
                    told.add(item.revision)
                    yield item
        except NotAProfile:
            continue
        except UnreadableProfile:
            unreadable.append(shown)


def _other(file: ProfileFile, content: bytes, shown: str, path: str) -> Iterator[OtherRevision]:
    """The profile in some bytes, where it is another revision of the method."""
    other = load_parsed(parsed(content, path), only_profiles=True)
    method, theirs = file.profile.method, other.profile.method
    if theirs.id == method.id and theirs.revision != method.revision:
        sha256 = hashlib.sha256(content).hexdigest()
        yield OtherRevision(shown, sha256, theirs.revision, other.profile.instrument.id)

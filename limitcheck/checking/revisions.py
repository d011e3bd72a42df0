"""Other revisions of a method in its repository: in other files, and in the history of its own."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from typing import NamedTuple

from ..profile.load import ProfileFile, load_parsed
from ..profile.shared import marked_root
from ..profile.text import NotAProfile, UnreadableProfile, parsed, read_file
from .git import NoGit, WorkingTree

_SUFFIX = ".toml"


class OtherRevision(NamedTuple):
    """A profile of the same method in another revision; of the history, `path` names the commit."""

    path: str
    sha256: str
    revision: str | None
    instrument: str


class OtherRevisions(NamedTuple):
    """What was found, and where it was looked for.

    `unreadable` are files that name the method and cannot be read, `no_history` why git was not
    asked; empty where it was.
    """

    found: tuple[OtherRevision, ...]
    searched: str
    is_repository: bool
    unreadable: tuple[str, ...]
    no_history: str

    @property
    def text(self) -> str:
        """What was looked at, in words."""
        where = "" if self.is_repository else " (it is in no repository)"
        told = f"{len(self.found) or 'none'} found in the files below {self.searched}{where}"
        told += f"; git was not asked: {self.no_history}" if self.no_history else " and in git"
        if self.unreadable:
            told += f"; cannot be read, and may hold one: {', '.join(self.unreadable)}"
        return f"Other revisions of the method: {told}."


def other_revisions(file: ProfileFile) -> OtherRevisions:
    """Those in the files around a profile, and in the history of its own file."""
    folder = os.path.dirname(os.path.realpath(file.path))
    root = marked_root(folder)
    unreadable: list[str] = []
    found = list(_in_files(file, root or folder, unreadable))
    no_history = ""
    try:
        found += _in_history(file)
    except NoGit as error:
        no_history = error.message.partition(" (")[0]
    return OtherRevisions(
        tuple(found),
        os.path.relpath(root or folder),
        root is not None,
        tuple(unreadable),
        no_history,
    )


def _in_files(file: ProfileFile, root: str, unreadable: list[str]) -> Iterator[OtherRevision]:
    for path in sorted(_toml_files(root)):
        shown = os.path.relpath(path)
        try:
            content = read_file(path)
        except UnreadableProfile:
            continue
        if file.profile.method.id.encode() not in content:
            continue
        try:
            yield from _other(file, content, shown, path)
        except NotAProfile:
            continue
        except UnreadableProfile:
            unreadable.append(shown)


def _toml_files(root: str) -> Iterator[str]:
    for folder, folders, names in os.walk(root):
        folders[:] = [name for name in folders if not name.startswith(".")]
        yield from (os.path.join(folder, n) for n in names if n.lower().endswith(_SUFFIX))


def _in_history(file: ProfileFile) -> Iterator[OtherRevision]:
    """Each other revision that the file held, as it was committed last. Raises NoGit."""
    path = os.path.realpath(file.path)
    tree = WorkingTree(os.path.dirname(path))
    told = set()
    for commit in tree.commits(path):
        content = tree.content(commit, path)
        try:
            for item in _other(file, content or b"", f"{file.path} at {commit[:12]}", path):
                if item.revision not in told:
                    told.add(item.revision)
                    yield item
        except (NotAProfile, UnreadableProfile):
            continue


def _other(file: ProfileFile, content: bytes, shown: str, path: str) -> Iterator[OtherRevision]:
    """The profile in some bytes, where it is another revision of the method."""
    other = load_parsed(parsed(content, path), only_profiles=True)
    method, theirs = file.profile.method, other.profile.method
    if theirs.id == method.id and theirs.revision != method.revision:
        sha256 = hashlib.sha256(content).hexdigest()
        yield OtherRevision(shown, sha256, theirs.revision, other.profile.instrument.id)

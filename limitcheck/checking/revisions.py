"""Other revisions of a method in its repository."""

from __future__ import annotations

import os
from typing import NamedTuple

from ..profile.load import ProfileFile, load
from ..profile.shared import root_of
from ..profile.text import NotAProfile, UnreadableProfile, read_file
from .selection import select


class OtherRevision(NamedTuple):
    """A profile of the same method in another revision."""

    path: str
    sha256: str
    revision: str | None
    instrument: str


def other_revisions(file: ProfileFile) -> tuple[OtherRevision, ...]:
    """Those in the repository of a profile; a file that cannot be read is left out."""
    method, found = file.profile.method, []
    for target in select([os.path.relpath(root_of(file.path))]).targets:
        try:
            if method.id.encode() not in read_file(target.path):
                continue
            other = load(target.path, only_profiles=True)
        except (NotAProfile, UnreadableProfile):
            continue
        theirs = other.profile.method
        if theirs.id == method.id and theirs.revision != method.revision:
            path, there = os.path.normpath(other.path), other.profile.instrument.id
            found.append(OtherRevision(path, other.sha256, theirs.revision, there))
    return tuple(found)

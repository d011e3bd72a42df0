"""Whether the files that a profile was made from are still as they were."""

from __future__ import annotations

import os
from collections.abc import Iterator

from ..checks import check_name
from ..checks.made_from import source_changed
from ..findings import Finding, Undecided
from ..profile.answered import MadeFrom
from ..profile.instruments import load_instrument
from ..profile.load import ProfileFile, load
from ..profile.shared import in_reach
from ..profile.text import UnreadableProfile
from ..profile.values import values_sha256

_NAME = check_name(source_changed)


def changes_of_sources(file: ProfileFile) -> Iterator[Finding | Undecided]:
    """What changed, and which source could not be compared; nothing for one that is the same."""
    for index, source in enumerate(file.profile.source):
        path = ("source", index)
        place = os.path.join(os.path.dirname(file.path), *source.path.split("/"))
        if not in_reach(file.path, place):
            yield _open(f"{source.path} lies outside of this repository", index)
        elif not os.path.isfile(place):
            yield _open(f"{source.path}, which it was made from, is not there", index)
        else:
            try:
                sha256, values = _hashes(source, place)
            except UnreadableProfile:
                yield _open(f"{source.path}, which it was made from, cannot be read", index)
                continue
            if values != source.values:
                found = source_changed(source, (*path, "values"), sha256, values)
                yield found._replace(check=_NAME)


def _hashes(source: MadeFrom, place: str) -> tuple[str, str]:
    """SHA-256 of a file and of its values."""
    if source.gave == "instrument":
        described = load_instrument(place)
        return described.sha256, values_sha256(described.tables)
    read = load(place)
    return read.sha256, values_sha256(read.tables)


def _open(reason: str, index: int) -> Undecided:
    add = "the path of the source from here, or look at it by hand"
    return Undecided(_NAME, reason, add, ("source", index, "path"))

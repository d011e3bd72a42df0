"""From the arguments of a command to the profile files it means."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from fnmatch import fnmatch
from pathlib import Path

from ..errors import Refused, cut
from ..policy import Policy
from ..profile.load import ProfileFile, is_description, load
from ..profile.text import BEING_WRITTEN, NotAProfile, UnreadableProfile, parsed, read_file
from .policy_file import policy_for, real_folder
from .run import Target

_FORMAT = re.compile(rb"^[ \t\"']*format\b", re.MULTILINE)


def targets(
    paths: Iterable[str],
    *,
    skip_others: bool = False,
    complain: Callable[[str], None] | None = None,
    left_out: Callable[[Policy], None] | None = None,
) -> Iterator[Target]:
    """The named files, and every *.toml below the named folders in a stable order.

    A file that only describes an instrument or parts stands for the profiles that use it.
    A folder search leaves out hidden folders and what the repository's policy excludes, and
    does not follow links to folders; `skip_others` leaves out named files in the same way, so
    that a hook may name any file. `complain` is told of a description that nothing uses, and of
    what a killed write left behind, `left_out` of each policy that leaves a file out. Raises
    Refused for a path that does not exist.
    """
    seen: set[str] = set()
    for path in paths:
        if os.path.isdir(path):
            found: Iterable[Target] = _below(path, complain, left_out)
        elif skip_others and (policy := _excluding(Path(path))) is not None:
            found = []
            if left_out is not None:
                left_out(policy)
        else:
            found = _named(path, skip_others, complain)
        for target in found:
            key = os.path.realpath(target.path)
            if key not in seen:
                seen.add(key)
                yield target


def _named(
    path: str, skip_others: bool, complain: Callable[[str], None] | None
) -> Iterable[Target]:
    try:
        content = read_file(path)
        described = _FORMAT.search(content) is None and is_description(parsed(content, path).data)
    except UnreadableProfile:
        described = False
    return _users(path, complain) if described else [Target(path, named=not skip_others)]


def _users(path: str, complain: Callable[[str], None] | None) -> Iterator[Target]:
    """The profiles that use a description, in its repository; raises for a faulty one."""
    from ..profile.instruments import files_used, load_description
    from ..profile.shared import root_of
    from ..profile.text import read_text

    real, root = os.path.realpath(path), root_of(path)
    found = False
    for target in _below(os.path.relpath(root)):
        if real in files_used(target.path):
            found = True
            yield target._replace(path=os.path.normpath(target.path))
    if not found:
        load_description(read_text(path))
        if complain is not None:
            complain(f"{path}: a description that no profile in {root} uses: nothing is checked")


def _below(
    folder: str,
    complain: Callable[[str], None] | None = None,
    left_out: Callable[[Policy], None] | None = None,
) -> Iterator[Target]:
    waiting = [folder]  # not by recursion: folders may nest deeply
    while waiting:
        here = waiting.pop()
        try:
            folders, files = _listed(here)
        except OSError as error:
            yield Target(here, unlisted=error.strerror or str(error))
            continue
        waiting += (os.path.join(here, name) for name in reversed(folders))
        for name in files:
            path = os.path.join(here, name)
            if name.startswith(BEING_WRITTEN) and complain is not None:
                complain(f"{path}: left by a write that was stopped: remove it if none is running")
            if not name.endswith(".toml"):
                continue
            if (policy := _excluding(Path(path))) is None:
                yield Target(path, named=False)
            elif left_out is not None:
                left_out(policy)


def _listed(folder: str) -> tuple[list[str], list[str]]:
    """Folders to search and everything else in a folder, by name; raises OSError.

    Hidden folders and links to folders are in neither.
    """
    folders, files = [], []
    with os.scandir(folder) as entries:
        for entry in entries:
            is_folder = False
            with suppress(OSError):  # a link that leads nowhere
                is_folder = entry.is_dir()
            if not is_folder:
                files.append(entry.name)
            elif not entry.name.startswith(".") and not entry.is_symlink():
                folders.append(entry.name)
    return sorted(folders), sorted(files)


def _excluding(path: Path) -> Policy | None:
    """The policy that leaves a file out of a search."""
    policy = policy_for(path)
    if not policy.exclude or policy.source is None:
        return None
    real = real_folder(str(path.parent), os.getcwd()) / path.name
    relative = real.relative_to(Path(policy.source).parent).as_posix()
    return policy if any(fnmatch(relative, pattern) for pattern in policy.exclude) else None


def profiles(paths: Iterable[str]) -> list[tuple[ProfileFile, Policy]]:
    """Every profile among the files and folders, with its policy; raises Refused for none."""
    found = []
    for target in targets(paths):
        if target.unlisted:
            raise Refused(
                f"{cut(target.path, 300)}: cannot be listed: {target.unlisted}",
                "check the permissions and the length of the path",
            )
        with suppress(NotAProfile):
            file = load(target.path, only_profiles=not target.named)
            found.append((file, policy_for(Path(file.path))))
    if not found:
        raise Refused("no profile among these", "name profiles, or folders that hold some")
    return found

"""From the arguments of a command to the profile files it means, and what it leaves aside."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from ..errors import Refused, cut
from ..policy import Policy
from ..profile.load import ProfileFile, load
from ..profile.text import (
    BEING_WRITTEN,
    NotAProfile,
    UnreadableProfile,
    is_description,
    parsed,
    read_file,
)
from .excludes import excluding
from .kinds import FORMAT, SUFFIX, holds_toml, is_table, listed, may_use
from .looked import (
    EXCLUDED,
    HIDDEN_FOLDER,
    LINKED_FOLDER,
    NOT_CHECKED_OUT,
    SAME_FILE,
    TABLE,
    UNCHANGED,
    UNTRACKED,
    UNTRACKED_FOLDER,
    Exclude,
    Looked,
    Skipped,
    no_profile,
)
from .misread_policies import OWN_FILE, SHARED_FILE
from .policy_file import policy_for, real_folder
from .run import Target
from .table_rows import no_table

if TYPE_CHECKING:
    from .narrowing import Narrowing


class Selection(NamedTuple):
    """The files to check, and what was met besides."""

    targets: tuple[Target, ...]
    looked: Looked


def select(
    paths: Iterable[str], *, skip_others: bool = False, narrowing: Narrowing | None = None
) -> Selection:
    """The named files, and every *.toml below the named folders in a stable order.

    A file that only describes an instrument or parts stands for the profiles that use it.
    A named table is a target as well; in a folder it is skipped.
    A folder search leaves out hidden folders and what the repository's policy excludes, and
    does not follow links to folders; `skip_others` leaves out named files in the same way, so
    that a hook may name any file. Two names of one file are one target. A `narrowing` leaves out
    what git does not track of a folder, and what no change concerns. A folder that cannot be
    listed is a target, too. Raises UnreadableProfile for a policy in error.
    """
    search, here = _Search(narrowing), os.getcwd()
    found: dict[str, Target] = {}
    for path in paths:
        for target in search.targets_of(path, skip_others=skip_others):
            if narrowing is not None and not narrowing.concerns(target.path):
                search.skipped.append(Skipped(target.path, UNCHANGED))
                continue
            real = _real(target.path, here)
            first = found.setdefault(real, target)
            if first is not target:
                found[real] = search.one_of(first, target)
    return Selection(tuple(found.values()), search.looked)


def _real(path: str, here: str) -> str:
    """The path of a file without links; its folder, which holds others as well, is asked once."""
    folder, name = os.path.split(path)
    if not name or os.path.islink(path):
        return os.path.realpath(path)
    return os.path.join(str(real_folder(folder, here)), name)


class _Search:
    """Looks for files, and keeps what it met besides them."""

    def __init__(self, narrowing: Narrowing | None = None) -> None:
        self.narrowing = narrowing
        self.skipped: list[Skipped] = []
        self.remarks: list[str] = []
        self.leaving_out: dict[str, Policy] = {}
        self.matched: set[Exclude] = set()
        self.searched: dict[str, Policy] = {}
        """By path of a policy file: those whose whole folder was searched."""

    @property
    def looked(self) -> Looked:
        every = (
            Exclude(pattern, source)
            for source, policy in self.searched.items()
            for pattern in policy.exclude
        )
        unmatched = tuple(exclude for exclude in every if exclude not in self.matched)
        leaving_out = tuple(self.leaving_out.values())
        return Looked(tuple(self.skipped), unmatched, tuple(self.remarks), leaving_out)

    def targets_of(self, path: str, *, skip_others: bool) -> Iterable[Target]:
        if os.path.isdir(path):
            return self.below(path)
        exclude = self._exclude(path)
        if exclude is not None and skip_others:
            self.skipped.append(Skipped(path, EXCLUDED, exclude))
            return ()
        if exclude is not None:
            self.remarks.append(f"{path} is named, so it is checked in spite of {exclude.text}")
        return self._named(path, skip_others)

    def one_of(self, first: Target, second: Target) -> Target:
        """Of two names of one file its own before a link's, so that the policy beside it holds."""
        kept, left = first, second
        if os.path.islink(first.path) and not os.path.islink(second.path):
            kept, left = second, first
        if os.path.abspath(kept.path) != os.path.abspath(left.path):
            self.skipped.append(Skipped(left.path, SAME_FILE, same_as=kept.path))
        return kept._replace(named=first.named or second.named)

    def _named(self, path: str, skip_others: bool) -> Iterable[Target]:
        if is_table(path):
            if skip_others:
                self.skipped.append(Skipped(path, TABLE))
                return ()
            return [Target(path, table=True)]
        try:
            content = read_file(path)
            described = FORMAT.search(content) is None and is_description(
                parsed(content, path).data
            )
        except UnreadableProfile:
            described = False
        return self._users(path) if described else [Target(path, named=not skip_others)]

    def _users(self, path: str) -> Iterator[Target]:
        """The profiles that use a description, in its repository; raises for a faulty one."""
        from ..profile.instruments import files_used, load_description
        from ..profile.shared import root_of
        from ..profile.text import read_text

        real, root = os.path.realpath(path), root_of(path)
        found = False
        search = _Search(self.narrowing)
        for target in search.below(os.path.relpath(root)):
            if real in files_used(target.path) or may_use(target.path, path):
                found = True
                yield target._replace(path=os.path.normpath(target.path))
        users = [skip for skip in search.skipped if real in files_used(skip.path)]
        self.skipped += [skip._replace(path=os.path.normpath(skip.path)) for skip in users]
        if not found and not users:
            load_description(read_text(path))
            told = f"{path}: a description that no profile in {root} uses: nothing is checked"
            self.remarks.append(told)

    def below(self, folder: str) -> Iterator[Target]:
        """The files below a folder that may be profiles."""
        top = real_folder(folder, os.getcwd())
        waiting = [folder]  # not by recursion: folders may nest deeply
        while waiting:
            here = waiting.pop()
            try:
                folders, files = listed(here)
            except OSError as error:
                yield Target(here, unlisted=error.strerror or str(error))
                continue
            searched = [name for name in folders if self._is_searched(here, name)]
            waiting += (os.path.join(here, name) for name in reversed(searched))
            for name in files:
                path = os.path.join(here, name)
                if name.startswith(BEING_WRITTEN):
                    told = f"{path}: left by a write that was stopped: remove it if none is running"
                    self.remarks.append(told)
                elif is_table(name):
                    self._pass_table(path)
                elif not name.lower().endswith(SUFFIX) or self._is_policy(path, top):
                    continue
                elif (exclude := self._exclude(path)) is not None:
                    self.skipped.append(Skipped(path, EXCLUDED, exclude))
                elif self.narrowing is not None and not self.narrowing.tracks(path):
                    self.skipped.append(Skipped(path, UNTRACKED))
                else:
                    yield Target(path, named=False)
        if self.narrowing is not None:
            yield from self._absent(self.narrowing, folder)

    def _pass_table(self, path: str) -> None:
        """A table in a folder is not checked: it may be of anything, also one made of profiles."""
        excluded = self._exclude(path) is not None
        if not excluded and (self.narrowing is None or self.narrowing.tracks(path)):
            self.skipped.append(Skipped(path, TABLE))

    def _absent(self, narrowing: Narrowing, folder: str) -> Iterator[Target]:
        """What git tracks and the folder does not hold: of the commit, but not to be checked."""
        for path, meant in narrowing.absent(folder):
            if meant:
                self.skipped.append(Skipped(path, NOT_CHECKED_OUT))
            elif self._exclude(path) is None:
                yield Target(path, named=True)

    def _is_searched(self, root: str, name: str) -> bool:
        """Whether a folder is searched; a link is not, nor a hidden one, and both are said."""
        path = os.path.join(root, name)
        if name.startswith("."):
            if holds_toml(path):
                self.skipped.append(Skipped(path, HIDDEN_FOLDER))
            return False
        if os.path.islink(path):
            self.skipped.append(Skipped(path, LINKED_FOLDER))
            return False
        if self.narrowing is not None and not self.narrowing.searches(path):
            self.skipped.append(Skipped(path, UNTRACKED_FOLDER))
            return False
        return True

    def _is_policy(self, path: str, top: Path) -> bool:
        """Whether a file is the policy of its folder: that is read, though not as a profile."""
        if os.path.basename(path).lower() not in (OWN_FILE, SHARED_FILE):
            return False
        policy = policy_for(Path(path))
        if policy.source is None or os.path.realpath(path) != os.path.realpath(policy.source):
            return False
        if Path(policy.source).parent.is_relative_to(top):
            self.searched[policy.source] = policy
        return True

    def _exclude(self, path: str) -> Exclude | None:
        """What leaves a file out of a search."""
        policy = policy_for(Path(path))
        if not policy.exclude or policy.source is None:
            return None
        real = real_folder(os.path.dirname(path), os.getcwd()) / os.path.basename(path)
        name = real.relative_to(Path(policy.source).parent).as_posix()
        matching = [Exclude(pattern, policy.source) for pattern in excluding(name, policy.exclude)]
        self.matched.update(matching)
        if not matching:
            return None
        self.leaving_out[policy.source] = policy
        return matching[0]


def profiles(paths: Iterable[str]) -> tuple[list[tuple[ProfileFile, Policy]], Looked]:
    """Every profile among the files and folders, with its policy; raises Refused for none."""
    targets, looked = select(paths)
    found: list[tuple[ProfileFile, Policy]] = []
    skipped = list(looked.skipped)
    for target in targets:
        if target.unlisted:
            raise Refused(
                f"{cut(target.path, 300)}: cannot be listed: {target.unlisted}",
                "check the permissions and the length of the path",
            )
        if target.table:
            no_table(target.path)
        try:
            file = load(target.path, only_profiles=not target.named)
        except NotAProfile as error:
            skipped.append(Skipped(target.path, error.reason))
        else:
            found.append((file, policy_for(Path(file.path))))
    looked = looked._replace(skipped=tuple(skipped))
    if not found:
        raise no_profile(looked, "name profiles, or folders that hold some")
    return found, looked

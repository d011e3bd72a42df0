"""The chosen folder: which profiles it holds, and reading one of them or one that was dropped."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path, PureWindowsPath
from typing import NamedTuple

from ..checking.looked import NOTHING_SKIPPED, Looked, Skipped
from ..checking.policy_file import forget_policies, policy_for
from ..checking.results import FileReport
from ..checking.selection import select
from ..errors import Refused
from ..policy import Policy
from ..profile.instruments import files_used
from ..profile.load import ProfileFile, load, load_parsed
from ..profile.shared import USE, using
from ..profile.text import NotAProfile, UnreadableProfile, parsed, unreadable
from .states import Stamp, State, States, stamp

MOST_LISTED = 200
"""Profiles; of more, the name is typed instead of chosen from a list."""
LARGEST_DROPPED = 256_000
"""Bytes; a profile is a few thousand."""


@dataclass(frozen=True, slots=True)
class ProfileChoice:
    """A profile to choose: its name below the folder, and what to show for it."""

    name: str
    label: str
    shows: str = ""
    """Method, instrument and unit; empty where the file cannot be read."""


class _Label(NamedTuple):
    """What to show for a file; `skipped` is why it is not shown, empty where it is."""

    stamp: Stamp
    text: str
    shows: str
    skipped: str


class Folder:
    """Profiles below one folder; of what lies outside, only policies of folders above are read."""

    def __init__(self, path: str) -> None:
        self.path = path
        self._real = os.path.realpath(path)
        self.names: list[str] = []
        self._met = NOTHING_SKIPPED
        self._labels: dict[str, _Label] = {}
        self._states = States()

    def look(self) -> None:
        """Look again which files are there, and under which policies; raises Refused.

        `names` are then those of the TOML files, links that lead out left out.
        """
        forget_policies()
        self.names = []
        if not os.path.isdir(self.path):
            raise Refused(
                f"the folder {self.path} is gone", "open the page on the folder that is there now"
            )
        targets, self._met = select([self.path])
        targets = tuple(target for target in targets if not target.unlisted)
        inside = [target.path for target in targets if self.holds(target.path)]
        names = [Path(os.path.relpath(path, self.path)).as_posix() for path in inside]
        self.names = [name for name in names if name.isprintable()]
        for number, told in (
            (len(targets) - len(inside), "lead out of this folder by a link"),
            (len(names) - len(self.names), "have a name that a browser cannot give back"),
        ):
            if number:
                remark = f"Not shown: {number} that {told}"
                self._met = self._met._replace(remarks=(*self._met.remarks, remark))

    @property
    def looked(self) -> Looked:
        """What is skipped; what is in the files counts only where they are few enough to list."""
        few = self.names if len(self.names) <= MOST_LISTED else []
        labels = ((name, self._label(name)) for name in few)
        skipped = (Skipped(name, seen.skipped) for name, seen in labels if seen.skipped)
        return self._met._replace(skipped=(*self._met.skipped, *skipped))

    def choices(self) -> Iterator[ProfileChoice]:
        """Those of the files that are profiles, or were meant to be."""
        for name in self.names:
            seen = self._label(name)
            if not seen.skipped:
                yield ProfileChoice(name, seen.text, seen.shows)

    def choice(self, name: str) -> ProfileChoice | None:
        """The one of this name; None where it is no file of the folder, or no profile."""
        seen = self._label(name) if name in self.names else None
        return None if seen is None or seen.skipped else ProfileChoice(name, seen.text, seen.shows)

    def states(self, names: Sequence[str], today: date) -> list[tuple[str, State]]:
        """Those of these files that are profiles, by name, with what the checks say of them.

        A file that takes values from outside of the folder is left out.
        """
        stamps = {name: self._label(name).stamp for name in names}
        kept = [name for name in names if all(self.holds(path) for path, _ in stamps[name])]
        by_path = {self.path_of(name): name for name in kept}
        found = self._states.of({path: stamps[name] for path, name in by_path.items()}, today)
        return [(by_path[state.path], state) for state in found]

    def report(self, name: str, today: date) -> FileReport | None:
        """What the checks say of a file beside all others of the folder.

        None where there are too many to compare them for one answer.
        """
        if len(self.names) > MOST_LISTED:
            return None
        return next((s.report for own, s in self.states(self.names, today) if own == name), None)

    def load(self, name: str) -> ProfileFile:
        """A profile of the folder; raises Refused, UnreadableProfile."""
        if not name:
            raise Refused("no profile is chosen", "choose the profile of the method")
        if name not in self.names:
            raise Refused(f'"{name}" is not a profile in this folder', "choose one of the list")
        path = self.path_of(name)
        for used in sorted(files_used(path)):
            if not self.holds(used):
                raise Refused(
                    f"{name} uses {used}, which lies outside of this folder",
                    "open the page on the folder that holds both: limitcheck page FOLDER",
                )
        return load(path)

    def load_dropped(self, content: bytes, name: str) -> ProfileFile:
        """A profile from the bytes of a file that is not in the folder; it must stand alone."""
        name = PureWindowsPath(name).name or "dropped.toml"
        if len(content) > LARGEST_DROPPED:
            raise Refused(
                f"{name} has {len(content):,} bytes: far too large for a profile",
                "choose a profile (a few kilobytes of TOML)",
            )
        own = parsed(content, name)
        for path, _ in using(own.data):
            raise UnreadableProfile(
                name,
                (
                    unreadable(
                        "a dropped file can't take values from other files",
                        "put it into the folder of this page, and choose it from the list",
                        own.locate((*path, USE)),
                    ),
                ),
            )
        return load_parsed(own)

    def policy(self, name: str = "dropped.toml") -> Policy:
        """The policy for a profile of the folder, or for one dropped on it."""
        return policy_for(Path(self.path_of(name)))

    def path_of(self, name: str) -> str:
        """The path of a name below the folder, as `limitcheck check` would print it."""
        return os.path.join(self.path, *name.split("/"))

    def holds(self, path: str) -> bool:
        """Whether a path, its links followed, lies in the folder."""
        return Path(os.path.realpath(path)).is_relative_to(self._real)

    def _label(self, name: str) -> _Label:
        """What to show for a file, or why it is none to show; kept until it changes."""
        path = self.path_of(name)
        known = self._labels.get(name)
        if known is not None and known.stamp == stamp(file for file, _ in known.stamp):
            return known
        read, shows, skipped = [path], "", ""
        try:
            file = load(path, only_profiles=True)
        except NotAProfile as error:
            skipped = error.reason
        except UnreadableProfile:
            read += sorted(files_used(path))
        else:
            read += [used.path for used in file.uses]
            instrument = file.profile.instrument
            shows = f"{file.profile.method.id} on {instrument.id}, {instrument.pressure_unit}"
        text = f"{name}: {shows or 'cannot be used as it is'}"
        self._labels[name] = label = _Label(stamp(read), text, shows, skipped)
        return label

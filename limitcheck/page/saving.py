"""What the page may write: where, under which name, and only over what the person has seen."""

from __future__ import annotations

import hashlib
import os
import re
import unicodedata
from enum import Enum
from itertools import count
from pathlib import Path

from ..checking.excludes import excluding
from ..errors import LimitcheckError, Refused
from ..profile.atomic import CannotWrite, create_file, replace_file
from ..profile.text import UnreadableProfile, read_file
from .folder import Folder

LONGEST_NAME = 120
"""Characters of a new file's name, with the folders before it."""
_PLAIN = re.compile(r"(?![ .-])[\w .-]*\w\.toml")
_FOLDER = re.compile(r"(?![ .-])[\w .-]+(?<![ .])")
_TAKEN = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.IGNORECASE)
"""Names that Windows keeps for devices."""
_SETTINGS = ("limitcheck.toml", "pyproject.toml")


class Writing(Enum):
    """Whether profiles may be changed; the value is what the footer says."""

    OFF = "Nothing is written."
    EDIT = "Profiles in it are changed only after you have seen the change and confirmed it."
    READ_ONLY = "Nothing is written: this page was started with --read-only."

    @property
    def why_not(self) -> tuple[str, str]:
        """Why nothing may be changed, and what to do."""
        if self is Writing.READ_ONLY:
            return (
                "this page was started with --read-only: nothing can be changed here",
                "change the profile on another computer, or ask whoever started the page",
            )
        return (
            "this page was started without --edit: nothing can be changed here",
            "to change profiles, start it again: limitcheck page --edit FOLDER",
        )


class ChangedMeanwhile(LimitcheckError):
    """The file is not what the person opened; `now` is the digest of what is there."""

    def __init__(self, name: str, now: str) -> None:
        message = f"{name} was changed since this form was opened, here or by somebody else"
        super().__init__(message, "compare your text with the file as it is now, then save again")
        self.now = now


class Gone(Refused):
    """The file that the person opened is not there any more."""

    def __init__(self, name: str) -> None:
        super().__init__(f"{name} is no longer in this folder", "save your text as a new file")


def digest(content: bytes) -> str:
    """SHA-256 in hexadecimal digits."""
    return hashlib.sha256(content).hexdigest()


def opened(folder: Folder, name: str) -> bytes:
    """The bytes of a listed file of the folder; raises Refused, UnreadableProfile."""
    if name not in folder.names:
        raise Refused(f'"{name}" is not a profile in this folder', "choose one of the list")
    return read_file(_own_path(folder, name))


def still_there(folder: Folder, name: str) -> None:
    """Raises Gone, or Refused for what is a link now, where the folder lists no such file."""
    if name not in folder.names:
        _own_path(folder, name)
        raise Gone(name)


def new_name(folder: Folder, text: str) -> str:
    """The name of a new file as typed, below the folder, checked; raises Refused."""
    name = unicodedata.normalize("NFC", text.strip())
    advice = "write a name such as tea.toml or site/tea.toml: letters, digits, - and _"
    if not name:
        raise Refused("the new file has no name", advice)
    if len(name) > LONGEST_NAME or len(name.encode("utf-8", "replace")) > 2 * LONGEST_NAME:
        raise Refused(f"a name of more than {LONGEST_NAME} characters", advice)
    if not name.lower().endswith(".toml") and name[-1].isalnum():
        name += ".toml"
    *folders, last = name.split("/")
    good = _PLAIN.fullmatch(last) and all(_FOLDER.fullmatch(part) for part in folders)
    if not good or any(_TAKEN.fullmatch(part) for part in (*folders, last)):
        raise Refused(f'"{name}" cannot be the name of a profile', advice)
    if last.lower() in _SETTINGS:
        raise Refused(f"{last} is a file of settings, not of a profile", "give another name")
    path = _own_path(folder, name)
    if not os.path.isdir(os.path.dirname(path)):
        raise Refused(
            f"there is no folder {'/'.join(folders)} here", "make it first, or leave it out"
        )
    if os.path.lexists(path):
        raise Refused(f"{name} exists already", "give another name, or edit that profile")
    _of_its_own(path, name)
    policy = folder.policy(name)
    if policy.source is not None:
        real = Path(os.path.realpath(path)).relative_to(Path(policy.source).resolve().parent)
        for pattern in excluding(real.as_posix(), policy.exclude):
            raise Refused(
                f'{name} would not be checked: {policy.source} excludes "{pattern}"',
                "give a name, or a folder, that is not excluded",
            )
    return name


def _of_its_own(path: str, name: str) -> None:
    """Raises Refused for a name that differs from that of another file only by capitals.

    On Windows and macOS these two are one file.
    """
    place, last = os.path.split(path)
    taken = {_as_one(there): there for there in os.listdir(place)}
    if there := taken.get(_as_one(last)):
        begin, end = os.path.splitext(name)
        named = (f"{begin}-{number}{end}" for number in count(2))
        free = next(new for new in named if _as_one(new.rpartition("/")[2]) not in taken)
        raise Refused(
            f"{name} and {there}, which is there, are one file on Windows and macOS",
            f"give another name, such as {free}, or edit that profile",
        )


def _as_one(name: str) -> str:
    return unicodedata.normalize("NFC", name).casefold()


def inside(folder: Folder, name: str) -> None:
    """Raises Refused for a name that leads out of the folder, of which nothing may be read."""
    if "\0" in name or not folder.holds(folder.path_of(name)):
        raise Refused(f"{name} lies outside of this folder", "open a profile of this folder")


def save(folder: Folder, name: str, content: bytes, was: str) -> None:
    """Write a profile, over the content whose digest is `was`, or as a new file where that is "".

    Raises Refused, CannotWrite, and ChangedMeanwhile where the file holds something else.
    """
    if not was:
        create_file(_own_path(folder, new_name(folder, name)), content)
        return
    still_there(folder, name)
    path = _own_path(folder, name)
    now = _digest_of(path)
    if now == was:
        try:
            replace_file(path, content, was=was)
        except CannotWrite:
            if (now := _digest_of(path)) == was:
                raise
    if now != was:
        raise ChangedMeanwhile(name, now)


def _digest_of(path: str) -> str:
    try:
        return digest(read_file(path))
    except UnreadableProfile as error:
        raise Refused(error.message, "copy your text; nothing is written") from None


def _own_path(folder: Folder, name: str) -> str:
    """The path of a name, which must lead through no link and stay below the folder."""
    path = folder.path_of(name)
    plain = os.path.join(os.path.realpath(folder.path), *name.split("/"))
    if os.path.realpath(path) != plain or not folder.holds(path):
        raise Refused(f"{name} is reached by a link", "write the file where it is, not by a link")
    return path

"""The files of an import put in place: all of them or none, and none over another.

They are written into a folder beside the others, read there by the loader that every command
uses, and only then given their names.
"""

from __future__ import annotations

import os
import secrets
import shutil
from collections.abc import Mapping, Sequence
from contextlib import suppress
from functools import lru_cache, partial
from hashlib import sha256
from typing import Any, NamedTuple

from pydantic import ValidationError

from ..checking.pool import map_in_order
from ..errors import LimitcheckError
from ..profile.atomic import CannotWrite
from ..profile.load import load_parsed
from ..profile.pieces import Pieces
from ..profile.shared import USE, using
from ..profile.text import BEING_WRITTEN, read_text
from .remembered import without_collection

_SOME = 100
"""Profiles that are read again at a time, here or in another process."""


class Written(NamedTuple):
    """What was written, and what stood there already with just this content."""

    new: tuple[str, ...]
    same: tuple[str, ...]


def write_files(
    folder: str, profiles: Mapping[str, str], shared: Mapping[str, str], *, jobs: int | None = 1
) -> Written:
    """Write files by their path below a folder; raises CannotWrite, and then nothing is there.

    They are read again in `jobs` processes (None: by all processors) where there are many.
    """
    if os.path.exists(folder) and not os.path.isdir(folder):
        raise CannotWrite(f"{folder} is a file, nothing is written", "name a folder")
    contents = {path: text.encode("utf-8") for path, text in {**shared, **profiles}.items()}
    new = {path: data for path, data in contents.items() if not _stands(folder, path, data)}
    made: list[str] = []
    try:
        made += _folders(folder, contents)
        staged = os.path.join(folder, f"{BEING_WRITTEN}{secrets.token_hex(8)}")
        os.mkdir(staged)
        made.append(staged)
        _fill(staged, contents)
        paths = list(profiles)
        some = [paths[start : start + _SOME] for start in range(0, len(paths), _SOME)]
        for refused in map_in_order(partial(_read_again, staged), some, jobs):
            if refused is not None:
                raise refused
        for path in new:
            target = os.path.join(folder, path)
            os.link(os.path.join(staged, path), target)
            made.append(target)
    except BaseException as error:
        _undo(made)
        if isinstance(error, FileExistsError):
            raise CannotWrite(
                f"{error.filename2 or error.filename}: exists now, nothing is written",
                "run the command again",
            ) from None
        if isinstance(error, OSError):
            raise CannotWrite(
                f"{folder}: cannot be written: {error.strerror}; nothing is written",
                "check the folder and the permissions",
            ) from None
        raise
    finally:
        _reader.cache_clear()
    shutil.rmtree(staged, ignore_errors=True)
    return Written(tuple(new), tuple(path for path in contents if path not in new))


def _stands(folder: str, path: str, data: bytes) -> bool:
    """Whether a file stands there with this content; raises CannotWrite for another content."""
    target = os.path.join(folder, path)
    if not os.path.lexists(target):
        return False
    try:
        with open(target, "rb") as file:
            found = sha256(file.read()).digest()
    except OSError as error:
        raise CannotWrite(f"{target}: {error.strerror}", "name another folder") from None
    if found != sha256(data).digest():
        raise CannotWrite(
            f"{target}: exists already with another content, nothing is written",
            "name an empty folder, compare, and take over what holds",
        )
    return True


def _folders(folder: str, contents: Mapping[str, bytes]) -> list[str]:
    """Make the folders that are missing, and name them from the outermost on."""
    wanted = {os.path.dirname(os.path.join(folder, path)) for path in contents} | {folder}
    made: list[str] = []
    for path in sorted(wanted):
        missing, above = [], path
        while above and not os.path.isdir(above):
            missing.append(above)
            above = os.path.dirname(above)
        for one in reversed(missing):
            os.mkdir(one)
            made.append(one)
    return made


def _fill(staged: str, contents: Mapping[str, bytes]) -> None:
    for inner in dict.fromkeys(map(os.path.dirname, contents)):
        os.makedirs(os.path.join(staged, inner), exist_ok=True)
    for path, data in contents.items():
        with open(os.path.join(staged, path), "xb") as file:
            file.write(data)
    if hasattr(os, "sync"):
        os.sync()


def _read_again(staged: str, paths: Sequence[str]) -> CannotWrite | None:
    """Read profiles as every command does; what is wrong with the first that is refused."""
    reader = _reader(staged)
    with without_collection():
        for path in paths:
            try:
                reader.read(os.path.join(staged, path))
            except LimitcheckError as error:
                findings = getattr(error, "findings", ())
                told = findings[0].message if findings else error.message
                return CannotWrite(
                    f"{path}: would not be read: {told}; nothing is written",
                    "this is a fault of limitcheck; please report it",
                )
    return None


@lru_cache(maxsize=1)
def _reader(_: str) -> _Reader:
    """That of a folder, for all that this process reads there."""
    return _Reader()


class _Reader:
    """Reads profiles of one folder: what several use is followed and validated once."""

    def __init__(self) -> None:
        self._pieces = Pieces()
        self._filled: dict[object, Mapping[str, Any]] = {}

    def read(self, path: str) -> None:
        """Read and validate a profile; raises as `load`, which decides where there is a doubt."""
        own = read_text(path)
        used = list(using(own.data))
        key = os.path.dirname(path), *((at, table[USE]) for at, table in used)
        if any(len(table) > 1 for _, table in used) or not _is_whole(own.data):
            load_parsed(own)
        elif (filled := self._filled.get(key)) is None:
            self._filled[key] = load_parsed(own).tables
        else:
            data = {**own.data, "flow_path": list(own.data["flow_path"])}
            for at, _ in used:
                if at == ("instrument",):
                    data["instrument"] = filled["instrument"]
                else:
                    data["flow_path"][at[1]] = filled["flow_path"][at[1]]
            try:
                self._pieces.profile(data)
            except ValidationError:
                load_parsed(own)


def _is_whole(data: Mapping[str, Any]) -> bool:
    """Whether a file has the tables that every profile has."""
    parts = data.get("flow_path")
    return (
        data.get("format") == 1
        and all(isinstance(data.get(name), dict) for name in ("method", "instrument"))
        and isinstance(parts, list)
        and all(isinstance(part, dict) for part in parts)
    )


def _undo(made: list[str]) -> None:
    for path in reversed(made):
        with suppress(OSError):
            if os.path.basename(path).startswith(BEING_WRITTEN):
                shutil.rmtree(path)
            elif os.path.isdir(path):
                os.rmdir(path)
            else:
                os.unlink(path)

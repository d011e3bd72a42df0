"""Puts files in place whole: a reader sees the old file or the new one, never half of it.

A file that is replaced keeps its owner, mode and extended attributes, and a symbolic link to it
stays a link. A file with several names (hard links) is refused: replacing it would leave the
other names with the old content. What a killed write left behind is removed by the next one.
"""

from __future__ import annotations

import errno
import os
import re
import secrets
import shutil
import stat
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from hashlib import sha256
from pathlib import Path

from ..errors import LimitcheckError
from .text import BEING_WRITTEN

_BINARY = getattr(os, "O_BINARY", 0)
_NO_LINKS = (errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS)
"""How file systems say that they have no hard links."""
_LEFTOVER = re.compile(rf"{re.escape(BEING_WRITTEN)}[0-9a-f]{{16}}")
_ABANDONED = 600.0
"""Seconds after which a file that is being written is left over from a killed write."""


class CannotWrite(LimitcheckError):
    """A file could not be written; the old content, if any, is untouched."""


def replace_file(
    path: str | Path, data: bytes | Iterable[bytes], *, was: str | None = None
) -> None:
    """Put `data`, whole or in pieces, in the file in one step, so that all or none of it shows.

    `was` is the SHA-256 of the content that the data was made from: a file that holds another
    by now is not written. Raises `CannotWrite`.
    """
    with _refusing(path):
        target = os.path.realpath(path)
        with _written_beside(target, data, _status_of_regular_file(target)) as temporary:
            if was is not None and sha256(Path(target).read_bytes()).hexdigest() != was:
                raise CannotWrite(
                    f"{path}: has changed since it was read, nothing is written",
                    "run the command again",
                )
            os.replace(temporary, target)


def create_file(path: str | Path, data: bytes) -> None:
    """Write a new file, whole or not at all, never over another. Raises `CannotWrite`."""
    with _refusing(path):
        target = os.path.abspath(path)
        with _written_beside(target, data, None) as temporary:
            _give_new_name(temporary, target)


@contextmanager
def _refusing(path: str | Path) -> Iterator[None]:
    """What the system refuses, as CannotWrite."""
    try:
        yield
    except FileExistsError:
        advice = "name another file or remove it first"
        raise CannotWrite(f"{path}: exists already", advice) from None
    except (OSError, ValueError) as error:
        reason = (error.strerror if isinstance(error, OSError) else None) or error
        advice = "check the folder and the permissions"
        raise CannotWrite(f"{path}: cannot be written: {reason}", advice) from None


@contextmanager
def _written_beside(
    target: str, data: bytes | Iterable[bytes], like: os.stat_result | None
) -> Iterator[str]:
    """A file with the data in the folder of `target`, to be given its name; what is left goes."""
    folder = os.path.dirname(target)
    _remove_leftovers(folder)
    temporary = os.path.join(folder, f"{BEING_WRITTEN}{secrets.token_hex(8)}")
    try:
        _write_through(temporary, data, 0o666 if like is None else 0o600)
        if like is not None:
            _make_alike(temporary, target, like)
        yield temporary
    finally:
        with suppress(OSError):
            os.unlink(temporary)
    _sync_folder(folder)


def _remove_leftovers(folder: str) -> None:
    """Remove what killed writes left in a folder; another write may be under way, so old ones."""
    with suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            if _LEFTOVER.fullmatch(entry.name):
                with suppress(OSError):
                    if time.time() - entry.stat(follow_symlinks=False).st_mtime > _ABANDONED:
                        os.unlink(entry.path)


def _give_new_name(temporary: str, target: str) -> None:
    """Name a file that is complete; raises FileExistsError where the name is taken."""
    try:
        os.link(temporary, target)
    except OSError as error:
        if error.errno not in _NO_LINKS:
            raise
        # Without hard links: take the name first, so that no other file is written over.
        taken = os.open(target, os.O_WRONLY | os.O_CREAT | os.O_EXCL)
        try:
            os.close(taken)
            os.replace(temporary, target)
        except BaseException:
            os.unlink(target)
            raise


def _status_of_regular_file(path: str) -> os.stat_result | None:
    """The status of a file that may be replaced; None where there is none yet."""
    try:
        status = os.stat(path)
    except FileNotFoundError:
        return None
    if not stat.S_ISREG(status.st_mode):
        raise OSError(errno.EINVAL, "not a regular file")
    if not os.access(path, os.W_OK):
        raise OSError(errno.EACCES, "write-protected")
    if status.st_nlink > 1:
        raise CannotWrite(
            f"{path}: has {status.st_nlink} names (hard links), and only one would get the new "
            "content",
            "write to a copy with one name, or remove the other names",
        )
    return status


def _make_alike(path: str, target: str, like: os.stat_result) -> None:
    """Give a new file the owner, mode and extended attributes of the one it replaces."""
    made = os.stat(path)
    if (made.st_uid, made.st_gid) != (like.st_uid, like.st_gid) and hasattr(os, "chown"):
        try:
            os.chown(path, like.st_uid, like.st_gid)
        except PermissionError:
            raise CannotWrite(
                f"{target}: belongs to another user or group, and would not after writing",
                "ask its owner, or write to a copy",
            ) from None
    shutil.copystat(target, path)
    os.utime(path)


def _write_through(path: str, data: bytes | Iterable[bytes], mode: int) -> None:
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | _BINARY, mode)
    with os.fdopen(descriptor, "wb") as file:
        file.writelines([data] if isinstance(data, bytes) else data)
        file.flush()
        os.fsync(descriptor)


def _sync_folder(folder: str) -> None:
    """Make the new name last through a power cut, on systems that can open a folder."""
    with suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)

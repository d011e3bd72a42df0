"""Writing profiles: change single values of a text, and put files in place whole.

A text that people wrote keeps every character outside the changed values: comments, spacing, line
ends, byte-order mark. Files are replaced in one step, so that a reader sees the old or the new.
"""

from __future__ import annotations

import errno
import os
import re
import secrets
import stat
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import tomli_w

from ..errors import LimitcheckError
from ..findings import KeyPath, path_text
from .places import Source, TableEnd
from .toml import BOM, TomlError, parse

_BINARY = getattr(os, "O_BINARY", 0)
_NO_LINKS = (errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS)
"""How file systems say that they have no hard links."""


class ChangeRefused(LimitcheckError):
    """The change would touch more than the values asked for; nothing was changed."""


class CannotWrite(LimitcheckError):
    """A file could not be written; the old content, if any, is untouched."""


def assign(text: str, changes: Mapping[KeyPath, str]) -> str:
    """The text with the values at the given paths replaced by TOML value texts.

    A path without a value gets one: in its table, or in a new one at the end. Raises
    `ChangeRefused` where a new value is not one TOML value, TOML has no place for the new key,
    or the result differs from the old in anything but these values.
    """
    source = Source(text)
    wanted = parse(text)
    edits: list[tuple[int, int, str]] = []
    missing: dict[KeyPath, list[str]] = {}
    newline = "\r\n" if "\r\n" in text else "\n"
    for path, value in changes.items():
        _set(wanted, path, _only_value(path, value))
        span = source.value_span(path)
        if span:
            edits.append((span.start, span.end, value))
            continue
        pair = f"{_key(path[-1])} = {value}"
        table = source.table_end(path[:-1])
        if table:
            edits.append(_insertion(text, table, pair, newline))
        else:
            missing.setdefault(path[:-1], []).append(pair)
    pieces, at = [], 0
    for start, end, new in sorted(edits, key=lambda edit: edit[0]):
        pieces += [text[at:start], new]
        at = end
    changed = "".join([*pieces, text[at:]])
    for path, pairs in missing.items():
        if not changed.endswith("\n"):
            changed += newline
        header = f"[{'.'.join(map(_key, path))}]"
        changed += newline + "".join(line + newline for line in (header, *pairs))
    try:
        same = _same(parse(changed), wanted)
    except TomlError as error:
        raise ChangeRefused(f"the changed text would not be TOML: {error}") from None
    if not same:
        raise ChangeRefused("more than the values asked for would change")
    return changed


def _only_value(path: KeyPath, text: str) -> Any:
    """The value of a text that is one TOML value, with nothing around it."""
    document = f"value = {text}"
    try:
        data = parse(document)
    except TomlError as error:
        raise ChangeRefused(f"{path_text(path)}: {text} is not a TOML value: {error}") from None
    span = Source(document).value_span(("value",))
    if len(data) != 1 or not span or document[span.start : span.end] != text:
        raise ChangeRefused(f"{path_text(path)}: {text} is not one TOML value")
    return data["value"]


def _set(data: Any, path: KeyPath, value: Any) -> None:
    """Set the value at a path, with the tables it needs."""
    *parents, last = path
    try:
        for step in parents:
            data = data.setdefault(step, {}) if isinstance(data, dict) else data[step]
        data[last] = value
    except (AttributeError, IndexError, KeyError, TypeError):
        raise ChangeRefused(f"the file has no place for {path_text(path)}") from None


def _insertion(text: str, end: TableEnd, pair: str, newline: str) -> tuple[int, int, str]:
    """Where a further pair goes in a written table, and the text that puts it there."""
    pair = end.prefix + pair
    if end.inline:
        return end.end, end.end, f" {pair} " if end.empty else f", {pair}"
    indent = text[text.rfind("\n", 0, end.start) + 1 : end.start].removeprefix(BOM)
    at = text.find("\n", end.end) + 1
    if not at:
        return len(text), len(text), f"{newline}{indent}{pair}"
    return at, at, f"{indent}{pair}{newline}"


def _key(name: str | int) -> str:
    """A key as TOML writes it."""
    if isinstance(name, int):
        raise ChangeRefused("a new table cannot be an element of a list")
    if re.fullmatch(r"[A-Za-z0-9_-]+", name):
        return name
    return tomli_w.dumps({name: 0}).rpartition(" = ")[0]


def _same(one: Any, other: Any) -> bool:
    """Equal in value, type and spelling of numbers, which `==` alone does not tell."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(_same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_same, one, other))
    return type(one) is type(other) and repr(one) == repr(other)


def dump_profile(mapping: Mapping[str, Any]) -> str:
    """The text of a new profile; `Decimal` values keep their digits.

    Flat tables of a list stand one by one, as people write parts: [[flow_path]].
    """
    listed = {key: value for key, value in mapping.items() if _flat_tables(value)}
    rest = tomli_w.dumps({key: value for key, value in mapping.items() if key not in listed})
    tables = ((key, table) for key, value in listed.items() for table in value)
    return rest + "".join(f"\n[[{_key(key)}]]\n{tomli_w.dumps(table)}" for key, table in tables)


def _flat_tables(value: Any) -> bool:
    return (
        isinstance(value, list)
        and bool(value)
        and all(isinstance(item, Mapping) for item in value)
        and not any(isinstance(part, dict | list) for item in value for part in item.values())
    )


def replace_file(path: str | Path, data: bytes | Iterable[bytes]) -> None:
    """Put `data`, whole or in pieces, in the file in one step, so that all or none of it shows.

    The permission bits of a file that is there are kept. A symbolic link stays, and the file it
    leads to is replaced. Raises `CannotWrite`.
    """
    with _refusing(path):
        target = os.path.realpath(path)
        with _written_beside(target, data, _mode_of_regular_file(target)) as temporary:
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
def _written_beside(target: str, data: bytes | Iterable[bytes], mode: int | None) -> Iterator[str]:
    """A file with the data in the folder of `target`, to be given its name; what is left goes."""
    folder = os.path.dirname(target)
    temporary = os.path.join(folder, f".limitcheck-{secrets.token_hex(8)}")
    try:
        _write_through(temporary, data, mode)
        yield temporary
    finally:
        with suppress(OSError):
            os.unlink(temporary)
    _sync_folder(folder)


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


def _mode_of_regular_file(path: str) -> int | None:
    """The permission bits of the file; None where there is none yet."""
    try:
        status = os.stat(path)
    except FileNotFoundError:
        return None
    if not stat.S_ISREG(status.st_mode):
        raise OSError(errno.EINVAL, "not a regular file")
    if not os.access(path, os.W_OK):
        raise OSError(errno.EACCES, "write-protected")
    return stat.S_IMODE(status.st_mode)


def _write_through(path: str, data: bytes | Iterable[bytes], mode: int | None) -> None:
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | _BINARY, 0o666)
    with os.fdopen(descriptor, "wb") as file:
        if mode is not None:
            os.chmod(path, mode)
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

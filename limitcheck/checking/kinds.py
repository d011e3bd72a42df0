"""What a file or a folder may be, by its name and by what stands in it."""

from __future__ import annotations

import os
import re
from contextlib import suppress

from ..profile.text import UnreadableProfile, parsed, read_file

SUFFIX = ".toml"
"""Of the files of a folder that are looked at, in capital letters or small ones."""
TABLE_SUFFIXES = (".csv", ".tsv", ".xlsx", ".xlsm", ".xlsb", ".xls", ".ods", ".fods")
"""Of files that are tables, in capital letters or small ones."""
_MOST_HIDDEN = 2000
"""Entries of a hidden folder that are looked at for TOML files."""
FORMAT = re.compile(rb"^[ \t\"']*format\b", re.MULTILINE)
"""A line that every profile has."""


def listed(folder: str) -> tuple[list[str], list[str]]:
    """Folders, also by a link, and everything else in a folder, by name; raises OSError."""
    folders: list[str] = []
    files: list[str] = []
    with os.scandir(folder) as entries:
        for entry in entries:
            is_folder = False
            with suppress(OSError):  # a link that leads to itself
                is_folder = entry.is_dir()
            (folders if is_folder else files).append(entry.name)
    return sorted(folders), sorted(files)


def is_table(path: str) -> bool:
    """Whether a file is a table by the ending of its name."""
    return path.lower().endswith(TABLE_SUFFIXES)


def may_be_profile(path: str) -> bool:
    """Whether a file has a line with `format`, as every profile does, or cannot be read."""
    try:
        return FORMAT.search(read_file(path)) is not None
    except UnreadableProfile:
        return True


def may_use(path: str, description: str) -> bool:
    """Whether a file that cannot be read names a description: then it may be a user of it."""
    content = b""
    try:
        parsed(content := read_file(path), path)
    except UnreadableProfile:
        return os.path.basename(description).encode() in content
    return False


def holds_toml(folder: str) -> bool:
    """Whether TOML files stand in or below a hidden folder, among its first entries."""
    if os.path.basename(folder) == ".git":
        return False
    seen = 0
    for _, _, names in os.walk(folder):
        if any(name.lower().endswith(SUFFIX) for name in names):
            return True
        seen += 1 + len(names)
        if seen > _MOST_HIDDEN:
            break
    return False

"""How a file is named for others: from the root of its repository, however it was typed.

The root is the nearest folder upward with `.git`, else with a policy file, else the current
folder for what lies in it. Links in the folders are followed; the file keeps its own name.
"""

from __future__ import annotations

import os
from functools import lru_cache
from pathlib import Path


def root_name(path: str) -> str:
    """The path from the root, with forward slashes; one that lies in no root stays whole.

    Bytes that are no text are written as escapes.
    """
    folder, name = os.path.split(os.path.abspath(path))
    return _below_root(folder, os.getcwd()) + _plain(name)


def root_folder(path: str) -> str | None:
    """The root that a file is named from; None where it lies in none."""
    folder = os.path.dirname(os.path.abspath(path))
    return _root(folder, os.getcwd())[1]


@lru_cache(maxsize=4096)
def _below_root(folder: str, here: str) -> str:
    real, root = _root(folder, here)
    below = real if root is None else os.path.relpath(real, root)
    return "" if below == os.curdir else _plain(below).rstrip("/") + "/"


@lru_cache(maxsize=4096)
def _root(folder: str, here: str) -> tuple[str, str | None]:
    from ..profile.shared import marked_root  # most runs need none of it

    real, here = os.path.realpath(folder), os.path.realpath(here)
    root = marked_root(real)
    if root is None and os.path.join(real, "").startswith(os.path.join(here, "")):
        root = here
    return real, root


def _plain(name: str) -> str:
    return shown_text(name.replace(os.sep, "/"))


def shown_path(path: str) -> str:
    """A path from the current folder where it lies below that, else whole."""
    try:
        return str(Path(path).relative_to(Path.cwd()))
    except (OSError, ValueError):
        return path


def shown_text(name: str) -> str:
    """A file name that may hold bytes that are no text, as text that every output can carry."""
    return name.encode("utf-8", "backslashreplace").decode("utf-8")

"""Names of the files that an import writes: from ids, safe on every system, each once."""

from __future__ import annotations

import re
from unicodedata import normalize

_RESERVED = frozenset(
    ("con", "prn", "aux", "nul", *(f"{p}{n}" for p in ("com", "lpt") for n in range(1, 10)))
)
"""Names that Windows does not give to files."""
_LONGEST = 120


def file_name(*ids: str) -> str:
    """A name in small letters, without an ending.

    >>> file_name("KB-TEA-014", "KB/LC 03"), file_name("Süd", ""), file_name("con")
    ('kb-tea-014-kb-lc-03', 'sud', 'con-1')
    """
    folded = normalize("NFKD", "-".join(part for part in ids if part)).casefold()
    name = re.sub(r"[^a-z0-9.]+", "-", re.sub(r"[\u0300-\u036f]", "", folded)).strip("-.")
    name = name[:_LONGEST].strip("-.") or "unnamed"
    return f"{name}-1" if name.partition(".")[0] in _RESERVED else name


class FileNames:
    """Gives each thing a name of its own: the second of one name ends in -2."""

    def __init__(self) -> None:
        self._taken: dict[str, str] = {}

    def give(self, folder: str, *ids: str) -> str:
        """The path of a file for these ids, with forward slashes; the same for the same ids."""
        key = "\0".join((folder, *ids))
        base, number = folder + file_name(*ids), 1
        path = f"{base}.toml"
        while self._taken.setdefault(path, key) != key:
            number += 1
            path = f"{base}-{number}.toml"
        return path

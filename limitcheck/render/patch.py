"""Corrections as a patch that `git apply` takes at the root of the repository.

The form is that of `git diff`: names from the root, quoted as git does where they have signs
beyond printable ASCII, and every line as it stands in the file, with its own line end.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from difflib import SequenceMatcher

from ..checking.corrections import Fix
from ..checking.root import root_folder

CONTEXT = 3
"""Lines shown around a change."""


def patch(fix: Fix) -> bytes:
    """The patch of one file, in the bytes of the file."""
    before, after = (_lines(text) for text in (fix.before, fix.after))
    old, new = (_quoted(f"{side}/", _name(fix.path)) for side in "ab")
    pieces = [f"diff --git {old} {new}\n", f"--- {_ended(old)}\n", f"+++ {_ended(new)}\n"]
    for group in SequenceMatcher(None, before, after, autojunk=False).get_grouped_opcodes(CONTEXT):
        (_, first, _, second, _), (_, _, last, _, end) = group[0], group[-1]
        pieces.append(f"@@ -{_span(first, last)} +{_span(second, end)} @@\n")
        for tag, i, j, k, m in group:
            if tag == "equal":
                pieces += _signed(" ", before[i:j])
                continue
            pieces += _signed("-", before[i:j])
            pieces += _signed("+", after[k:m])
    return "".join(pieces).encode("utf-8")


def _lines(text: str) -> list[str]:
    """Lines as git counts them: only a line feed ends one."""
    *whole, rest = text.split("\n")
    return [f"{line}\n" for line in whole] + ([rest] if rest else [])


def _signed(sign: str, lines: list[str]) -> Iterator[str]:
    for line in lines:
        yield sign + line
        if not line.endswith("\n"):
            yield "\n\\ No newline at end of file\n"


def _span(start: int, end: int) -> str:
    """A hunk's range: its first line from 1 (the line before it where it is empty), its length."""
    length = end - start
    return f"{start + 1 if length else start},{length}"


def _name(path: str) -> bytes:
    """The real file from its root; a link is followed, for a patch changes what it leads to."""
    real = os.path.realpath(path)
    root = root_folder(real) or os.path.abspath(os.sep)
    return os.fsencode(os.path.relpath(real, root).replace(os.sep, "/"))


def _quoted(side: str, name: bytes) -> str:
    plain = all(0x20 <= byte < 0x7F and byte not in b'"\\' for byte in name)
    if plain:
        return side + name.decode("ascii")
    return f'"{side}{"".join(map(_sign, name))}"'


def _sign(byte: int) -> str:
    if byte in b'"\\':
        return f"\\{byte:c}"
    return f"{byte:c}" if 0x20 <= byte < 0x7F else f"\\{byte:03o}"


def _ended(name: str) -> str:
    """With the tab that git puts after a name with a space, so that its end is seen."""
    return f"{name}\t" if " " in name and not name.startswith('"') else name

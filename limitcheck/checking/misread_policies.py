"""Where a policy stands in a folder, and what only looks like one.

A name that is nearly right must not mean that nothing is read: it is refused.
"""

from __future__ import annotations

import os
from collections.abc import Collection, Mapping
from pathlib import Path
from typing import NoReturn

from ..findings import Finding, KeyPath, Severity
from ..profile.problems import Problem
from ..profile.text import ParsedText, UnreadableProfile, open_regular, parsed, read_file, refusal

OWN_FILE, SHARED_FILE = "limitcheck.toml", "pyproject.toml"
TABLE = ("tool", "limitcheck")
"""Where a policy stands in the shared file."""
_CHECK = "unreadable-settings"


def policies_in(folder: Path, keys: Collection[str]) -> list[Path]:
    """The file with the policy of a folder, if it has one; `keys` are those of a policy.

    Raises UnreadableProfile for two, and for what is nearly one.
    """
    own = [folder / name for name in _names_like_ours(folder, keys)]
    shared = folder / SHARED_FILE
    found = own + ([shared] if os.path.isfile(shared) and _holds_policy(shared) else [])
    if len(found) > 1:
        first, second = (path.name for path in found[:2])
        _refuse(folder / second, f"{first} beside it is a policy, too", f"keep one: {first}")
    return found


def _names_like_ours(folder: Path, keys: Collection[str]) -> list[str]:
    """Names of the policy file in any case; raises for one misspelt that holds a policy."""
    try:
        names = [name for name in os.listdir(folder) if name[-5:].lower() == OWN_FILE[-5:]]
    except OSError:  # a folder that may be passed through, but not listed
        names = [OWN_FILE] if os.path.lexists(folder / OWN_FILE) else []
    ours = [name for name in names if name.lower() == OWN_FILE]
    for name in () if ours else names:
        if _nearly(name.lower(), OWN_FILE):
            _refuse_a_policy_in(folder / name, keys)
    return sorted(ours)


def _nearly(name: str, ours: str) -> bool:
    """Whether a name is probably ours, misspelt."""
    if not (name.lstrip("._-").startswith("li") or "check" in name):
        return False
    from difflib import SequenceMatcher  # only for the few names that might be

    return SequenceMatcher(None, name.lower(), ours).ratio() > 0.85


def _refuse_a_policy_in(path: Path, keys: Collection[str]) -> None:
    """Refuse a file whose name is nearly a policy's where it holds one, too."""
    try:
        data = parsed(read_file(path), str(path), empty=True).data
    except UnreadableProfile:
        return
    if data.keys() & set(keys) and "format" not in data:
        _refuse(path, "not read, but it holds a policy", f"rename it {OWN_FILE}")


def _holds_policy(path: Path) -> bool:
    """Whether the shared file has our table; raises UnreadableProfile for one nearly ours."""
    try:
        own = parsed(read_file(path), str(path), empty=True)
    except UnreadableProfile:
        if not _names_us(path):
            return False  # nothing of ours: somebody else's fault to find
        raise
    if TABLE[1] in own.data:
        _refuse_key(own, TABLE[1:], f"write [{'.'.join(TABLE)}]")
    for name, table in own.data.items():
        if name.lower() == TABLE[0] and isinstance(table, Mapping):
            for key in table:
                if (name, key) != TABLE and _nearly(key, TABLE[1]):
                    _refuse_key(own, (name, key), f"did you mean [{'.'.join(TABLE)}]?")
    table = own.data.get(TABLE[0])
    return isinstance(table, Mapping) and TABLE[1] in table


def _names_us(path: Path) -> bool:
    """Whether our name stands in a file, of whatever size; so it may where it cannot be read."""
    name, rest = TABLE[1].encode(), b""
    try:
        with open_regular(path) as file:
            while piece := file.read(1_000_000):
                if name in rest + piece:
                    return True
                rest = piece[-len(name) :]
    except OSError:
        return True
    return False


def _refuse_key(own: ParsedText, path: tuple[str, ...], advice: str) -> NoReturn:
    told = f"[{'.'.join(path)}] is not read: it is no policy"
    raise refused(own, [Problem(path, told, advice, at_key=True)], ())


def _refuse(path: Path, message: str, advice: str) -> NoReturn:
    raise as_settings(refusal(str(path), message, advice))


def as_settings(error: UnreadableProfile) -> UnreadableProfile:
    """What makes a file unreadable, said of a policy."""
    findings = tuple(finding._replace(check=_CHECK) for finding in error.findings)
    return UnreadableProfile(error.path, findings)


def refused(own: ParsedText, problems: list[Problem], prefix: KeyPath) -> UnreadableProfile:
    """The refusal of a policy with all that is wrong in it, below `prefix`."""
    findings = tuple(
        Finding(
            Severity.ERROR,
            p.message,
            p.advice,
            (*prefix, *p.path),
            check=_CHECK,
            location=own.locate((*prefix, *p.path), key=p.at_key),
        )
        for p in problems
    )
    return UnreadableProfile(own.name, findings)

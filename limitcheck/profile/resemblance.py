"""Whether a file was meant to be a profile, where it does not begin like one.

A profile with a misspelt table must not be skipped as some other file; other TOML must not stop
a folder search. What is looked for: names of a profile's tables and keys, with one slip each. In
doubt a file is taken for a profile, so that somebody looks at it.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import islice
from typing import Any, get_args

from pydantic import BaseModel

from ..findings import Finding
from .model import Profile
from .text import LARGEST_FILE, ParsedText, is_description, unreadable

NOT_A_PROFILE, DESCRIPTION, LOCK_FILE = "not-a-profile", "description", "lock-file"
NOT_TOML, TOO_LARGE, EMPTY = "not-toml", "too-large", "empty"

_LOCK = re.compile(r"(^|[._-])(py)?lock[._-]")
"""In names of files that a package manager writes; `pylock.toml` is that of the Python packaging
specification for lock files (PEP 751), the others are common practice."""
_SHARED_SETTINGS = "pyproject.toml"
_SCHEMA_LINE = re.compile(rb"^[ \t]*+#[ \t]*+:?[ \t]*+schema\b.*(limitcheck|profile\.schema)", re.M)
_HEADER = re.compile(r"[ \t]*\[\[?[ \t]*([^\]#=\n]+)")
_PAIR = re.compile(r"[ \t]*([\w.\"'-]+)[ \t]*[=:][ \t]*(.*)")
_PAIR_WITHIN = re.compile(r"(?<![\w-])([\w-]++)[\"']?[ \t]*+[=:]")
_PRESSURE = re.compile(r"[\d.]+ *(psi|bar|mpa|kpa|kgf/cm)", re.I)
_TELLING = frozenset(
    (
        *("pressureunit", "displaystep", "entrymax", "percentb", "solventa", "solventb"),
        *("ratingatflow", "ratingattemperature", "particlesize", "inletfrit", "outletfrit"),
    )
)
"""Keys that hardly stand in a file of another kind."""
_OUR_OWN = ("cutoffs", "flowpath")
"""Tables that hardly stand in a file of another kind."""
_PRESSURES = ("rating", "high", "low")
_SHORTEST = 5
"""Letters of a name in which one slip is forgiven."""
_MOST_KEYS = 2000
"""Keys of a table, or tables of a list, that are compared; a profile has twenty."""


def kind_of(own: ParsedText) -> str | None:
    """What else a file is; None for a profile, and for what was meant to be one."""
    data, name = own.data, os.path.basename(own.name).lower()
    never = _is_never_ours(name)
    if not never and (_is_first_format(data) or _has_schema_line(own.text.encode())):
        return None
    if _describes(data):
        return DESCRIPTION
    if _resembles(data) or (not never and any(map(_resembles, _tables_in(data)))):
        return None
    return LOCK_FILE if _LOCK.search(name) else NOT_A_PROFILE


def kind_of_unreadable(path: str) -> str | None:
    """What else a file is that cannot be read as a profile is; None where it may be one.

    What cannot be opened at all may be anything, so that only its name can say that it is none.
    """
    name = os.path.basename(path).lower()
    never = _is_never_ours(name)
    other = LOCK_FILE if _LOCK.search(name) else NOT_A_PROFILE if never else None
    try:
        if not os.path.isfile(path):
            return other
        size = os.path.getsize(path)
        with open(path, "rb") as file:
            content = file.read(LARGEST_FILE)
    except OSError:
        return other
    if not content.strip():
        return EMPTY
    data = _scanned(content)
    if not never and (_is_first_format(data) or _has_schema_line(content)):
        return None
    if _resembles(data) or (not never and any(map(_resembles, _tables_in(data)))):
        return None
    if any(_nearest(name, _TABLES) in _OUR_OWN for name in data):  # a piece of one, perhaps
        return None
    return other or (TOO_LARGE if size > LARGEST_FILE else NOT_TOML)


def why_taken(own: ParsedText, found: Sequence[Finding]) -> Iterator[Finding]:
    """Why a file without `format` is read as a profile, then what was found in it.

    Where it is nearly a description, that it lacks the other tables of a profile is left out.
    """
    seen = [
        name for name, value in own.data.items() if _is_table(value) and _nearest(name, _TABLES)
    ]
    nearly = bool(seen) and {_nearest(name, _TABLES) for name in own.data} <= _DESCRIBED
    kind = "a description of instruments or parts" if nearly else "a profile"
    told = ", ".join(f"[{name}]" for name in seen) or "keys or the #:schema line of one"
    yield unreadable(
        f"no `format`, but taken for {kind}, because it has {told}",
        "correct it; if it is none, put its path into `exclude` of limitcheck.toml",
        own.locate(tuple(seen[:1]), key=True),
    )
    yield from (item for item in found if item.path or not nearly)


def _is_table(value: Any) -> bool:
    return next(_tables_of(value), None) is not None


def _is_never_ours(name: str) -> bool:
    """Whether a file's name says that it is none, so that only tables of a profile say more."""
    return name == _SHARED_SETTINGS or bool(_LOCK.search(name))


def _has_schema_line(content: bytes) -> bool:
    return b"schema" in content and _SCHEMA_LINE.search(content) is not None


def _is_first_format(data: Mapping[str, Any]) -> bool:
    return data.get("format") in (1, "1")


def _resembles(data: Mapping[str, Any]) -> bool:
    """Whether tables are a profile's: two that fit, or one with a key of its own kind.

    A table fits by its name and one of its keys; of cutoffs and the flow path the name will do.
    """
    tables, fitting, telling = set(), set(), set(_telling(data))
    for name, value in islice(data.items(), _MOST_KEYS):
        ours, inner = _nearest(name, _TABLES), list(_tables_of(value))
        if ours == "format" and (isinstance(value, int) or str(value).isdigit()):
            fitting.add(ours)
        elif ours is not None and inner:
            tables.add(ours)
            if any(_nearest(key, _OURS[ours]) for table in inner for key in table):
                fitting.add(ours)
        for table in inner:
            telling.update(_telling(table))
    seen = len(tables | fitting)
    if len(telling) > 1 or (telling and seen):
        return True
    return len(fitting) > 1 or (seen > 1 and not tables.isdisjoint(_OUR_OWN))


def _describes(data: Mapping[str, Any]) -> bool:
    """Whether a file describes an instrument or parts, for profiles to use."""
    return is_description(data) and any(
        _plain(key) in _OURS[_plain(name)]
        for name, value in data.items()
        for table in _tables_of(value)
        for key in table
    )


def _tables_of(value: Any) -> Iterator[Mapping[str, Any]]:
    listed = value if isinstance(value, list) else [value]
    return (table for table in listed[:_MOST_KEYS] if isinstance(table, Mapping))


def _tables_in(data: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    """The tables of the top level, where a whole profile may stand one level too deep."""
    return (value for value in data.values() if isinstance(value, Mapping))


def _telling(table: Mapping[str, Any]) -> Iterator[str]:
    """The keys of a table that hardly stand in a file of another kind."""
    for key, value in islice(table.items(), _MOST_KEYS):
        near = _nearest(key, _TELLING)
        if near is not None:
            yield near
        elif isinstance(value, str):
            rating = key in _PRESSURES and _PRESSURE.match(value)
            if rating or (key == "part" and value in _PARTS):
                yield key


@lru_cache(maxsize=10_000)  # the files of a folder have the same names again and again
def _nearest(name: str, known: frozenset[str]) -> str | None:
    """A known name that is meant: the same but for case, dashes and one slip."""
    plain = _plain(name)
    if plain in known:
        return plain
    return next((other for other in known if _one_slip(plain, other)), None)


def _one_slip(one: str, other: str) -> bool:
    """Whether a letter too much, too few, wrong, or two that changed places make the difference."""
    if min(len(one), len(other)) < _SHORTEST or abs(len(one) - len(other)) > 1:
        return False
    while one and other and one[0] == other[0]:
        one, other = one[1:], other[1:]
    while one and other and one[-1] == other[-1]:
        one, other = one[:-1], other[:-1]
    return max(len(one), len(other)) < 2 or (len(one) == 2 and one == other[::-1])


def _plain(name: str) -> str:
    return re.sub(r"[\W_]", "", name).lower()


def _models(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in get_args(annotation):
        yield from _models(inner)


_OURS = {
    _plain(name): frozenset(
        _plain(key) for model in _models(field.annotation) for key in model.model_fields
    )
    for name, field in Profile.model_fields.items()
}
"""The tables of a profile with their keys."""
_TABLES = frozenset(_OURS)
_DESCRIBED = {"instrument", "flowpath"}
"""Those of a description."""
_PARTS = {
    part
    for model in _models(Profile.model_fields["flow_path"].annotation)
    for part in get_args(model.model_fields["part"].annotation)
}


def _scanned(content: bytes) -> dict[str, Any]:
    """Tables and keys of a text that is not TOML, as far as lines give them, in any encoding."""
    found: dict[str, Any] = {}
    table = found
    for line in content.decode("latin-1").replace("\0", "").splitlines():
        if header := _HEADER.match(line):
            table = _inner(found, _steps(header[1]))
        elif pair := _PAIR.match(line):
            *above, key = _steps(pair[1])
            value = pair[2].partition("#")[0].strip(" \t\"',")
            within = value[:1] in ("[", "{") and dict.fromkeys(_PAIR_WITHIN.findall(value))
            _inner(table, above).setdefault(key, value if within is False else within)
    return found


def _steps(name: str) -> list[str]:
    return [step.strip(" \t\"'") for step in name.split(".", 2)[:2]]


def _inner(table: dict[str, Any], steps: list[str]) -> dict[str, Any]:
    for step in steps:
        inner = table.setdefault(step, {})
        table = inner if isinstance(inner, dict) else {}
    return table

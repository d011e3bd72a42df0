"""Writing profiles: change single values of a text, or add a table to it.

A text that people wrote keeps every character outside the changed values: comments, spacing, line
ends, byte-order mark. Pure.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

import tomli_w

from ..errors import LimitcheckError
from ..findings import KeyPath, path_text
from .places import Source, TableEnd
from .toml import BOM, TomlError, parse

_MOST_KEPT = 5000
"""Texts of tables that are kept, at most."""


class ChangeRefused(LimitcheckError):
    """The change would touch more than the values asked for; nothing was changed."""


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
        same = same_values(parse(changed), wanted)
    except TomlError as error:
        raise ChangeRefused(f"the changed text would not be TOML: {error}") from None
    if not same:
        raise ChangeRefused("more than the values asked for would change")
    return changed


def append_table(text: str, name: str, pairs: Mapping[str, str]) -> str:
    """The text with one more `[[name]]` table at its end; the values are texts of TOML.

    Raises `ChangeRefused` where a value is not one TOML value, or `name` is written as a list.
    """
    newline = "\r\n" if "\r\n" in text else "\n"
    wanted = parse(text)
    new = {key: _only_value((name, key), value) for key, value in pairs.items()}
    before = wanted.get(name, [])
    wanted[name] = [*before, new] if isinstance(before, list) else [new]
    lines = [f"[[{name}]]", *(f"{key} = {value}" for key, value in pairs.items())]
    gap = newline if text.endswith("\n") else 2 * newline
    changed = text + gap + "".join(line + newline for line in lines)
    try:
        same = same_values(parse(changed), wanted)
    except TomlError:
        same = False
    if not same:
        raise ChangeRefused(f"{name} takes no further [[{name}]] table as it is written")
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


def same_values(one: Any, other: Any) -> bool:
    """Whether two parsed values are equal in value, type and spelling of numbers."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(same_values(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same_values, one, other))
    return type(one) is type(other) and repr(one) == repr(other)


def dump_profile(mapping: Mapping[str, Any], known: dict[str, str] | None = None) -> str:
    """The text of a new profile; `Decimal` values keep their digits.

    Flat tables of a list stand one by one, as people write parts: [[flow_path]]. The text of each
    table is kept in `known`, for further profiles that have the same.
    """
    listed = {key: value for key, value in mapping.items() if _flat_tables(value)}
    first = {k: v for k, v in mapping.items() if k not in listed and not isinstance(v, Mapping)}
    known = {} if known is None else known
    if any(isinstance(value, list) for value in first.values()):  # some may stand last
        rest = tomli_w.dumps({key: value for key, value in mapping.items() if key not in listed})
    else:
        tables = [{key: value} for key, value in mapping.items() if isinstance(value, Mapping)]
        rest = "\n".join(_dumped(table, known) for table in (first, *tables) if table)
    parts = ((key, table) for key, value in listed.items() for table in value)
    return rest + "".join(f"\n[[{_key(key)}]]\n{_dumped(table, known)}" for key, table in parts)


def _dumped(table: Mapping[str, Any], known: dict[str, str]) -> str:
    key = repr(table)
    text = known.get(key)
    if text is None:
        if len(known) >= _MOST_KEPT:
            known.clear()
        text = known[key] = tomli_w.dumps(table)
    return text


def _flat_tables(value: Any) -> bool:
    return (
        isinstance(value, list)
        and bool(value)
        and all(isinstance(item, Mapping) for item in value)
        and not any(isinstance(part, dict | list) for item in value for part in item.values())
    )

"""A profile's text under way: as it was opened, with what a form or its text box changed in it.

Fields are compared with the text they were drawn from, and only those that differ are written into
it, by the writer that keeps every other character. Pure.
"""

from __future__ import annotations

import hashlib
import re
from collections import deque
from collections.abc import Mapping
from decimal import Decimal
from typing import Any, NamedTuple
from urllib.parse import quote

import tomli_w

from ..findings import KeyPath, path_text
from ..profile.places import Source
from ..profile.removal import remove, remove_empty
from ..profile.toml import BOM, TomlError, parse
from ..profile.write import ChangeRefused, assign
from ..units import Pressure, UnitError, refuse_program_number, split_quantity
from .same_place import Compared

_NUMBER = re.compile(r"[+-]?[0-9]+(\.[0-9]+)?([eE][+-]?[0-9]+)?")
_AS_PROGRAMS = re.compile(r"[+-]?0[xob][0-9a-f_]*", re.IGNORECASE)
"""Hexadecimal, octal and binary, which a file may hold, and nobody reads at an instrument."""
_APART = re.compile(r"[+-]?[0-9][0-9_]*(\.[0-9_]+)?([eE][+-]?[0-9_]+)?")
"""With the separators of TOML between the digits."""
_DAY = re.compile(r"[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])")
_SEPARATED = re.compile(r"[+-]?[0-9][0-9., '\u2019\u00a0\u202f]*")
_AS_NO_FILE = re.compile(r"([+-]?)(0*)([0-9]*)(?:\.([0-9]*))?")
"""Digits as people write them; TOML has no zero before others, and digits on both sides."""
_THOUSANDS = re.compile(r"([+-]?[1-9][0-9]{0,2}),([0-9]{3})")
BESIDE = {"percent_b": "%", "minute": "min", "injection_minute": "min"}
"""The unit that a number of the format always has, by its key."""
_LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n|\Z)")
TEXT, NUMBER, TRUTH, DAY = "text", "number", "truth", "day"
"""What a field holds, which says how its value is written."""


class Change(NamedTuple):
    """What was typed into a field; an empty text takes the value out."""

    path: KeyPath
    kind: str
    typed: str
    alone: bool = False
    """Whether its table may be left out, and says nothing when it is empty."""
    from_text: bool = False
    """Whether nobody typed it: it is as a text has it."""


class Refusal(NamedTuple):
    """What was typed into a field and is not in the text, and why."""

    typed: str
    message: str
    advice: str


class Outcome(NamedTuple):
    """A text with changes in it, and by path those that could not be made."""

    text: str
    refused: Mapping[KeyPath, Refusal]


def changed(text: str, changes: list[Change]) -> Outcome:
    """The text with each change that can be made in it; the rest of it stays, byte for byte."""
    refused: dict[KeyPath, Refusal] = {}
    for parent, together in _by_new_table(text, changes):
        try:
            if parent is not None:
                pairs = (f"{c.path[-1]} = {_value(text, c)}" for c in together)
                text = assign(text, {parent: f"{{ {', '.join(pairs)} }}"})
            elif together[0].typed:
                text = assign(text, {together[0].path: _value(text, together[0])})
            else:
                text = remove(text, together[0].path)
                if together[0].alone:
                    text = remove_empty(text, together[0].path[:-1])
        except ChangeRefused as error:
            advice = error.advice or "change it in the text"
            told = {change.path: change.typed for change in together}
            refused |= {path: Refusal(typed, str(error), advice) for path, typed in told.items()}
    return Outcome(text, refused)


def both(base: str, typed: str, changes: list[Change]) -> tuple[list[Change], list[Change]]:
    """Of the changes of fields of `base`: those to make in the text typed meanwhile, and those
    about something that the text has otherwise now."""
    try:
        old, new = parse(base), parse(typed)
    except TomlError:
        return [], changes
    compared = Compared(old, new)
    taken: list[Change] = []
    left: list[Change] = []
    source = Source(typed)
    for change in changes:
        kept = compared.still_the_same(change.path)
        if kept or shown(new, source, change.path) != change.typed:
            (taken if kept else left).append(change)
    return taken, left


def _by_new_table(text: str, changes: list[Change]) -> list[tuple[KeyPath | None, list[Change]]]:
    """The changes one by one; but those of a table within a part that is not there yet at once.

    What is taken out comes last: a table that goes with its only value could take in no other.
    """
    source = Source(text)
    grouped: dict[KeyPath, list[Change]] = {}
    alone: list[tuple[KeyPath | None, list[Change]]] = []
    for change in changes:
        parent = change.path[:-1]
        if len(parent) > 2 and change.typed and source.table_end(parent) is None:
            grouped.setdefault(parent, []).append(change)
        else:
            alone.append((None, [change]))
    out = [one for one in alone if not one[1][0].typed]
    return [*(one for one in alone if one[1][0].typed), *grouped.items(), *out]


def _value(text: str, change: Change) -> str:
    """What was typed as a TOML value; what is no number or truth where one belongs, as text."""
    typed, unit = change.typed, BESIDE.get(str(change.path[-1]), "")
    if change.kind == NUMBER and unit:
        typed = typed.removesuffix(unit).rstrip() or typed
    if change.kind == TRUTH and typed in ("true", "false"):
        return typed
    if change.kind == DAY and _DAY.fullmatch(typed):
        return typed
    if change.kind == NUMBER and _is_number(typed, as_in_a_text=change.from_text):
        return typed
    if change.kind == NUMBER:
        _refuse_odd_digits(typed)
    if change.kind == NUMBER and _SEPARATED.fullmatch(typed):
        try:
            number, _ = split_quantity(typed, Pressure, "bar")
        except UnitError as error:
            raise ChangeRefused(error.message, error.advice) from None
        if _is_number(number):
            return number
    span = Source(text).value_span(change.path)
    quoted = text[span.start : span.end] if span else ""
    if re.fullmatch(r"'(?!'')[^\n]*'", quoted) and "'" not in typed and typed.isprintable():
        return f"'{typed}'"
    return tomli_w.dumps({"v": typed}).strip().partition(" = ")[2]


def _refuse_odd_digits(typed: str) -> None:
    """Raise ChangeRefused for a number that a file can't hold as it is typed, or one of two."""
    if two := _THOUSANDS.fullmatch(typed):
        raise ChangeRefused(
            f'"{typed}" has a comma: between thousands, or a decimal comma?',
            f"write {two[1]}{two[2]}, or {two[1]}.{two[2]}, whichever is meant",
        )
    try:
        refuse_program_number(typed, Pressure)
    except UnitError as error:
        raise ChangeRefused(error.message, error.advice) from None
    if "_" in typed and _APART.fullmatch(typed):
        together = typed.replace("_", "")
        plain = together if _is_number(together) else "its digits together"
        raise ChangeRefused(f'"{typed}" has a separator inside the number', f"write {plain}")
    found = _AS_NO_FILE.fullmatch(typed)
    if found and (found[3] or found[4] or found[2]):
        sign, _, whole, decimals = found.groups()
        plain = f"{sign}{whole or '0'}" + (f".{decimals}" if decimals else "")
        raise ChangeRefused(
            f'"{typed}" is not how a number is written in a profile', f"write {plain}"
        )


def _is_number(typed: str, *, as_in_a_text: bool = False) -> bool:
    """Whether TOML reads it as a number that people write; in a text, as any number."""
    kinds = (_NUMBER, _AS_PROGRAMS, _APART) if as_in_a_text else (_NUMBER,)
    if not any(kind.fullmatch(typed) for kind in kinds):
        return False
    try:
        return isinstance(parse(f"v = {typed}")["v"], int | Decimal)
    except TomlError:
        return False


def shown(data: Any, source: Source, path: KeyPath) -> str:
    """The value at a path as the file writes it, a text without its quotes; "" for none."""
    value = data
    for step in path:
        try:
            value = value[step]
        except (KeyError, IndexError, TypeError):
            return ""
    if isinstance(value, str):
        return value
    span = source.value_span(path)
    return source.text[span.start : span.end] if span else ""


def in_a_box(text: str) -> str:
    """The text as a text box of a browser holds it: lines end with a line feed, without a mark."""
    return text.lstrip(BOM).replace("\r\n", "\n").replace("\r", "\n")


def fingerprint(text: str) -> str:
    """A digest of what a text box shows: whether a person changed it."""
    return hashlib.sha256(in_a_box(text).encode("utf-8", "surrogatepass")).hexdigest()


def from_a_box(typed: str, before: str) -> str:
    """What was typed into a text box, with the mark and the line ends of the text before.

    A new line ends as most of the lines before do; where they differ, one of the same words as a
    line before, in the order they came, ends as that does.
    """
    new, old = _LINE.findall(in_a_box(typed)), _LINE.findall(before.removeprefix(BOM))
    plain = [line.rstrip("\r\n") for line in old]
    crlf = sum(line.endswith("\r\n") for line in old)
    usual = "\r\n" if crlf > len(old) / 2 - 1 and crlf else "\n"
    # A carriage return alone ends no line of TOML, and would join the line end after it.
    ends = ["\r\n" if line.endswith("\r\n") else "\n" * line.endswith("\n") for line in old]
    taken = [usual] * len(new)
    bare = [line.rstrip("\n") for line in new]
    if len(set(ends[:-1])) > 1:
        taken = _ends_kept(plain, ends, bare, usual)
    mark = BOM if before.startswith(BOM) else ""
    lines = (
        b + (e or usual if n.endswith("\n") else "")
        for n, b, e in zip(new, bare, taken, strict=True)
    )
    return mark + "".join(lines)


def _ends_kept(plain: list[str], ends: list[str], bare: list[str], usual: str) -> list[str]:
    """The end of each new line: that of its old one, in a time that grows with the lines."""
    fewer = min(len(plain), len(bare))
    first = next((n for n in range(fewer) if plain[n] != bare[n]), fewer)
    rest = fewer - first
    last = next((n for n in range(rest) if plain[-1 - n] != bare[-1 - n]), rest)
    between: dict[str, deque[str]] = {}
    for line, end in zip(plain[first : len(plain) - last], ends[first:], strict=False):
        between.setdefault(line, deque()).append(end)
    kept = [
        between[line].popleft() if between.get(line) else usual
        for line in bare[first : len(bare) - last]
    ]
    return [*ends[:first], *kept, *ends[len(ends) - last :]]


def named(path: KeyPath) -> str:
    """The name of a field for a path, of one key for each: `flow_path.2.rating`.

    >>> named(("flow_path", 2, "bore.old"))
    'flow_path.2.bore%2Eold'
    """
    return ".".join(quote(str(step), safe="").replace(".", "%2E") for step in path)


def in_a_field(value: str) -> str:
    """A value as a field of a browser gives it back: on one line, without blanks around it."""
    return re.sub(r"[\r\n]", "", value).replace("\0", "\ufffd").strip()


def says(changes: list[Change], base: str, typed: str) -> list[str]:
    """Changes of fields of `base` that were not taken, and why: what the text typed has now."""
    try:
        compared, source = Compared(parse(base), parse(typed)), Source(typed)
    except TomlError:
        return [f"{_typed(change)}: the text is not TOML now" for change in changes]
    return [f"{_typed(change)}: {_why_left(change, compared, source)}" for change in changes]


def _typed(change: Change) -> str:
    return f"{path_text(change.path)} = {change.typed or '(empty)'}"


def _why_left(change: Change, compared: Compared, source: Source) -> str:
    if compared.same_element(change.path):
        return f"the text has {shown(compared.new, source, change.path) or 'nothing'} there now"
    return "the text changed around it, and which place is meant can't be told"

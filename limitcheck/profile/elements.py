"""Adds, takes out and exchanges the tables of a list in a profile's text: parts, points, pairs.

Works on [[name]] tables with the tables below them, and on {...} in a list. Everything else keeps
its bytes. A comment goes with a table where it touches that table and no other; one between two
tables that touches both stays where it is, and `Done` says so. Pure.
"""

from __future__ import annotations

import copy
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

from ..findings import KeyPath, path_text
from .element_places import Piece, above, comments, item_at, line_end_before, piece_at
from .places import Source
from .removal import drop, remove_list
from .toml import BOM, TomlError, parse
from .write import ChangeRefused, assign, same_values

_ONLY_COMMA = re.compile(r"[ \t\r\n]*,[ \t\r\n]*|[ \t\r\n]*")

_FURTHER_COMMA = re.compile(r"(?:[ \t\r\n]++|#[^\n]*+)*+,")


class Done(NamedTuple):
    """A text with one list changed, and the comments that went along or were left beside it."""

    text: str
    along: tuple[str, ...] = ()
    left: tuple[str, ...] = ()


def add(text: str, path: KeyPath, index: int) -> Done:
    """The text with an empty table in the list at a path, so that it is element `index`.

    A list that is not there is begun. Raises `ChangeRefused` where there is no such place.
    """
    wanted, listed = _listed(text, path)
    if not (0 < index <= len(listed) or index == len(listed) == 0):
        raise ChangeRefused(f"{path_text(path)} has no place {index + 1}")
    source = Source(text)
    span = source.value_span(path)
    if span and listed:
        return _checked(_added_to_list(text, source, (*path, index - 1)), path, wanted, index)
    if span:
        changed = f"{text[: span.start + 1]}{{}}{text[span.start + 1 :]}"
        return _checked(Done(changed), path, wanted, index)
    if not listed and len(path) > 1 and source.table_end(path[:-1]):
        return Done(assign(text, {path: "[{}]"}))
    newline = "\r\n" if "\r\n" in text else "\n"
    if listed:
        before = piece_at(text, source, (*path, index - 1))
        keys = source.key_span((*path, index - 1))
        header = text[keys.start : keys.end] if keys else ""
        indent = re.match(r"[ \t]*", text[before.core :].removeprefix(BOM))
        second = piece_at(text, source, (*path, 1)) if len(listed) > 1 else before
        apart = above(text, second.start) != line_end_before(text, second.start)
        at, lines = before.end, f"{indent[0] if indent else ''}{header}"
    else:
        last = text.rfind("\n") + 1
        at = len(text) if text[last:].strip(" \t") else above(text, last)
        apart, lines = True, f"[[{'.'.join(map(str, path))}]]"
        if not text[:at].removeprefix(BOM):
            return _checked(Done(text[:at] + lines + text[at:]), path, wanted, index)
    changed = text[:at] + newline * (2 if apart else 1) + lines + text[at:]
    return _checked(Done(changed), path, wanted, index)


def take_out(text: str, path: KeyPath) -> Done:
    """The text without the table at a path of a list, and without the comments that are its own.

    The list goes with its last table; comments that are the list's own stay, as lines. Raises
    `ChangeRefused` where that would touch more.
    """
    wanted, listed = _listed(text, path[:-1])
    index = _index(path, len(listed))
    source = Source(text)
    del listed[index]
    if source.value_span(path[:-1]):
        return _taken_from_list(text, source, path, wanted)
    if not listed:
        drop(wanted, path[:-1], source)
    piece = piece_at(text, source, path)
    start, end = above(text, piece.start), piece.end
    if not text[:start].removeprefix(BOM):
        after = re.compile(r"(?:[ \t]*\r?\n)*").match(text, end)
        end = after.end() if after else end
    return _same(_without(text, text[:start] + text[end:], piece.unclear), wanted)


def exchange(text: str, path: KeyPath) -> Done:
    """The text with the table at a path of a list and the next one in each other's place.

    The same again gives the text back. Raises `ChangeRefused` where comments stand so that this
    cannot be kept.
    """
    for own in (True, False):
        done = _exchanged(text, path, own)
        back = _exchanged(done.text, path, own) if done else None
        kept = back is not None and back.text == text
        if done and kept:
            return done
    raise ChangeRefused(
        f"{path_text(path)}: the comments beside it cannot be told from those of the next"
    )


def _exchanged(text: str, path: KeyPath, own: bool) -> Done | None:
    """Two tables exchanged, with their own comments or without; None where that fails."""
    wanted, listed = _listed(text, path[:-1])
    index = _index(path, len(listed) - 1)
    values = _at(wanted, path[:-1])
    values[index], values[index + 1] = values[index + 1], values[index]
    source = Source(text)
    after: KeyPath = (*path[:-1], index + 1)
    if source.value_span(path[:-1]):
        one, two = item_at(text, source, path), item_at(text, source, after)
        stretches = [((one.start, one.end), (two.start, two.end))]
        if own:
            stretches.append(((one.comma, one.remark), (two.comma, two.remark)))
        along = comments(text[one.comma : one.remark] + "\n" + text[two.comma : two.remark])
        above_both = comments(text[_gap_before(text, source, path) : one.start])
        left: tuple[str, ...] = (*above_both, *comments(text[one.remark : two.start]))
    else:
        first, second = piece_at(text, source, path), piece_at(text, source, after)
        ends = [(p.start, p.end) if own else (p.core, p.core_end) for p in (first, second)]
        stretches = [(ends[0], ends[1])]
        along = tuple(c for p in (first, second) for c in _outer_comments(text, p))
        left = tuple(dict.fromkeys((*first.unclear, *second.unclear)))
    done = Done(_with_places_exchanged(text, stretches), along, left)
    if not own:
        done = Done(done.text, (), (*left, *along))
    try:
        return _same(done, wanted)
    except ChangeRefused:
        return None


def _with_places_exchanged(
    text: str, stretches: list[tuple[tuple[int, int], tuple[int, int]]]
) -> str:
    """The text with the stretches of each pair in each other's place."""
    edits = []
    for one, two in stretches:
        edits += [(*one, text[two[0] : two[1]]), (*two, text[one[0] : one[1]])]
    for start, end, new in sorted(edits, reverse=True):
        text = text[:start] + new + text[end:]
    return text


def _added_to_list(text: str, source: Source, before: KeyPath) -> Done:
    """The text with {} behind an element of a list: on a line of its own where that has one."""
    item = item_at(text, source, before)
    line = text.rfind("\n", 0, item.start) + 1
    indent = text[line : item.start]
    if not (item.last_on_line and indent.isspace()):
        return Done(f"{text[: item.end]}, {{}}{text[item.end :]}")
    newline = "\r\n" if text.startswith("\r\n", item.remark) else "\n"
    ended = "" if item.has_comma else ","
    new = f"{newline}{indent}{{}}{',' * item.has_comma}"
    changed = text[: item.end] + ended + text[item.end : item.remark] + new + text[item.remark :]
    return Done(changed)


def _taken_from_list(text: str, source: Source, path: KeyPath, wanted: Any) -> Done:
    """The text without an element of a list, and without the list where nothing is left in it."""
    beside = comments(text[_gap_before(text, source, path) : item_at(text, source, path).remark])
    for stretches in _item_stretches(text, source, path):
        changed = text
        for start, end in sorted(stretches, reverse=True):
            changed = changed[:start] + changed[end:]
        try:
            done = _same(_without(text, changed, beside), wanted)
        except ChangeRefused:
            continue
        if _at(wanted, path[:-1]):
            return done
        try:
            changed, kept = remove_list(done.text, path[:-1])
            return _without(text, changed, ())._replace(left=kept)
        except ChangeRefused:
            return done
    raise ChangeRefused(f"{path_text(path)} cannot be taken out without touching more")


def _without(text: str, changed: str, beside: Iterable[str]) -> Done:
    """A text with something taken out, by what is in it: the comments gone, and those left."""
    there = comments(text)
    gone = Counter(there) - Counter(comments(changed))
    left = Counter(beside) - gone
    return Done(changed, tuple(_first(there, gone)), tuple(_first(beside, left)))


def _first(told: Iterable[str], of: Counter[str]) -> Iterator[str]:
    """As many of each as are counted, in their order."""
    for one in told:
        if of[one] > 0:
            of[one] -= 1
            yield one


def _item_stretches(text: str, source: Source, path: KeyPath) -> Iterator[list[tuple[int, int]]]:
    """What may go with an element of a list, the most natural first."""
    item, index = item_at(text, source, path), int(path[-1])
    line = text.rfind("\n", 0, item.start) + 1
    before = item_at(text, source, (*path[:-1], index - 1)) if index else None
    after = source.value_span((*path[:-1], index + 1))
    further = None if item.has_comma else _FURTHER_COMMA.match(text, item.end)
    if item.last_on_line and text[line : item.start].isspace():
        own = (line_end_before(text, line), item.remark)
        if before and before.has_comma and not item.has_comma:  # it ends the list, or its comma
            yield [own, (before.comma - 1, before.comma)]  # stands further down
        yield [own]
        if further:
            yield [own, (further.end() - 1, further.end())]
    if before and _ONLY_COMMA.fullmatch(text, before.end, item.start):
        yield [(before.end, item.end)]
    if after and _ONLY_COMMA.fullmatch(text, item.end, after.start):
        yield [(item.start, after.start)]
    yield [(item.start, item.comma)]
    if further:
        yield [(item.start, item.end), (further.end() - 1, further.end())]
    if before:
        yield [(item.start, item.end), (before.comma - 1, before.comma)]


def _gap_before(text: str, source: Source, path: KeyPath) -> int:
    """Where the room above an element of a list begins: behind the one before, or the bracket."""
    index = int(path[-1])
    if index:
        return item_at(text, source, (*path[:-1], index - 1)).remark
    whole = source.value_span(path[:-1])
    return whole.start + 1 if whole else 0


def _outer_comments(text: str, piece: Piece) -> tuple[str, ...]:
    return comments(text[piece.start : piece.core]) + comments(text[piece.core_end : piece.end])


def _at(data: Any, path: KeyPath) -> Any:
    for step in path:
        data = data[step]
    return data


def _listed(text: str, path: KeyPath) -> tuple[Any, list[Any]]:
    """The values of a text, and the list of tables at a path; empty where there is none."""
    try:
        wanted = copy.deepcopy(parse(text))
    except TomlError as error:
        raise ChangeRefused(f"the text is not TOML: {error}") from None
    try:
        listed = _at(wanted, path)
    except (KeyError, TypeError, IndexError):
        listed = []
    if not isinstance(listed, list) or not all(isinstance(item, dict) for item in listed):
        raise ChangeRefused(f"{path_text(path)} is not a list of tables")
    return wanted, listed


def _index(path: KeyPath, count: int) -> int:
    index = path[-1]
    if not isinstance(index, int) or not 0 <= index < count:
        raise ChangeRefused(f"there is no {path_text(path)}, or nothing behind it")
    return index


def _checked(done: Done, path: KeyPath, wanted: Any, index: int) -> Done:
    """A text with an added table, checked against the values it must have."""
    data = wanted
    try:
        for step in path[:-1]:
            data = data.setdefault(step, {}) if isinstance(data, dict) else data[step]
        data.setdefault(path[-1], []).insert(index, {})
    except (AttributeError, TypeError, IndexError):
        raise ChangeRefused(f"the file has no place for {path_text(path)}") from None
    return _same(done, wanted)


def _same(done: Done, wanted: Any) -> Done:
    try:
        if same_values(parse(done.text), wanted):
            return done
    except TomlError:
        pass
    raise ChangeRefused("more than this would change")

"""Two columns that stand for one key: which of them it is, where the rows leave no doubt.

Cells that hold nothing of the key's kind rule a column out. Columns that say the same in every row
are one. Of two columns of names, as `Method` and `SOP`, the one called by the plain word is taken
where it tells apart all that the other does. Whatever is left is asked.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, TypeAlias

from .grid import UnstoredCell
from .header_text import split_unit, units_kind
from .numbers import CellError, is_empty, read_number
from .words import KEYS, QUANTITY, signs_of, words_of

if TYPE_CHECKING:
    from .columns import Column

Cells: TypeAlias = Callable[[int], Sequence[str]]
"""The cells of a column below the header, by the number of the column."""

_OF_MATTER = frozenset({"conditions.solvent_a", "conditions.solvent_b", "column.chemistry"})
"""Texts of which two are two matters: only a name may have a second one beside it."""


def one_of_each_key(columns: Sequence[Column], cells: Cells) -> tuple[Column, ...]:
    """The columns, each key once; those that are to be asked keep the key as a path."""
    found = list(columns)
    for key in dict.fromkeys(column.key for column in columns if column.key is not None):
        same = [at for at, column in enumerate(found) if column.key == key and not column.hidden]
        if len(same) < 2:
            continue
        for at, why in _ruled_out(key, [found[at] for at in same], cells):
            found[same[at]] = found[same[at]]._replace(key=None, unused=why)
        left = [at for at in same if found[at].key == key]
        for at in left if len(left) > 1 else ():
            found[at] = found[at]._replace(key=None, paths=(key,), twice=True)
    return tuple(found)


def _ruled_out(key: str, columns: Sequence[Column], cells: Cells) -> list[tuple[int, str]]:
    """Which of the columns are not needed, or are none, each with the reason."""
    texts = [list(cells(column.at)) for column in columns]
    gone: list[tuple[int, str]] = []
    kind = KEYS[key].kind
    if kind in ("text", "unit", "dimensions"):
        empty = [at for at, column in enumerate(texts) if all(map(is_empty, column))]
        gone = [(at, "no cell of it is filled") for at in empty[: len(texts) - 1]]
    else:
        quantity = QUANTITY.get(kind)
        filled = [any(_may_be(cell, quantity) for cell in column) for column in texts]
        none = [at for at, some in enumerate(filled) if not some]
        if len(none) < len(texts):
            gone = [(at, f"no cell of it is a {quantity or 'number'}") for at in none]
    left = [at for at in range(len(columns)) if at not in dict(gone)]
    chosen = next((at for at in left if _is_plain(columns[at].text)), left[0])
    for at in left:
        if at == chosen:
            continue
        told = f'"{columns[chosen].text}"'
        if texts[at] == texts[chosen] and columns[at].unit == columns[chosen].unit:
            gone.append((at, f"the same as {told} in every row"))
        elif kind == "text" and key not in _OF_MATTER and _tells_apart(texts[chosen], texts[at]):
            gone.append((at, f"{told} says it, and tells apart all that this does"))
    return gone


def _may_be(cell: str, quantity: str | None) -> bool:
    """Whether a filled cell may be a number of that quantity."""
    if is_empty(cell):
        return False
    try:
        rest = read_number(cell, "point").rest
    except CellError:
        return isinstance(cell, UnstoredCell) or any(map(str.isdigit, cell))
    return not rest or (units_kind(rest) in (None, quantity) and not _is_time(rest))


def _is_time(rest: str) -> bool:
    return rest.casefold().rstrip(".") in ("min", "mins", "minutes", "s", "sec", "h")


def _is_plain(text: str) -> bool:
    """Whether a header is the plain word of its key, as "Method" and "Site"."""
    words = words_of(next(iter(split_unit(text)), (text, ""))[0])
    return len(words) == 1 and signs_of(text) == {words[0]}


def _tells_apart(one: Sequence[str], other: Sequence[str]) -> bool:
    """Whether each text of the first stands beside one text of the second only."""
    beside: dict[str, str] = {}
    return all(beside.setdefault(cell, told) == told for cell, told in zip(one, other, strict=True))

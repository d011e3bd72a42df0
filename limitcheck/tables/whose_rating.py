"""Of which part a rating is: a header "Rating" says it only where nothing beside it names parts.

A sheet or title about detectors, and a column that names a part in each row, say of what the
ratings are. Where that is not the part that the header would stand for alone, it is asked.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from .same_key import Cells
from .words import KEYS, signs_of_any, words_of

if TYPE_CHECKING:
    from .columns import Column

_PARTS = frozenset({"pump", "injector", "tubing", "fitting", "cell", "detector", "column"})
_LISTS_PARTS = frozenset({
    "part", "parts", "component", "components", "module", "modules", "item", "items", "device",
    "element", "elements", "assembly", "weakest", "limiting", "limited", "teil", "bauteil",
    "komponente", "modul", "pièce", "composant",
})  # fmt: skip
"""Words of headers over cells that each name a part; common practice, no source."""
_RATINGS = tuple(
    path for path in KEYS if path.endswith(".rating") and path != "guard column.rating"
)
_MOST_WORDS = 3


def with_ratings_asked(
    columns: Sequence[Column], said: Iterable[str], cells: Cells, settled: Iterable[str]
) -> tuple[Column, ...]:
    """The columns, those asked whose ratings may be of another part than their header alone says.

    `said` is the name of the sheet and its title; `settled` are headers that a person has named.
    """
    known = set(settled)
    around = set().union(*(signs_of_any(text) & _PARTS for text in said))
    found = []
    for column in columns:
        if column.key is not None and _unnamed(column) and column.text.casefold() not in known:
            named = around | _named_in_rows(columns, column, cells)
            if named - {column.key.partition(".")[0]}:
                paths = tuple(path for path in _RATINGS if set(_of(path)) & (named | {"pump"}))
                column = column._replace(key=None, paths=paths)  # noqa: PLW2901 - the same one
        found.append(column)
    return tuple(found)


def _unnamed(column: Column) -> bool:
    """Whether a column would be a rating, or a limit, whose header names no part."""
    if column.key not in (*_RATINGS, "cutoffs.high"):
        return False
    return not signs_of_any(column.text) & _PARTS


def _named_in_rows(columns: Sequence[Column], rating: Column, cells: Cells) -> set[str]:
    """The parts that the rows name beside a rating, in a column of their own."""
    named: set[str] = set()
    for column in columns:
        lists = bool(_LISTS_PARTS & set(words_of(column.text)))
        is_name = column.key in ("instrument.id", "column.label") and rating.key in _RATINGS
        if not lists and not is_name and (column.key is not None or column.paths):
            continue
        if signs_of_any(column.text) & _PARTS and not is_name and not lists:
            continue  # "Detector": what each one is, and no list of parts
        short = (cell for cell in cells(column.at) if 0 < len(words_of(cell)) <= _MOST_WORDS)
        parts = set().union(*(signs_of_any(cell) & _PARTS for cell in short))
        if lists or (rating.key in _RATINGS and (len(parts) > 1 or is_name)):
            named |= parts
    return named


def _of(path: str) -> list[str]:
    return path.partition(".")[0].split()

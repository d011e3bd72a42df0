"""What a row of a sheet is of, as an answer names it: an answer goes to that row, not to a number.

A row is named by its cells of method, revision, instrument and column, each with its header. Where
another row has the same, a digest of all its cells is added; where that is the same as well, the
number of the row.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Callable, Iterator
from functools import cached_property
from hashlib import sha256

from .grid import cell_numbers, column_letters
from .header import Header

_NAMED_BY = ("method.id", "method.revision", "instrument.id", "column.label")
_WHOLE, _NUMBER = "(whole row)", "(row)"
_LONGEST = 1000
"""Characters of names; a row with longer ones has its digest alone."""


class RowNames:
    """The names of the rows of one sheet; `at` gives the text of a cell by row and column."""

    def __init__(self, header: Header, at: Callable[[int, int], str]) -> None:
        self.header, self.at = header, at

    def of(self, row: int) -> str:
        """The name of a row, as JSON."""
        named = {self.label(column): self.at(row, column) for column in self._by}
        text = json.dumps(named, ensure_ascii=False)
        if len(text) <= _LONGEST and self._times[tuple(named.values())] == 1:
            return text
        named = (named if len(text) <= _LONGEST else {}) | {_WHOLE: self._digest(row)}
        if self._digests[named[_WHOLE]] > 1:
            named[_NUMBER] = str(row + 1)
        return json.dumps(named, ensure_ascii=False)

    def label(self, column: int) -> str:
        """What a column is called: its header, with the column's letter where another has it."""
        return self._labels.get(column, column_letters(column))

    def rows(self, name: str, label: str, value: str) -> Iterator[tuple[int, int]]:
        """Row and column of the cells that an answer is to: those that still say all it names."""
        try:
            named = json.loads(name)
        except ValueError:
            return
        columns = {self.label(column): column for column in self._labels}
        at = columns.get(label)
        if at is None and re.fullmatch("[A-Z]{1,3}", label):  # a cell beyond the header
            at = cell_numbers(f"{label}1")[1]
        if at is None or not isinstance(named, dict) or not named:
            return
        for row in self._with(at, value):
            if all(self._says(row, columns, key, told) for key, told in named.items()):
                yield row, at

    def _says(self, row: int, columns: dict[str, int], key: str, told: object) -> bool:
        if key == _WHOLE:
            return self._digest(row) == told
        if key == _NUMBER:
            return str(row + 1) == told
        return key in columns and self.at(row, columns[key]) == told

    def _with(self, column: int, value: str) -> list[int]:
        if column not in self._known:
            found: dict[str, list[int]] = {}
            for row in self._rows:
                found.setdefault(str(self.at(row, column)), []).append(row)
            self._known[column] = found
        return self._known[column].get(value, [])

    def _digest(self, row: int) -> str:
        cells = json.dumps([str(cell) for cell in self.header.sheet.rows[row]])
        return sha256(cells.encode()).hexdigest()[:16]

    @property
    def _rows(self) -> range:
        return self.header.body

    @cached_property
    def _by(self) -> list[int]:
        found = (self.header.of(key) for key in _NAMED_BY)
        return [column.at for column in found if column is not None and not column.hidden]

    @cached_property
    def _labels(self) -> dict[int, str]:
        times = Counter(column.text for column in self.header.columns)
        return {
            c.at: c.text if times[c.text] == 1 else f"{c.text} ({column_letters(c.at)})"
            for c in self.header.columns
        }

    @cached_property
    def _times(self) -> Counter[tuple[str, ...]]:
        return Counter(tuple(self.at(row, column) for column in self._by) for row in self._rows)

    @cached_property
    def _digests(self) -> Counter[str]:
        return Counter(map(self._digest, self._rows))

    @cached_property
    def _known(self) -> dict[int, dict[str, list[int]]]:
        return {}

"""Rows that the table itself says are out of use: left out by their status, else asked."""

from __future__ import annotations

from ..errors import cut
from .answers import Answer
from .as_seen import row_is_struck
from .header import Header
from .numbers import is_empty
from .out_of_line import Told, settled
from .questions import AS_IT_STANDS, LEAVE_OUT, Question
from .words import words_of
from .words_of_status import OUT_OF_USE, is_not_yet, is_out_of_use

_NO = frozenset({"no", "n", "false", "0", "nein", "non", "not yet", "never"})
_STATUS = frozenset({"status", "state", "zustand", "statut", "lifecycle"})
_IN_USE = frozenset({
    "use", "approved", "released", "active", "valid", "effective", "current", "aktiv", "gültig",
    "freigegeben", "actif", "valide",
})  # fmt: skip
_OF_ROWS = frozenset({"method", "methods", "sop", "row", "procedure", "methode", "méthode"})


class OutOfUse:
    """Looks in every cell of a row, and at every header, of one sheet."""

    def __init__(self, header: Header, told: Told) -> None:
        self._header, self._told = header, told
        words = {column.at: set(words_of(column.text)) for column in header.columns}
        self._status = {
            at for at, said in words.items() if said & _STATUS and said <= _STATUS | _OF_ROWS
        }
        every = _IN_USE | _OF_ROWS | {"in", "is", "for"}
        self._in_use = {at for at, said in words.items() if said & _IN_USE and said <= every}
        self._marks = {column.at for column in header.columns if is_out_of_use(column.text)}

    def of(self, row: int) -> tuple[str, Question | None]:
        """What is said of a row that is left out, and the question on one that may be."""
        cells = self._header.sheet.rows[row]
        if self._header.sheet.marks and row_is_struck(self._header, row):
            return self._crossed_out(row)
        kept = not self._marks and not self._in_use and not self._status
        if kept and not is_out_of_use("\n".join(map(str, cells))):
            return "", None
        for at, cell in enumerate(cells):
            marked = at in self._marks and not is_empty(cell) and cell.casefold() not in _NO
            marked |= at in self._in_use and cell.casefold() in _NO
            waits = at in self._status and is_not_yet(str(cell))
            if not marked and not waits and not is_out_of_use(str(cell)):
                continue
            place = self._header.sheet.cell_name(row, at)
            answer: Answer | None = self._told.get((row, at))
            status = at in self._status and OUT_OF_USE.fullmatch(str(cell).strip())
            if (answer is not None and answer.leaves_out) or (status and answer is None):
                return f'{place}: the row is left out, "{cut(str(cell), 40)}"', None
            if settled(self._told, row, at, cell):
                continue
            label = next((c.text for c in self._header.columns if c.at == at), "")
            beside = f'"{label}" ' if marked else ""
            return "", self._asked(row, at, f'{beside}"{cut(str(cell), 40)}"')
        return "", None

    def _crossed_out(self, row: int) -> tuple[str, Question | None]:
        """What is said of a row that is crossed out whole."""
        sheet = self._header.sheet
        at = next(c.at for c in self._header.columns if c.key and sheet.at(row, c.at))
        answer = self._told.get((row, at))
        if answer is not None and answer.leaves_out:
            return f"{sheet.cell_name(row, at)}: the row is left out, crossed out", None
        if answer is not None:
            return "", None
        return "", self._asked(row, at, "all of the row is crossed out")

    def _asked(self, row: int, at: int, why: str) -> Question:
        sheet = self._header.sheet
        return Question(
            *(sheet.name, sheet.cell_name(row, at), "cell", str(sheet.at(row, at))),
            f"{why}: the row may be out of use",
            f'answer "{AS_IT_STANDS}" where it is in use, "{LEAVE_OUT}" where it is not',
        )

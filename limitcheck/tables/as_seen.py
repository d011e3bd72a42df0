"""What somebody sees of a cell beside its text: crossed out, merged over others, with a comment.

Each may say that the text does not hold as it stands, or not of this column: it is asked.
"""

from __future__ import annotations

from ..errors import cut
from .crossed_out import STRUCK
from .grid import column_letters
from .header import Header
from .merged import Merged
from .numbers import CellError, is_empty
from .out_of_line import Told, doubt_of_text
from .questions import AS_IT_STANDS, LEAVE_OUT, Question


class AsSeen:
    """Looks at the cells of one table; the rows that are crossed out whole are asked elsewhere."""

    def __init__(self, header: Header, merged: Merged, told: Told) -> None:
        self._header, self.merged, self._told = header, merged, told
        sheet = header.sheet
        self.any = bool(sheet.marks or merged.across)
        """Whether any cell is seen as more than its text."""
        headers = {column.at for column in header.columns}
        self._without_header = [at for at in range(sheet.width) if at not in headers]
        self._read = {column.at for column in header.columns if column.key or column.paths}
        self.not_read = [
            f'{sheet.cell_name(row, at)}: the comment "{cut(text, 60)}"'
            for (row, at), text in sheet.comments.items()
            if header.first <= row < header.end and text
        ]

    def doubt_of(self, row: int, at: int, cell: str) -> CellError | None:
        """Why a cell may not hold as it stands, by how it is shown."""
        area = self.merged.areas.get((row, at))
        top = (row, at) if area is None else (area.top, area.left)
        mark = self._header.sheet.marks.get(top, "")
        if mark and not (mark == STRUCK and row_is_struck(self._header, row)):
            return CellError(
                f'"{cut(cell)}" {mark}',
                f'answer with what is in force, "{AS_IT_STANDS}" or "{LEAVE_OUT}"',
            )
        if area is not None and (row, at) in self.merged.across:
            name = f"{column_letters(area.left)}{area.top + 1}:"
            name += f"{column_letters(area.right)}{area.bottom + 1}"
            return CellError(
                f'"{cut(cell)}" is merged over {name}, several columns: does it hold here?',
                f'answer with what holds here, "{AS_IT_STANDS}" or "{LEAVE_OUT}"',
            )
        return None

    def beside(self, row: int) -> Question | None:
        """The question on a comment, or on a text under no header, that puts a row in doubt."""
        sheet = self._header.sheet
        texts = [(at, cell, "") for at in self._without_header if (cell := sheet.at(row, at))]
        if sheet.comments:
            texts += [
                (at, comment, "the comment ")
                for at in self._read
                if (comment := sheet.comments.get((row, at)))
            ]
        for at, text, what in texts:
            doubt = None if is_empty(text) else doubt_of_text(text, self._header, "the row")
            if doubt is None or (row, at) in self._told:
                continue
            return Question(
                *(sheet.name, sheet.cell_name(row, at), "cell", sheet.at(row, at)),
                f'{what}"{cut(text, 60)}" {doubt.told}',
                f'correct the row, or answer "{AS_IT_STANDS}"',
            )
        return None


def row_is_struck(header: Header, row: int) -> bool:
    """Whether a row is crossed out whole: each of its cells that are read and filled."""
    marks = header.sheet.marks
    filled = [c.at for c in header.columns if c.key and header.sheet.at(row, c.at)]
    return bool(filled) and all(marks.get((row, at)) == STRUCK for at in filled)

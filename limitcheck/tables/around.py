"""A single usual pressure where a normal band has two: how far around it is normal is asked.

It is asked once for a column, of all cells that hold one pressure; cells with both ends are read.
"""

from __future__ import annotations

import re
from decimal import Decimal
from typing import NamedTuple

from ..errors import LimitcheckError, Refused, cut
from ..units import Pressure, find_unit
from .answers import Answers
from .cells import Amount
from .columns import Column
from .header import Header
from .numbers import CellError, Sign, read_number
from .questions import LEAVE_OUT, Question

_BEFORE = re.compile(r"\s*(?:±|\+\s*/?\s*[-−–])\s*")


class Width(NamedTuple):
    """How far around a usual pressure is normal: in percent of it, or in a unit of pressure."""

    number: Decimal
    unit: str

    def around(self, amount: Amount) -> tuple[Amount, Amount]:
        """The band around a pressure; raises CellError where it cannot be had, and Refused."""
        middle = Decimal(amount.number)
        if self.unit not in ("%", amount.unit):
            own = amount.unit or "the unit of each instrument"
            raise Refused(
                f'the answer "{self}" says how far around a usual pressure is normal, and the '
                f"pressures, as {amount.number}, have {own}",
                'answer in percent, as in "10 %", or in that unit',
            )
        away = middle * self.number / 100 if self.unit == "%" else self.number
        if away >= middle:
            raise CellError(
                f"{self} around {amount.number} reaches down to no pressure",
                'answer with both ends, as in "120-200"',
            )
        note = f"{amount.number} {amount.unit}".strip() + f", and {self} around it as answered"
        low, high = (f"{end.normalize():f}" for end in (middle - away, middle + away))
        return amount._replace(number=low, note=note), amount._replace(number=high, note=note)

    def __str__(self) -> str:
        return f"{self.number:f} {self.unit}"


def answered_width(answers: Answers, sheet: str, header: str, sign: Sign | None) -> Width | None:
    """The width answered for a column; None where none is. Raises Refused for what is no width."""
    answer = answers.around(sheet, header)
    if answer is None or answer.leaves_out:
        return None
    text = _BEFORE.sub("", answer.text, count=1)
    try:
        number = read_number(text, sign)
        unit = "%" if number.rest == "%" else find_unit(number.rest, Pressure)
        size = Decimal(number.text)
    except LimitcheckError:
        size, unit = Decimal(0), ""
    if size <= 0 or (unit == "%" and size >= 100):
        raise Refused(
            f'{answers.path}: "{cut(answer.text, 40)}" does not say how far around "{cut(header)}" '
            "is normal",
            f'answer as in "10 %" or "15 bar", or "{LEAVE_OUT}"',
        )
    return Width(size, unit)


def width_question(header: Header, column: Column, first: str, text: str) -> Question:
    """The question on a column of which a cell holds one pressure."""
    asked = f'"{column.text}" has one pressure, first {first}: {cut(text, 30)}; a band has two'
    advice = f'answer how far around it is normal, as in "10 %" or "15 bar", or "{LEAVE_OUT}"'
    return Question(header.sheet.name, header.place(column), "around", column.text, asked, advice)

"""What stands above a table, or names its sheet: its title, and what that puts in doubt.

A title may say that nothing under it is in force ("DRAFT"), or name a unit that every header
contradicts. It is asked once: the answer "as it stands" lets the headers hold.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..errors import LimitcheckError, Refused, cut
from ..units import Pressure, find_unit
from .answers import Answer, Answers
from .questions import AS_IT_STANDS, LEAVE_OUT, Question
from .titles import unit_of_title
from .words import KEYS
from .words_of_status import is_not_in_force, is_old

if TYPE_CHECKING:
    from .header import Header


def asked_of_title(header: Header, answers: Answers) -> tuple[str, Question | None]:
    """Why a person leaves a whole table out, and what is asked of its title or sheet's name."""
    sheet = header.sheet
    titles = [(sheet.cell_name(row, at), sheet.at(row, at)) for row, at in header.above]
    if not sheet.lone:
        titles.append((sheet.cell_name(header.first, 0), sheet.name))
    for place, text in titles:
        if not (told := _doubt(header, text)):
            continue
        answer = answers.title(sheet.name, text)
        if answer is None:
            return "", Question(
                *(sheet.name, place, "title", text, f'"{cut(text, 60)}" {told}'),
                f'answer "{AS_IT_STANDS}" where the rows are in force as their headers say, '
                f'"{LEAVE_OUT}" for the whole table to be left out, or correct the table',
            )
        if answer.leaves_out:
            return f'{place}: the table is left out, "{cut(text, 40)}"', None
        _must_stand(answers, answer, place)
    return "", None


def _must_stand(answers: Answers, answer: Answer, place: str) -> None:
    if not answer.keeps(answer.asked.value):
        raise Refused(
            f'{answers.path}: "{cut(answer.text, 40)}" on the title {place} is no answer to it',
            f'answer "{AS_IT_STANDS}" or "{LEAVE_OUT}", or correct the table',
        )


def _doubt(header: Header, text: str) -> str:
    """What a title puts in doubt, as told to the user; empty where nothing."""
    name = header.sheet.name
    if is_not_in_force(text) or (text == name and not header.sheet.lone and is_old(text)):
        return "stands over the table: its rows may not be in force"
    unit = _unit(unit_of_title(text) or text)
    columns = [c for c in header.columns if c.key and KEYS[c.key].kind in ("pressure", "band")]
    units = {_unit(column.unit) for column in columns}
    if unit and units and "" not in units and unit not in units:
        named = " and ".join(sorted(units))
        return f"names {unit}, and every header of a pressure names {named}"
    return ""


def _unit(spelling: str) -> str:
    try:
        return find_unit(spelling, Pressure)
    except LimitcheckError:
        return ""

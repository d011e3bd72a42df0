"""Numbers in the cells of a table: which sign stands before decimals is decided by the column.

"5.800" is 5800 with a point between thousands, or 5.8. A cell that allows one reading only is read
so; another of that column is read like it. Where no cell decides, or cells contradict each other,
it is asked.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal
from typing import Literal, NamedTuple, TypeAlias
from unicodedata import category

from ..errors import LimitcheckError, cut
from .grid import DateCell, NumberCell, UnstoredCell

Sign: TypeAlias = Literal["point", "comma"]
EMPTY = frozenset({"", "-", "--", "---", "–", "—", "n/a", "na", "n.a.", "none", "nil", "/"})
"""What a cell without a value holds, in small letters."""
_FIRST_OF_EMPTY = frozenset(sign for text in EMPTY for sign in (text[:1], text[:1].upper()) if sign)
SPACES = " \u00a0\u2007\u2009\u202f"
_NUMBER = re.compile(
    rf"(?P<sign>[+\-−–]?)\s*(?:"
    rf"(?P<spaced>[0-9]{{1,3}}(?:(?P<by>['’{SPACES}])[0-9]{{3}})(?:(?P=by)[0-9]{{3}})*(?:(?P<bdec>[.,])[0-9]+)?)"
    r"|(?P<both>[0-9]{1,3}(?:(?P<th>[.,])[0-9]{3})(?:(?P=th)[0-9]{3})*(?!(?P=th))(?P<dec>[.,])[0-9]+)"
    r"|(?P<groups>[0-9]{1,3}(?:(?P<gr>[.,])[0-9]{3}){2,})"
    r"|(?P<one>[0-9]+(?P<sg>[.,])[0-9]+)"
    r"|(?P<whole>[0-9]+)"
    r")(?![.,'’]?[0-9])\s*(?P<rest>.*)",
    re.DOTALL,
)
_LONGEST_NUMBER = 30
_DATE = re.compile(
    r"[0-9]{4}-[01]?[0-9]-[0-3]?[0-9]|[0-3]?[0-9]([./-])[01]?[0-9]\1[0-9]{2}(?:[0-9]{2})?"
)
_EXPONENT = re.compile(r"[+-]?[0-9]+(?:[.,][0-9]+)?[eE][+-]?[0-9]")


class CellError(LimitcheckError):
    """What is wrong with a cell, and what to write; the caller knows where it is."""


class Number(NamedTuple):
    """A number of a cell, as Python writes it, and what follows it."""

    text: str
    rest: str


class Decided(NamedTuple):
    """What stands before the decimals of a column; None where it is to be asked, for `why`."""

    sign: Sign | None
    why: str = ""


def visible(text: str) -> str:
    """A text in which signs that nobody sees are shown by their number.

    >>> visible("200\u200b")
    '200<U+200B>'
    """
    return "".join(f"<U+{ord(s):04X}>" if category(s) in ("Cf", "Cc") else s for s in text)


def is_empty(cell: str) -> bool:
    """Whether a cell holds no value; a formula without a stored one is not empty."""
    first = cell[:1]
    if first and first not in _FIRST_OF_EMPTY and not first.isspace():
        return False  # as nearly every cell of a table
    return not isinstance(cell, UnstoredCell) and cell.strip().casefold() in EMPTY


def evidence(cell: str) -> tuple[Sign | None, Sign | None]:
    """The sign that ends the whole digits where that is sure, and the one that may do so.

    >>> evidence("1.234,5"), evidence("5.800 psi"), evidence("413,68")
    (('comma', None), (None, 'point'), ('comma', None))
    """
    match = None if isinstance(cell, NumberCell | DateCell) else _NUMBER.match(cell.strip())
    if match is None:
        return None, None
    if match["spaced"]:
        return _name(match["bdec"]), None
    if match["both"]:
        return _name(match["dec"]), None
    if match["groups"]:
        return _name("," if match["gr"] == "." else "."), None
    if match["one"]:
        return (None, _name(match["sg"])) if _either(match["one"]) else (_name(match["sg"]), None)
    return None, None


def _either(number: str) -> bool:
    """Whether the one sign of a number may stand between thousands."""
    return re.fullmatch(r"[1-9][0-9]{0,2}[.,][0-9]{3}", number) is not None


def _name(sign: str | None) -> Sign | None:
    return {".": "point", ",": "comma"}.get(sign or "")  # type: ignore[return-value]


def decided(cells: Iterable[str]) -> Decided:
    """The sign before decimals of a column of cells; `why` says what is to be asked."""
    sure: dict[Sign, str] = {}
    either: dict[Sign, str] = {}
    seen_before: set[str] = set()
    for cell in cells:
        if type(cell) is str:  # what a spreadsheet shows as this text may say something else
            if cell in seen_before:
                continue
            seen_before.add(cell)
        certain, possible = evidence(cell)
        if certain is not None:
            sure.setdefault(certain, cell)
        if possible is not None:
            either.setdefault(possible, cell)
    if not either:
        return Decided(next(iter(sure), "point"))
    seen = next(iter(either.values()))
    if len(sure) == 1:
        return Decided(next(iter(sure)))
    if len(sure) > 1:
        others = " and ".join(f'"{cut(cell, 30)}"' for cell in sure.values())
        return Decided(None, f'"{cut(seen, 30)}" can be read two ways, beside {others}')
    return Decided(None, f'"{cut(seen, 30)}": is the sign decimal, or between thousands?')


def must_be_typed(cell: str, what: str) -> None:
    """Raises CellError for a date, and for a formula without a stored value."""
    if isinstance(cell, DateCell):
        raise CellError(
            f"{cell} is a date or time: the spreadsheet may have made it of a {what}",
            f"give the {what} that was typed",
        )
    if isinstance(cell, UnstoredCell) and cell:
        raise CellError(
            f"{cut(cell, 20)}: a formula that gives an error instead of a {what}",
            f"give the {what}, or correct the formula",
        )
    if isinstance(cell, UnstoredCell):
        raise CellError(
            "a formula whose value is not stored in the file",
            "give the value, or open the file in a spreadsheet program and save it",
        )


_MOST_ROUNDED = Decimal("0.005")
"""The share of a number by which what is shown may be rounded; else it is asked (a choice)."""


def _shown(cell: NumberCell) -> Number:
    """The number that a cell of a spreadsheet shows, and its unit; raises CellError."""
    form, stored = cell.shown, str(cell)
    if form is None:
        return Number(stored, "")
    doubt, shown = form.doubt_of(stored), stored
    if not doubt and not stored.startswith("-"):
        shown, exact = form.number(stored), form.scaled(stored)
        if abs(Decimal(shown) - exact) > _MOST_ROUNDED * exact:
            doubt = f"its number format shows {shown}"
    if doubt:
        raise CellError(
            f"{cut(stored, 20)} is stored; {cut(doubt, 60)}",
            "answer with the number and the unit that hold",
        )
    return Number(f"{Decimal(shown).normalize():f}", form.after.strip(" ()"))


def surely(cell: NumberCell) -> NumberCell:
    """A number of which a person says that it stands: as stored, where the format is doubtful."""
    try:
        _shown(cell)
    except CellError:
        return NumberCell(cell)
    return cell


def shown_text(cell: str) -> str:
    """The text that a cell shows, where a number is a name; raises CellError."""
    form = cell.shown if isinstance(cell, NumberCell) else None
    if form is None:
        return cell
    doubt = form.doubt or ("it is shown otherwise" if cell.startswith("-") else "")
    if doubt:
        raise CellError(
            f"{cut(cell, 20)} is stored; {cut(doubt, 60)}",
            "answer with the text that the cell shows",
        )
    return f"{form.before}{form.number(cell)}{form.after}".strip()


def read_number(cell: str, sign: Sign | None) -> Number:
    """The number that a cell begins with, and the text after it; raises CellError.

    A number with one sign that may stand between thousands is read by the `sign` of its column.

    >>> read_number("1.200 psi", "comma"), read_number("103,4", "point")
    (Number(text='1200', rest='psi'), Number(text='103.4', rest=''))
    """
    if isinstance(cell, NumberCell):
        return _shown(cell)
    must_be_typed(cell, "number")
    text = cell.strip()
    if _DATE.fullmatch(text):
        raise CellError(
            f'"{text}" is a date: a spreadsheet may have made it of a number', "give the number"
        )
    if _EXPONENT.match(text):
        raise CellError(f'"{cut(text, 30)}" has an exponent', "write the number out, as in 260")
    match = _NUMBER.fullmatch(text)
    if match is None or len(text) - len(match["rest"]) > _LONGEST_NUMBER:
        raise CellError(
            f'"{cut(visible(text))}" is not a number', "give the number alone, with its unit"
        )
    number = match["spaced"] or match["both"] or match["groups"] or match["one"] or match["whole"]
    if match["spaced"]:
        number = number.replace(match["by"], "")
        before = match["bdec"] or "."
    elif match["one"] and _either(number):
        if sign is None:
            whole = re.sub("[.,]", "", number)
            raise CellError(
                f'"{cut(text)}" has two readings: {whole}, or {number.replace(",", ".")}',
                "say which sign stands before decimals",
            )
        before = "," if sign == "comma" else "."
    elif match["groups"]:
        before = "," if match["gr"] == "." else "."
    else:
        before = match["dec"] or match["sg"] or "."
    between = "," if before == "." else "."
    number = number.replace(between, "").replace(before, ".")
    minus = "-" if match["sign"] in ("-", "−", "–") and match["sign"] else ""
    return Number(minus + number, match["rest"].strip())

"""Numbers and dates as people export them, read only when they can mean one thing.

A decimal comma and the order of day and month are settled by the column as a whole: the first
cell that allows only one reading decides. A column without such a cell is ambiguous, an error.
"""

from __future__ import annotations

import re
from datetime import datetime
from typing import Literal, NamedTuple

from ..errors import LimitcheckError
from ..units import PRESSURE_UNITS, Pressure, find_unit
from ..units.printing import short
from .lines import quoted

_LARGEST_PASCAL = 1e10  # a hundred times beyond any pump
_MOST_CHARACTERS = 24

_NUMBER = re.compile(r"([0-9]+)(?:([.,])([0-9]+))?\s*([^0-9.,'’\s].*)?")
_GROUPED = re.compile(
    r"([0-9]{1,3}([.,])[0-9]{3}(?:\2[0-9]{3})*)(?:(?!\2)[.,]([0-9]+))?\s*([^0-9.,'’\s].*)?"
)
_SEPARATED = re.compile(r"[0-9]{1,3}(?:[.,'’\u00a0\u202f ][0-9]{3})+(?:[.,][0-9]+)?\s*(?:\D.*)?")
_ISO = re.compile(r"[0-9]{4}-?[0-9]{2}-?[0-9]{2}.*")
_YEAR_FIRST = re.compile(r"([0-9]{4})[/.]([0-9]{1,2})[/.]([0-9]{1,2})(?:[ T,]+(.*))?")
_NUMERIC_DATE = re.compile(r"([0-9]{1,2})([/.-])([0-9]{1,2})\2([0-9]{2,4})(?:[ T,]+(.*))?")
_NAMED_DATE = re.compile(r"([0-9]{1,2})[ -]([A-Za-z]{3,9})\.?[ -]([0-9]{4})(?:[ T,]+(.*))?")
_CLOCK = re.compile(
    r"([0-9]{1,2}):([0-9]{2})(?::([0-9]{2})(?:[.,]([0-9]+))?)?(?:\s*([AaPp])\.?[Mm]\.?)?"
)
NO_READING = frozenset(
    {
        "",
        "-",
        "--",
        "---",
        "\u2013",
        "\u2014",
        "n/a",
        "na",
        "n.a.",
        "#n/a",
        "nan",
        "null",
        "none",
        "?",
    }
)
"""What a cell without a reading holds, in small letters."""
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


DecimalSign = Literal["point", "comma"]
"""The sign between whole and decimal digits."""
DateOrder = Literal["day-first", "month-first"]
"""Which comes first in a date of numbers only."""


class CellError(LimitcheckError):
    """What is wrong with a cell; the caller knows where it is."""


class Signs(NamedTuple):
    """What the signs of one number can mean.

    `decimal` is the sign that ends its whole digits where that is certain; `either` the sign that
    may do so, or may stand between thousands.
    """

    decimal: DecimalSign | None
    either: DecimalSign | None


def signs_of(text: str) -> Signs:
    """The signs of a pressure cell; both None where it has none, or is no number."""
    match = _NUMBER.fullmatch(text)
    if match is None:
        grouped = _GROUPED.fullmatch(text)
        return Signs(None if grouped is None else _other(grouped[2]), None)
    if match[2] is None:
        return Signs(None, None)
    sign: DecimalSign = "comma" if match[2] == "," else "point"
    could = len(match[1]) <= 3 and not match[1].startswith("0") and len(match[3]) == 3
    return Signs(None, sign) if could else Signs(sign, None)


def _other(sign: str) -> DecimalSign:
    return "point" if sign == "," else "comma"


def whole_digits(text: str) -> int:
    """How many digits a number without any sign has; 0 for any other text."""
    match = _NUMBER.fullmatch(text)
    return len(match[1]) if match is not None and match[2] is None else 0


def number(text: str, decimal: DecimalSign) -> tuple[float, str | None]:
    """Number [as typed] and unit spelling (or None) of a pressure cell; raises CellError.

    The sign that is not `decimal` may stand between thousands.
    """
    match = _NUMBER.fullmatch(text)
    if match is not None and len(text) <= _MOST_CHARACTERS:
        unit = match[4].strip() if match[4] else None
        if match[2] is None or (match[2] == ",") is (decimal == "comma"):
            return float(f"{match[1]}.{match[3] or 0}"), unit
        if signs_of(text).either is not None:
            return float(match[1] + match[3]), unit
        raise CellError(
            f'"{text}" has a {"comma" if match[2] == "," else "point"} where the column uses a '
            f"decimal {decimal}",
            "write every number of the column alike",
        )
    grouped = _GROUPED.fullmatch(text)
    if grouped is None or len(text) > _MOST_CHARACTERS:
        raise _not_a_number(text)
    if _other(grouped[2]) != decimal:
        raise CellError(
            f'"{text}" has a {"comma" if grouped[2] == "," else "point"} between thousands, where '
            f"the column uses a decimal {decimal}",
            "write every number of the column alike",
        )
    whole = grouped[1].replace(grouped[2], "")
    return float(f"{whole}.{grouped[3] or 0}"), grouped[4].strip() if grouped[4] else None


def _not_a_number(text: str) -> CellError:
    if _SEPARATED.fullmatch(text):
        together = re.sub(r"[,'’\u00a0\u202f ](?=[0-9]{3})", "", text)
        return CellError(
            f"{quoted(text)} has a separator between thousands",
            f'write the digits together: "{together}"',
        )
    if re.fullmatch(r"-\s*[0-9.,]+.*", text):
        return CellError(
            f"{quoted(text)} is below zero: a column under pressure does not show that",
            "have the zero of the pressure sensor checked; write - where there is no reading",
        )
    return CellError(
        f"{quoted(text)} is not a pressure",
        "write a number such as 286 or 286.5, or - where there is no reading",
    )


def pascal_factor(spelling: str) -> float:
    """Pascal [Pa] in one of the pressure unit; raises UnitError for one not known."""
    return float(PRESSURE_UNITS[find_unit(spelling, Pressure)].factor)


def within_reach(pascal: float, text: str) -> None:
    """Raises CellError for a pressure no pump makes."""
    if pascal > _LARGEST_PASCAL:
        raise CellError(
            f'"{text}" is about {short(pascal / 1e5, 3)} bar, more than any pump makes',
            "correct it, or write - where there is no reading; is the unit right?",
        )


def order_evidence(text: str) -> DateOrder | None:
    """What one date says about the order of day and month; None where it says nothing."""
    match = _NUMERIC_DATE.fullmatch(text)
    if match is None:
        return None
    first, second = int(match[1]), int(match[3])
    if match[2] == "." or (first > 12 >= second):  # dots: day first (common practice, no source)
        return "day-first"
    return "month-first" if second > 12 >= first else None


def needs_order(text: str) -> bool:
    """Whether this date can be read only when the order of day and month is known."""
    return _NUMERIC_DATE.fullmatch(text) is not None


def moment(text: str, order: DateOrder | None) -> datetime:
    """Date and time of a cell; raises CellError."""
    try:
        if _ISO.fullmatch(text):
            return datetime.fromisoformat(text.replace(",", "."))
        if match := _YEAR_FIRST.fullmatch(text):
            return _at(int(match[1]), int(match[2]), int(match[3]), match[4])
        if match := _NUMERIC_DATE.fullmatch(text):
            return _numeric(match, text, order)
        if match := _NAMED_DATE.fullmatch(text):
            month = _MONTHS.index(match[2][:3].lower()) + 1
            return _at(int(match[3]), month, int(match[1]), match[4])
    except ValueError:
        raise CellError(
            f'"{text}" is not a date of the calendar', "correct it, as in 2026-03-09 14:30"
        ) from None
    raise CellError(
        f"{quoted(text)} is not a date and time",
        "write as in 2026-03-09 14:30; a drift needs the date, not the minutes since the start",
    )


def _numeric(match: re.Match[str], text: str, order: DateOrder | None) -> datetime:
    if len(match[4]) != 4:
        raise CellError(f'"{text}" has a year of {len(match[4])} digits', "write all four digits")
    first, second = int(match[1]), int(match[3])
    seen = order_evidence(text)
    if order is None:
        raise CellError(
            f'"{text}" is written in another way than the dates before it',
            "write every date alike, best as in 2026-03-09, or add --dates",
        )
    if seen is not None and seen != order:
        raise CellError(
            f'"{text}" is {seen}, the dates before it are read {order}: dates in two orders',
            "write every date alike, best as in 2026-03-09",
        )
    day, month = (first, second) if order == "day-first" else (second, first)
    return _at(int(match[4]), month, day, match[5])


def _at(year: int, month: int, day: int, clock: str | None) -> datetime:
    """Raises ValueError for what no calendar or clock shows."""
    if not clock:
        return datetime(year, month, day)
    match = _CLOCK.fullmatch(clock.strip())
    if match is None or (match[5] and not 1 <= int(match[1]) <= 12):
        raise ValueError(clock)
    hour = int(match[1])
    if match[5]:
        hour = hour % 12 + (12 if match[5] in "Pp" else 0)
    microsecond = int((match[4] or "")[:6].ljust(6, "0"))
    return datetime(year, month, day, hour, int(match[2]), int(match[3] or 0), microsecond)

"""How a log is written and which rows of it count, as people type it in a command or a form."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime, time
from typing import Any, get_args

from ..errors import Refused
from ..units import Pressure, UnitError, find_unit
from .cells import DateOrder, DecimalSign
from .columns import ROLES
from .layout import Options

DELIMITERS = {"comma": ",", "semicolon": ";", "tab": "\t", "bar": "|"}
DECIMALS: tuple[str, ...] = get_args(DecimalSign)
DATES: tuple[str, ...] = get_args(DateOrder)


def one_of(option: str, value: str | None, known: Iterable[str]) -> Any:
    """The value of an option, if it is one of those known; raises Refused."""
    if value is not None and value not in (names := tuple(known)):
        raise Refused(f'{option} "{value}"', f"write {' or '.join(names)}")
    return value


def date_of(text: str | None, option: str, of_day: time) -> datetime | None:
    """A date and time; `of_day` is meant where only a date is given. Raises Refused."""
    if text is None:
        return None
    try:
        if len(text) <= 10:
            return datetime.combine(date.fromisoformat(text), of_day)
        return datetime.fromisoformat(text)
    except ValueError:
        raise Refused(f'{option} "{text}" is not a date', "write as in 2026-03-09") from None


def options_of(
    unit: str | None,
    own_unit: str | None,
    delimiter: str | None,
    decimal: str | None,
    dates: str | None,
    use: Sequence[str],
) -> Options:
    """How the log is written; `own_unit` is the instrument's, for a log that names none.

    Raises Refused.
    """
    columns = {}
    for text in use:
        role, equals, name = text.partition("=")
        if not equals or role not in ROLES or not name.strip():
            raise Refused(
                f'--use "{text}"', f'write as in time="Run date"; roles: {", ".join(ROLES)}'
            )
        columns[role] = name
    try:
        known = find_unit(unit, Pressure) if unit is not None else own_unit
    except UnitError as error:
        raise Refused(f"--unit: {error.message}", error.advice) from None
    return Options(
        delimiter=DELIMITERS.get(one_of("--delimiter", delimiter, DELIMITERS)),
        decimal=one_of("--decimal", decimal, DECIMALS),
        dates=one_of("--dates", dates, DATES),
        unit=known,
        unit_from="by --unit" if unit is not None else "the log names none: the instrument's",
        columns=columns,
    )

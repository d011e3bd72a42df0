"""The columns of a sheet: the key that each stands for, by its header and the other headers."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from ..errors import LimitcheckError
from ..units import QUANTITIES, find_unit
from .same_key import Cells, one_of_each_key
from .unsure_headers import PERCENT_A, may_be_minutes
from .words import KEYS, QUANTITY, SheetKind, can_give, signs_of_any


class Column(NamedTuple):
    """A column of a sheet: its header, and the key it stands for; None where it is left out.

    `unit` is the spelling in the header, `unit_from` says where it stands. `paths` are the keys it
    may stand for, where it is to be asked.
    """

    at: int
    text: str
    key: str | None
    unit: str = ""
    unit_from: str = ""
    paths: tuple[str, ...] = ()
    hidden: bool = False
    twice: bool = False
    """Whether another column stands for the same key."""
    doubt: str = ""
    """Why it is asked although its header is known."""
    unused: str = ""
    """Why nothing is made of a column whose header is known."""


def beside_each_other(
    columns: Sequence[Column], kind: SheetKind, cells: Cells
) -> tuple[Column, ...]:
    """The columns of a sheet of a kind, as they are read beside each other."""
    found = [_beside(column, columns) for column in columns]
    return one_of_each_key([_used(column, found, kind) for column in found], cells)


def _beside(column: Column, columns: Sequence[Column]) -> Column:
    """A column whose header says more, or less, beside the other headers."""
    if column.key == "cutoffs.low" and column.unit_from != "the mapping":
        texts = [other.text for other in columns]
        if not column.unit and may_be_minutes(column.text, texts):
            return column._replace(key=None, paths=("cutoffs.low",))
    if column.key is None and "expected.high" in column.paths and _operating(column.text):
        lows = [other for other in columns if other.key == "expected.low"]
        if any(_operating(other.text) for other in lows):  # both ends of one band
            return column._replace(key="expected.high", paths=())
    if column.key is None and column.paths == (PERCENT_A,):
        plain = next((other for other in columns if other.key == "conditions.percent_b"), None)
        if plain is not None:
            return column._replace(paths=(), unused=f'"{plain.text}" says it')
    if column.key is None and set(column.paths) <= _NAMES:
        plain = next((other for other in columns if other.key in column.paths), None)
        if plain is not None:  # as "Old method": which it is changes no number
            return column._replace(paths=(), unused=f'not "{plain.text}", which says it')
    return column


_NAMES = frozenset({
    "method.id", "method.title", "method.revision", "method.site", "instrument.id",
    "column.label", "column.serial",
})  # fmt: skip


def _operating(text: str) -> bool:
    return "operating" in signs_of_any(text)


def _used(column: Column, columns: Sequence[Column], kind: SheetKind) -> Column:
    """A column, or the same left out where no row of its sheet can say whose its values are."""
    of_ratings = kind == "columns" and column.key == "instrument.pressure_unit"
    if column.key is None or kind == "methods" or of_ratings:
        return column
    table = column.key.partition(".")[0]
    named = "column.label" if table == "column" else "instrument.id"
    if not can_give(kind, column.key):
        why = f"a table of {kind} gives no {column.key}"
    elif not any(named in (other.key, *other.paths) for other in columns):
        why = f"{column.key}, and no column says of which {named.partition('.')[0]}"
    else:
        return column
    return column._replace(key=None, paths=(), unused=why)


def unit_problem(column: Column) -> LimitcheckError | None:
    """Why the unit in a header, such as mPa, cannot be taken; None where it can."""
    if column.key is None or not column.unit:
        return None
    kind = QUANTITY.get(KEYS[column.key].kind)
    quantity = next((q for q in QUANTITIES if kind == q.KIND), None)
    if quantity is None:
        return None
    try:
        find_unit(column.unit, quantity)
    except LimitcheckError as error:
        return error
    return None

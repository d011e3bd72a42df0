"""One cell of a table, read as what its column holds; exact text, nothing guessed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import NamedTuple

from ..errors import LimitcheckError, cut
from ..units import QUANTITIES, Pressure, Quantity, find_unit
from .grid import NumberCell
from .not_a_unit import must_be_a_unit
from .notes import judge_note, named
from .numbers import CellError, Number, Sign, must_be_typed, read_number, shown_text
from .two_numbers import must_be_one
from .words import KEYS, QUANTITY, Kind

_KINDS: Mapping[str, type[Quantity]] = {kind.KIND: kind for kind in QUANTITIES}
_BAND = re.compile(r"(?:[-–—−…]|\.\.+|to\b|bis\b|à\s)\s*(?=[0-9])")
_NOTE = re.compile(r"(?P<unit>[^(\[;]*?)\s*(?P<note>[(\[][^0-9]*[)\]]|;[^0-9]*)?")
_FROM = re.compile(r"^(?:from|von|de)\s+", re.IGNORECASE)
_SPACED = re.compile(r"[0-9]+\s+[0-9]")
_TIMES = re.compile(r"[x×*]\s*")
_DIGITS = 8
"""The most digits of a pressure that is typed: a converted rating as 413.6854 has 7 (a choice)."""
_OFF = frozenset({"off", "none", "not set", "not given", "disabled", "unlimited"})
"""What people write for a cutoff that is not set, in small letters."""


class Amount(NamedTuple):
    """A number with its unit; the unit is empty where neither cell nor header names one."""

    number: str
    unit: str
    note: str = ""
    own: bool = False
    """Whether the unit stands in the cell itself."""


class Text(NamedTuple):
    """A text of a cell."""

    text: str


Value = Text | Amount | tuple[Amount, ...]
"""What a cell holds: a band has two amounts; the dimensions of a column two or three."""


def read_text(cell: str) -> Text:
    """A name or another text on one line; raises CellError."""
    must_be_typed(cell, "name or number")
    return Text(re.sub(r"\s+", " ", shown_text(cell)))


def read_cell(
    cell: str,
    key: str,
    unit: str,
    sign: Sign | None,
    *,
    confirmed: bool = False,
    spaced: bool = False,
) -> Value | None:
    """What a cell of a key holds, in the `unit` of its header where it names none of its own.

    What stands in brackets may change the number, as in "30 (off)": a person has `confirmed` it, or
    it is known to change nothing. A column is `spaced` where thousands have a space. None for a
    cutoff that is said to be off. Raises CellError.
    """
    kind = KEYS[key].kind
    if kind == "text":
        return read_text(cell)
    if kind == "unit":
        return Text(_known_unit(str(read_text(cell).text), Pressure, ""))
    if kind == "dimensions":
        return _dimensions(cell, sign, confirmed)
    if kind == "pressure" and cell.casefold() in _OFF:
        return None
    if kind == "band" and not isinstance(cell, NumberCell):
        cell = _FROM.sub("", cell)
    first = read_number(cell, sign)
    if not confirmed:
        if not isinstance(cell, NumberCell):
            must_be_one(cell, unit, kind, spaced=spaced)
        judge_note(cell, first.rest, key)
        _judge_format(cell, unit, kind)
        if kind in ("pressure", "band") and len(first.text.strip("0.").replace(".", "")) > _DIGITS:
            raise CellError(
                f"{cut(first.text, 30)} has more digits than a front panel takes: converted?",
                "answer with what is typed there",
            )
    if kind == "band":
        return _band(cell, first, unit, sign)
    if kind in ("number", "percent"):
        rest = _NOTE.fullmatch(first.rest)
        if rest is None or rest["unit"] not in ("", "%" if kind == "percent" else ""):
            raise _more_than_a_number(cell)
        return Amount(_positive(first, cell), "%" if kind == "percent" else "", rest["note"] or "")
    return _amount(cell, first, unit, _KINDS[QUANTITY[kind]])


def _judge_format(cell: str, unit: str, kind: Kind) -> None:
    """Raises CellError where the number format of a cell and its header name two units."""
    quantity = _KINDS.get(QUANTITY.get(kind, ""))
    form = cell.shown if isinstance(cell, NumberCell) else None
    if form is None or not form.unit or not unit or quantity is None:
        return
    if named(form.unit, quantity) != named(unit, quantity):
        raise CellError(
            f"{cut(cell, 20)}: the cell shows {form.unit}, and {unit} stands in the header",
            "answer with the number and the unit that hold",
        )


def _amount(cell: str, first: Number, unit: str, kind: type[Quantity]) -> Amount:
    match = _NOTE.fullmatch(first.rest)
    if match is None:
        must_be_a_unit(cell, first.rest)
        raise _more_than_a_number(cell)
    spelled, note = match["unit"].strip(), (match["note"] or "").strip("()[]; ")
    if in_brackets := named(note, kind):
        other = spelled or unit
        if other and in_brackets != _known_unit(other, kind, first.text):
            raise CellError(
                f'"{cut(cell)}": {note} stands there, and {other} beside it or in the header',
                "answer with the number and the unit that hold",
            )
        spelled, note = spelled or note, ""
    if spelled:
        must_be_a_unit(cell, spelled)
    name = _known_unit(spelled or unit, kind, first.text) if spelled or unit else ""
    if not name and kind is not Pressure:
        raise CellError(
            f'"{cut(cell)}" has no unit', f'give it with its unit, as in "{kind.EXAMPLE}"'
        )
    number = first.text if kind.KIND == "temperature" else _positive(first, cell)
    return Amount(number, name, note, bool(spelled))


def _positive(number: Number, cell: str) -> str:
    if number.text.startswith("-"):
        raise CellError(f'"{cut(cell)}" is below zero', "give the number as it is set or displayed")
    return number.text


def _known_unit(spelling: str, kind: type[Quantity], number: str) -> str:
    try:
        return find_unit(spelling, kind, number or "NUMBER")
    except LimitcheckError as error:
        raise CellError(error.message, error.advice) from None


def _more_than_a_number(cell: str) -> CellError:
    return CellError(
        f'"{cut(cell)}" holds more than a number and its unit', "give the number and unit that hold"
    )


def _band(cell: str, first: Number, unit: str, sign: Sign | None) -> Value:
    """Both ends; an amount where the cell has one pressure, and not two with a space."""
    match = _BAND.search(first.rest)
    if match is None:
        if isinstance(cell, NumberCell) or not _SPACED.match(cell):
            return _amount(cell, first, unit, Pressure)
        raise CellError(
            f'"{cut(cell)}" is no band of two pressures', 'give both ends, as in "120-200 bar"'
        )
    second = read_number(first.rest[match.end() :], sign)
    high = _amount(cell, second, unit, Pressure)
    before = first.rest[: match.start()].strip()
    low_unit = _known_unit(before, Pressure, first.text) if before else high.unit
    return Amount(_positive(first, cell), low_unit, "", high.own), high


def _dimensions(cell: str, sign: Sign | None, confirmed: bool) -> tuple[Amount, ...]:
    """Length, bore and, where it stands there, particle size, as in "150 x 4.6 mm, 5 um"."""
    length_kind = _KINDS["length"]
    wrong = CellError(
        f'"{cut(cell)}" is not read as the dimensions of a column',
        'give length, bore and particle size, as in "150 x 4.6 mm, 5 um"',
    )
    first = read_number(cell, sign)
    before, times, after = _partition(first.rest)
    if not times:
        raise wrong
    second = read_number(after, sign)
    unit, _, third = second.rest.partition(",") if "," in second.rest else (second.rest, "", "")
    if not third and (times_again := _partition(unit))[1]:
        unit, third = times_again[0], times_again[2]
    bore = _amount(cell, Number(second.text, unit.strip()), "", length_kind)
    length = _amount(cell, Number(first.text, before.strip() or unit.strip()), "", length_kind)
    if not confirmed and _longer(bore, length):
        raise CellError(
            f'"{cut(cell)}": a bore of {bore.number} {bore.unit}, longer than the column?',
            'give the length first, as in "150 x 4.6 mm, 5 um", or answer "as it stands"',
        )
    if not third.strip():
        return length, bore
    return length, bore, _amount(cell, read_number(third, sign), "", length_kind)


def _longer(one: Amount, other: Amount) -> bool:
    kind = _KINDS["length"]
    first, second = (kind.of(amount.number, amount.unit).value for amount in (one, other))
    return first > second


def _partition(text: str) -> tuple[str, str, str]:
    match = _TIMES.search(text)
    if match is None:
        return text, "", ""
    return text[: match.start()], match[0], text[match.end() :]

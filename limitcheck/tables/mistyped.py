"""Numbers that a slip of the fingers explains, and nothing else in the table.

Two signs are looked for. A number that is rounded more finely than all others of its size in its
column, where its digits exchanged or a double digit taken out make it round. And a cutoff that none
of the ways in which this table's cutoffs are set gives, where nearly all others are set in one of
them, and a slip would make it as many others. What a slip makes another usual number of the table
cannot be told from it.

All figures are choices, common practice, no source; `tests.tables.study` measures them.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Callable, Container, Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from functools import lru_cache
from itertools import accumulate
from math import exp, inf, log
from typing import NamedTuple, TypeAlias

from ..findings import KeyPath
from ..meant.evidence import BAR, EXPECTED_HIGH, EXPECTED_LOW, HIGH, LOW
from ..units import USUAL_STEP
from .cells import Amount
from .digits import before_a_slip, rounded_to, slips
from .habits import Seen, stated_for_all
from .questions import Question, of_row
from .rows import Given

_SET_BY_PEOPLE: tuple[KeyPath, ...] = (HIGH, LOW)
"""Rounded in one way; the ends of a band are measured, and rounded as it comes."""
_FEWEST_ROUNDED, _SIZE, _CHANCE = 8, 4, 1e-7
"""Numbers of one unit and column that tell how they are rounded: rows, at least, and how many times
smaller the smallest of them (larger ones may be rounded to more). And how likely their different
numbers are all so round by chance, at most."""
_FINER = 2
"""Steps of which one is so many times the other are told apart."""
_FEWEST = 100
"""Rows from which it can be told how all cutoffs are set."""
_A_WAY, _AS_MANY = 0.03, 0.15
"""Shares of the rows that make a way of setting a cutoff, and that a slip has to lead to."""
_MOST_LEFT = 2, 0.01
"""Rows that no way gives, at most, and a share of all: more of them are set by hand."""
_ROUNDED_TO = 0.065
"""Half of the step that a number is rounded to, at most, as a share of it."""
_NEAR = 0.03
"""A slip has to lead this near to the share of the others, whatever the number is rounded to."""
_MOST = 5000
"""Numbers that are remembered, at most."""
_USUAL_STEP = {unit: float(step) for unit, step in USUAL_STEP.items()}
_FINE_SHARE = 0.005
"""Steps of a number, at most, as a share of what it is set by: by chance, one in 20 is tenths."""
_Base: TypeAlias = Callable[[Seen], float]


class _Typed(NamedTuple):
    """A number of a row as typed; `step` is what it is rounded to."""

    row: Seen
    path: KeyPath
    given: Given
    number: Decimal
    unit: str
    step: Decimal


class _Way(NamedTuple):
    """How cutoffs are set: at one share of a base (as a logarithm), and on how many rows."""

    base: _Base
    share: float
    rows: int
    words: str


def mistyped(rows: Sequence[Seen]) -> Iterator[Question]:
    """The numbers that are most likely a slip."""
    yield from _finer_than_others(rows)
    left = [row for row in rows if not row.planned.record.open]
    for path, bases in _BASES.items():
        yield from _set_in_no_way(left, path, bases)


def _typed(row: Seen, path: KeyPath) -> _Typed | None:
    given, profile = row.planned.cells.get(path), row.planned.profile
    if given is None or not isinstance(given.value, Amount) or profile is None:
        return None
    number, step = _read(given.value.number)
    if number <= 0:
        return None
    unit = given.value.unit or profile.instrument.pressure_unit
    return _Typed(row, path, given, number, unit, step)


@lru_cache(maxsize=_MOST)
def _read(text: str) -> tuple[Decimal, Decimal]:
    """A number, and what it is rounded to."""
    number = Decimal(text)
    return number, rounded_to(number)


def _finer_than_others(rows: Sequence[Seen]) -> Iterator[Question]:
    columns: dict[tuple[KeyPath, str], list[_Typed]] = {}
    for row in rows:
        for path in _SET_BY_PEOPLE:
            if (typed := _typed(row, path)) is not None:
                columns.setdefault((path, typed.unit), []).append(typed)
    for column in columns.values():
        if len(column) <= _FEWEST_ROUNDED:
            continue
        column.sort(key=lambda typed: typed.number)
        numbers = [typed.number for typed in column]
        steps: dict[Decimal, list[int]] = {}
        for at, typed in enumerate(column):
            steps.setdefault(typed.step, []).append(at)
        new = (at == 0 or numbers[at - 1] != number for at, number in enumerate(numbers))
        different = [0, *accumulate(new)]  # how many numbers stand before each place
        for typed in column:
            first = bisect_left(numbers, typed.number / _SIZE)
            last = bisect_right(numbers, typed.number)
            if last - first <= _FEWEST_ROUNDED or typed.given.confirmed:
                continue
            step = min(
                step
                for step, places in steps.items()
                if bisect_left(places, last) - bisect_left(places, first) > (step == typed.step)
            )
            if typed.row.planned.record.open or step < _FINER * typed.step:
                continue
            alone = bisect_left(numbers, typed.number) == last - 1
            others = different[last] - different[first] - alone
            if float(typed.step / step) ** others > _CHANCE:
                continue
            meant = {
                number: words
                for number, words in before_a_slip(typed.number)
                if number % step == 0 and _in_order(typed, number)
            }
            if len(meant) == 1:
                ((number, words),) = meant.items()
                told = (
                    f"{typed.given.text} is not rounded as the others of its column, which are "
                    f"whole {step:f} {typed.unit}; {words} it would be"
                )
                yield _asked(typed, told, f"{number:f} {typed.unit}")


def _in_order(typed: _Typed, number: Decimal) -> bool:
    """Whether the pressures of the row rise as they must with another number in the place."""
    numbers = typed.row.numbers
    band = numbers.band or (0.0, 0.0)
    bars = {LOW: numbers.low, EXPECTED_LOW: band[0], EXPECTED_HIGH: band[1], HIGH: numbers.high}
    bars[typed.path] = float(number) * BAR[typed.unit]
    known = [bar for bar in bars.values() if bar]
    return known == sorted(known)


def _asked(typed: _Typed, text: str, meant: str) -> Question:
    typed.row.planned.record.open = True
    return of_row(typed.row.planned, typed.given, text, meant)


def _top(row: Seen) -> float:
    return row.numbers.band[1] if row.numbers.band else 0.0


def _bottom(row: Seen) -> float:
    return row.numbers.band[0] if row.numbers.band else 0.0


def _rating(row: Seen) -> float:
    return row.weakest if row.weakest < inf else 0.0


def _one(_: Seen) -> float:
    return 1.0


_BASES: Mapping[KeyPath, Mapping[str, _Base]] = {
    HIGH: {"the highest expected pressure": _top, "the weakest rating": _rating},
    LOW: {"the lowest expected pressure": _bottom, "": _one},
}
"""What a cutoff is set by: a share of these, or one number."""


def _share(
    typed: _Typed, base: float, number: Decimal | None = None, unit: str = ""
) -> tuple[float, float]:
    """Between what shares (as logarithms) a cutoff may have been set, before it was rounded."""
    step = typed.step if number is None else rounded_to(number)
    number = typed.number if number is None else number
    most = max(_ROUNDED_TO, _USUAL_STEP[unit or typed.unit] / float(number) / 2)
    half = min(float(step / number) / 2, most, 0.9)
    at = log(float(number) * BAR[unit or typed.unit] / base)
    return at + log(1 - half), at + log(1 + half)


def _set_in_no_way(
    rows: Sequence[Seen], path: KeyPath, bases: Mapping[str, _Base]
) -> Iterator[Question]:
    stated = stated_for_all(rows) if path == HIGH else set()
    left = {
        at: typed
        for at, row in enumerate(rows)
        if (typed := _typed(row, path)) is not None
        and at not in stated
        and not (path == HIGH and row.numbers.untouched)
        and _BAND_END[path](row)
    }
    every = len(left)
    if every < _FEWEST:
        return
    ways: list[_Way] = []
    spans = [_Spans(left, base, words) for words, base in bases.items()]
    while True:
        way, members = max((one.most_used() for one in spans), key=lambda found: len(found[1]))
        if len(members) < max(3, _A_WAY * every):
            break
        ways.append(way)
        for at in members:
            del left[at]
        for one in spans:
            one.keep(left)
    if len(left) > _MOST_LEFT[0] + _MOST_LEFT[1] * every:
        return
    usual = [way for way in ways if way.rows >= _AS_MANY * every]
    times = Counter((typed.number, typed.unit) for typed in left.values())
    for typed in left.values():
        alone = times[typed.number, typed.unit] == 1  # two of one number are set as each other
        if alone and not _is_round_share(typed, _BAND_END[path](typed.row)):
            yield from _explained(typed, usual)


_BAND_END: Mapping[KeyPath, _Base] = {HIGH: _top, LOW: _bottom}


class _Spans:
    """Between what shares of a base each row may have been set; of the rows that are left."""

    def __init__(self, left: Mapping[int, _Typed], base: _Base, words: str) -> None:
        self._base, self._words = base, words
        self._rows = [
            (*_share(typed, by), at) for at, typed in left.items() if (by := base(typed.row)) > 0
        ]
        starts, ends = ([(row[end], end, row[2]) for row in self._rows] for end in (0, 1))
        self._ends = sorted(starts + ends)

    def keep(self, left: Container[int]) -> None:
        """Go on with these rows."""
        self._rows = [row for row in self._rows if row[2] in left]
        self._ends = [end for end in self._ends if end[2] in left]

    def most_used(self) -> tuple[_Way, list[int]]:
        """The share that most of these rows may have been set at, and these rows."""
        inside = list(accumulate(-1 if closes else 1 for _, closes, _ in self._ends))
        share = 0.0
        if inside:
            first = inside.index(max(inside))
            share = (self._ends[first][0] + self._ends[first + 1][0]) / 2
        members = [at for low, high, at in self._rows if low <= share <= high]
        return _Way(self._base, share, len(members), self._words), members


def _explained(typed: _Typed, ways: Iterable[_Way]) -> Iterator[Question]:
    """A cutoff, or the end of its band, that one slip makes as those of many other rows."""
    row, found = typed.row, {}
    end = _typed(row, EXPECTED_HIGH if typed.path == HIGH else EXPECTED_LOW)
    for way in ways:
        base = way.base(row)
        for number, unit, words in slips(typed.number, typed.unit) if base else ():
            fits = _is_at(_share(typed, base, number, unit), way.share)
            if fits and _in_order(typed, number * _times(unit, typed.unit)):
                found[f"{number:f} {unit}"] = (typed, way, words)
        if end is None or way.base is not _BAND_END[typed.path]:
            continue
        for number, unit, words in slips(end.number, end.unit):
            fits = _is_at(_share(typed, float(number) * BAR[unit]), way.share)
            if fits and _in_order(end, number * _times(unit, end.unit)):
                found[f"{number:f} {unit}"] = (end, way, words)
    cells = {one.given.cell for one, *_ in found.values() if not one.given.confirmed}
    for meant_text, (one, way, words) in found.items():
        if one.given.cell not in cells:
            continue
        cells.discard(one.given.cell)
        several = sum(other.given.cell == one.given.cell for other, *_ in found.values()) > 1
        told = (
            f"{typed.given.text} ({typed.given.cell}) is set as no other row; {words} "
            f"{'' if one is typed else f'in {one.given.text} '}it is {_told(way)}"
        )
        yield _asked(one, told, "" if several else meant_text)


def _is_at(span: tuple[float, float], way: float) -> bool:
    """Whether a share is that of a way of setting cutoffs, by rounding or nearly."""
    low, high = span
    return abs((low + high) / 2 - way) <= min((high - low) / 2, _NEAR)


def _is_round_share(typed: _Typed, base: float) -> bool:
    """Whether a cutoff is whole tenths of the end of its band, to more than it takes by chance."""
    end = base / BAR[typed.unit]
    fine = float(typed.step) / end
    tenths = 10 * float(typed.number) / end
    return fine <= _FINE_SHARE and abs(tenths - round(tenths)) <= 10 * fine / 2


def _told(way: _Way) -> str:
    if not way.words:
        return f"{exp(way.share):.3g} bar, as on {way.rows} others"
    return f"{100 * exp(way.share):.3g} % of {way.words}, as on {way.rows} others"


def _times(unit: str, other: str) -> Decimal:
    return Decimal(1) if unit == other else Decimal(BAR[unit] / BAR[other])

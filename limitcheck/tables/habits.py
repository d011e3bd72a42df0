"""Cutoffs that no habit of the laboratory gives: each row beside all others of the table.

People set a cutoff by a pressure of the row (its expected band), by a rating, or at one number
whatever the method. Which habits a laboratory has shows where many rows agree. A cutoff that
none of them gives, and that lies apart from every other row, is asked. In a small table a single
row may be a habit of its own, and nothing is asked.

All figures are choices, common practice, no source; `tests.tables.study` measures them.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from itertools import groupby
from math import exp, inf, log
from typing import NamedTuple

from ..findings import KeyPath
from ..meant.evidence import BAR, EXPECTED_HIGH, EXPECTED_LOW, HIGH, LOW, Numbers
from ..units import TRADE_UNITS
from .cells import Amount
from .digits import before_a_slip
from .planned import Planned
from .questions import Question, of_row

_FEWEST = 100
"""Rows with such a number from which habits can be told."""
_FEWEST_LEFT = 12
"""Of these, rows that no fixed habit explains, among which one may lie apart."""
_APART = 0.15
"""A number that lies nearer than this to another (as a logarithm) is not apart from it."""
_USUAL_HIGH, _USUAL_LOW = (log(1.05), log(2.0)), (log(0.2), log(0.85))
_USUAL_OF_HIGH, _USUAL_BAND = (log(0.05), log(0.7)), (log(0.12), 0.0)
"""Shares of the band, of the high cutoff, and of a band's upper end, as they are anywhere: never
apart."""
_SPACED = ((5, 4.0), (10, 1.5))
"""A gap must also be this many times the span of so many nearest rows: numbers that are spread
thinly leave such a gap in one of 600 cases, and of 4,000."""
_SAME, _AROUND, _SAME_NUMBER = 0.03, 0.3, 0.05
"""Numbers set to one share of a rating, but for rounding; their surroundings; and one number as
it is rounded in two units (5 bar and 70 psi)."""
_ROUNDED = 0.08
"""How far a small number is from its share of a rating by rounding alone: 4.6 becomes 5."""
_PEAK = 3.0
"""Times as many rows as the surroundings let expect make a habit."""
_FEW, _MANY = 2, 3
"""Other rows that make a habit, at least: of one share, of one number."""
_METHODS_DIFFER = 4.0
"""One number whatever the method: its rows have bands further apart than shares of a band are."""


class Seen(NamedTuple):
    """A row that fits in itself: its numbers in bar, and the weakest rating under pressure."""

    planned: Planned
    numbers: Numbers
    weakest: float


def unusual(rows: Sequence[Seen]) -> Iterator[Question]:
    """The cells that lie apart from what the laboratory does elsewhere."""
    rows = [row for row in rows if not row.planned.record.open]
    yield from _high(rows)
    yield from _low(rows)
    yield from _bands(rows)


def _high(rows: Sequence[Seen]) -> Iterator[Question]:
    rows = [row for row in rows if row.numbers.high > 0]
    if len(rows) < _FEWEST:
        return
    fixed = _one_number(rows, "high") | _share_of_rating(rows)
    left = {
        at: log(row.numbers.high / row.numbers.band[1])
        for at, row in enumerate(rows)
        if row.numbers.band and row.numbers.band[1] > 0 and at not in fixed
    }
    for at, span in _apart(left, _USUAL_HIGH):
        if rows[at].numbers.untouched:
            continue
        of = "the highest expected pressure"
        yield from _asked(rows[at], HIGH, left[at], span, of, EXPECTED_HIGH)


def _low(rows: Sequence[Seen]) -> Iterator[Question]:
    rows = [row for row in rows if row.numbers.low > 0]
    if len(rows) < _FEWEST:
        return
    fixed = _one_number(rows, "low")
    banded = {
        at: log(row.numbers.low / row.numbers.band[0])
        for at, row in enumerate(rows)
        if row.numbers.band and row.numbers.band[0] > 0 and at not in fixed
    }
    for at, span in _apart(banded, _USUAL_LOW):
        of = "the lowest expected pressure"
        yield from _asked(rows[at], LOW, banded[at], span, of, EXPECTED_LOW)
    of_high = {
        at: log(row.numbers.low / row.numbers.high)
        for at, row in enumerate(rows)
        if row.numbers.high > 0 and at not in fixed
    }
    for at, span in _apart(of_high, _USUAL_OF_HIGH):
        if rows[at].numbers.band is None:
            yield from _asked(rows[at], LOW, of_high[at], span, "the high cutoff")


def _bands(rows: Sequence[Seen]) -> Iterator[Question]:
    """Bands that are wider than any other, by a number that is far off at one of its ends."""
    rows = [row for row in rows if row.numbers.band and row.numbers.band[0] > 0]
    if len(rows) < _FEWEST:
        return
    wide = {}
    for at, row in enumerate(rows):
        assert row.numbers.band is not None
        wide[at] = log(row.numbers.band[0] / row.numbers.band[1])
    for at, span in _apart(wide, _USUAL_BAND):
        if wide[at] < span[0]:
            words = "the highest expected pressure"
            yield from _asked(rows[at], ("expected", "low"), wide[at], span, words)


def stated_for_all(rows: Sequence[Seen]) -> set[int]:
    """Rows whose high cutoff is that of their instrument, whatever the method."""
    with_high = [(at, row) for at, row in enumerate(rows) if row.numbers.high > 0]
    found = _one_number([row for _, row in with_high], "high")
    return {at for number, (at, _) in enumerate(with_high) if number in found}


def _one_number(rows: Sequence[Seen], key: str) -> set[int]:
    """Rows whose number stands on others too, whatever their methods: for a high cutoff on those
    of the instrument, for a low one on any, in its own unit."""
    groups: dict[str, list[tuple[float, float, int]]] = {}
    for at, row in enumerate(rows):
        assert row.planned.profile is not None
        name = row.planned.profile.instrument.id if key == "high" else ""
        size = log(row.numbers.high if key == "high" else row.numbers.low)
        groups.setdefault(name, []).append((size, _base(row, key), at))
    found: set[int] = set()
    for members in groups.values():
        members.sort()
        sizes = [size for size, *_ in members]
        for size, same in groupby(members, key=lambda member: member[0]):
            first = bisect_left(sizes, size - _SAME_NUMBER)
            last = bisect_right(sizes, size + _SAME_NUMBER)
            bases = sorted((base, at) for _, base, at in members[first:last] if base)
            if len(bases) <= _MANY:
                continue
            for _, _, at in same:  # beside the others: its own method says nothing of their habit
                least = bases[1] if bases[0][1] == at else bases[0]
                most = bases[-2] if bases[-1][1] == at else bases[-1]
                if most[0] >= _METHODS_DIFFER * least[0]:
                    found.add(at)
    return found


def _base(row: Seen, key: str) -> float:
    """What a share would be of: the end of the band, else the high cutoff."""
    if row.numbers.band is not None:
        return row.numbers.band[1 if key == "high" else 0]
    return row.numbers.high if key == "low" else 0.0


def _share_of_rating(rows: Sequence[Seen]) -> set[int]:
    """Rows whose high cutoff is a share of the weakest rating at which others stand as well, of
    those that no usual share of their band explains."""
    shares = {
        at: log(row.numbers.high / row.weakest)
        for at, row in enumerate(rows)
        if row.weakest < inf and not _usual_of_band(row)
    }
    ordered = sorted(shares.values())
    found = set()
    for at, share in shares.items():
        same = _within(ordered, share, _SAME) - 1
        expected = _within(ordered, share, _AROUND) * _SAME / _AROUND
        if same >= max(_FEW, _PEAK * expected):
            found.add(at)
    peaks = sorted(shares[at] for at in found)
    near = (at for at, share in shares.items() if _within(peaks, share, _ROUNDED) >= _FEW)
    return found.union(near)


def _usual_of_band(row: Seen) -> bool:
    band, (least, most) = row.numbers.band, _USUAL_HIGH
    return bool(band and band[1] > 0 and least <= log(row.numbers.high / band[1]) <= most)


def _within(ordered: Sequence[float], value: float, by: float) -> int:
    return bisect_right(ordered, value + by) - bisect_left(ordered, value - by)


def _apart(
    values: Mapping[int, float], usual: tuple[float, float]
) -> Iterator[tuple[int, tuple[float, float]]]:
    """Those that lie apart from all others, with the least and most of the others."""
    ordered = sorted(values.values())
    if len(ordered) < _FEWEST_LEFT:
        return
    for at, value in values.items():
        if usual[0] <= value <= usual[1]:
            continue
        place = bisect_left(ordered, value)
        others = ordered[max(0, place - 12) : place] + ordered[place + 1 : place + 13]
        nearest = sorted(others, key=lambda other: abs(other - value))
        gap = abs(nearest.pop(0) - value)  # it may itself be a stray one
        if gap <= _APART:
            continue
        spans = (times * (max(nearest[:count]) - min(nearest[:count])) for count, times in _SPACED)
        if gap > max(spans):
            least = ordered[0] if place else ordered[1]
            most = ordered[-1] if place < len(ordered) - 1 else ordered[-2]
            yield at, (least, most)


def _asked(
    row: Seen,
    path: KeyPath,
    value: float,
    span: tuple[float, float],
    of: str,
    beside: KeyPath | None = None,
) -> Iterator[Question]:
    """The question on a number, and on the one that it is a share of, where a slip explains it."""
    given = row.planned.cells.get(path)
    if given is None or given.confirmed or _by_rounding(given.value, value, span):
        return
    row.planned.record.open = True
    text = (
        f"{given.text} is {_times(value)} {of}; other rows have {_times(span[0])} to "
        f"{_times(span[1])}"
    )
    yield of_row(row.planned, given, text, _meant(row, given.value, value, span))
    other = row.planned.cells.get(beside) if beside else None
    if other is None or other.confirmed or not isinstance(other.value, Amount):
        return
    typed = Decimal(other.value.number)
    meant = {
        number
        for number, _ in before_a_slip(typed)
        if span[0] <= value - log(number / typed) <= span[1]
        and _is_band(row, number / typed, beside)
    }
    if len(meant) == 1:
        unit = other.value.unit or row.numbers.unit
        yield of_row(row.planned, other, text, f"{meant.pop():f} {unit}")


def _is_band(row: Seen, times: Decimal, end: KeyPath | None) -> bool:
    """Whether the band is one as they are anywhere, with one end so many times as large."""
    assert row.numbers.band is not None
    low, high = row.numbers.band
    wide = log(low / high) + log(times) * (1 if end == EXPECTED_LOW else -1)
    return _USUAL_BAND[0] <= wide <= _USUAL_BAND[1]


def _by_rounding(given: object, value: float, span: tuple[float, float]) -> bool:
    """Whether rounding alone leaves a number outside: 0.15 set as 0.1 is a third away."""
    if not isinstance(given, Amount):
        return False
    number = Decimal(given.number)
    half = Decimal((0, (5,), -len(given.number.partition(".")[2]) - 1))
    if number <= half:
        return False
    nearest = (value + log((number + half) / number), value + log((number - half) / number))
    return nearest[0] >= span[0] and nearest[1] <= span[1]


def _times(value: float) -> str:
    share = exp(value)
    return f"{share:.3g} times" if share >= 1 else f"{100 * share:.2g} % of"


def _meant(row: Seen, value: object, size: float, span: tuple[float, float]) -> str:
    """The one slip that would make the number usual; empty where several would, or none."""
    if not isinstance(value, Amount):
        return ""
    assert row.planned.profile is not None
    unit = value.unit or row.planned.profile.instrument.pressure_unit
    slips = {round(BAR[other] / BAR[unit], 6): f"{value.number} {other}" for other in TRADE_UNITS}
    for by in (Decimal(10), Decimal("0.1")):  # as with bar for MPa: one number, two slips
        slips[float(by)] = f"{(Decimal(value.number) * by).normalize():f} {unit}"
    fits = [
        text
        for by, text in slips.items()
        if by != 1.0 and span[0] - _SAME <= size + log(by) <= span[1] + _SAME
    ]
    return fits[0] if len(fits) == 1 else ""

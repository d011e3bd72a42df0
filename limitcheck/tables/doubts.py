"""Cells that do not fit: what `limitcheck.meant` says of each row, and each row beside the others.

A number that its own row contradicts is judged as in a profile. Where the row has no band to
compare with, the cutoffs of the same instrument are the neighbours.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import exp, inf, log
from statistics import median

from ..findings import Confidence, KeyPath
from ..meant import Evidence, Judgement, MeantNumber, judge
from ..meant.evidence import BAR, EXPECTED, HIGH, INSTRUMENT
from ..meant.relations import read_ratings
from ..profile.hardware import column_index
from ..profile.plausible import COLUMN_LENGTHS
from ..units import TRADE_UNITS
from .cells import Amount, Text
from .grid import cell_numbers
from .habits import Seen
from .planned import Planned
from .questions import LEAVE_OUT, Question, of_row
from .remembered import Remembered
from .rows import Given

_NEIGHBOURS = 8
"""Rows of an instrument from which a number may stand out."""
_UNDER_HIGH = 0.7
"""A low cutoff under this share of the high one may be right for its method."""
_STANDS_OUT = log(3.0)
"""Beyond nearly all others by this factor (a choice, common practice, no source)."""


class Doubts:
    """Judges rows one by one."""

    def __init__(self, remembered: Remembered) -> None:
        self._remembered = remembered
        self.seen: list[Seen] = []
        """The rows that fit in themselves."""

    def of(self, planned: Planned) -> Iterator[Question]:
        """The cells of a row that do not fit the rest of it."""
        profile = planned.profile
        if profile is None:
            return
        evidence = self._remembered.evidence(profile)
        found = judge(evidence)
        for judgement in (*found.sizes, found.pressures):
            if judgement is not None and _worth_asking(judgement):
                yield from _asked(planned, judgement)
        yield from _rated_beyond(planned)
        if not planned.record.open:
            yield from _is_zero(planned)
        if not planned.record.open:
            yield from _out_of_order(planned)
            yield from _out_of_reach(planned)
            yield from _beyond_sizes(planned)
        if not planned.record.open:
            self.seen.append(Seen(planned, evidence.declared, _weakest(evidence)))


def _weakest(evidence: Evidence) -> float:
    return read_ratings(evidence, evidence.declared.ratings).weakest


def _worth_asking(judgement: Judgement) -> bool:
    """What is contradicted is asked; what is only unusual, where it is likely to be a slip."""
    return bool(judgement.broken) or judgement.confidence is not Confidence.POSSIBLE


def _asked(planned: Planned, judgement: Judgement) -> Iterator[Question]:
    said = {change.group: change for change in judgement.best.changes}
    if judgement.broken and judgement.confidence is Confidence.POSSIBLE:
        for rival in judgement.rivals:  # which of the numbers is wrong is not told either
            said = {change.group: change for change in rival.changes} | said
    if not judgement.broken:
        why = "unusual beside the other numbers of its row"
    else:
        why = "contradicts the other numbers of its row"
    for group, change in said.items():
        for path in _paths(group):
            given = planned.cells.get(path)
            if given is None or given.confirmed:
                continue
            planned.record.open = True
            yield of_row(planned, given, f"{given.text} {why}", _meant(change, given))


def _is_zero(planned: Planned) -> Iterator[Question]:
    """A high cutoff of 0: typed, it stops every run; or it is what stands where none is set."""
    profile, given = planned.profile, planned.cells.get(HIGH)
    assert profile is not None
    high = profile.cutoffs.high
    if high is not None and not high.value and given is not None and not given.confirmed:
        planned.record.open = True
        asked = of_row(planned, given, f"{given.text} as high cutoff: is none set?", "")
        yield asked._replace(advice=f'"{LEAVE_OUT}" where none is set; {asked.advice}')


def _beyond_sizes(planned: Planned) -> Iterator[Question]:
    """A size of the column that columns hardly have, or a bore that is wider than it is long."""
    profile = planned.profile
    assert profile is not None
    at = column_index(profile)
    column = profile.flow_path[at]
    for key, (least, most) in COLUMN_LENGTHS.items():
        size, given = getattr(column, key, None), planned.cells.get(("flow_path", at, key))
        if size is None or given is None or given.confirmed:
            continue
        length = getattr(column, "length", None)
        name = key.replace("_", " ")
        if not least <= float(size.value) <= most:
            text = f"{given.text} as {name} of a column, which hardly any has"
        elif key == "bore" and length is not None and size.value > length.value:
            text = f"{given.text} as bore of a column that is shorter, {length}"
        else:
            continue
        planned.record.open = True
        yield of_row(planned, given, text, "")


_ORDER: tuple[tuple[KeyPath, KeyPath, str], ...] = (
    (("expected", "low"), ("expected", "high"), "above the highest expected pressure"),
    (("cutoffs", "low"), ("expected", "low"), "not under the lowest expected pressure"),
    (("expected", "high"), ("cutoffs", "high"), "not under the high cutoff"),
    (("cutoffs", "low"), ("cutoffs", "high"), "not under the high cutoff"),
)
"""What cannot be in any run: the first of each two lies under the second."""


def _out_of_order(planned: Planned) -> Iterator[Question]:
    """Two numbers of a row that cannot both be right, where nothing says which was mistaken."""
    profile = planned.profile
    assert profile is not None
    for lower, upper, words in _ORDER:
        one, other = (getattr(getattr(profile, str(p[0])), str(p[1]), None) for p in (lower, upper))
        given, beside = planned.cells.get(lower), planned.cells.get(upper)
        if not one or not other or given is None or beside is None:
            continue
        ends = lower[0] == upper[0] == "expected"
        if (one > other if ends else one >= other) and not (given.confirmed and beside.confirmed):
            planned.record.open = True
            told = f"{given.text} ({given.cell}) is {words}, {beside.text} ({beside.cell})"
            if given.cell == beside.cell:
                told = f"{given.text} has its highest pressure before its lowest"
            for cell in dict.fromkeys((given, beside)):
                if not cell.confirmed:
                    yield of_row(planned, cell, told, "")


_OVER_RATINGS, _OVER_COLUMN = 1.25, 2.0
"""How far a high cutoff may lie above every rating of its row, with that of the pump among them or
without, and be as it was typed (a choice): a pump makes no more than its rating."""
_REACH = 0.5, 2500.0
"""High cutoffs of liquid chromatography [bar], with room to spare; from memory, no source."""


def _out_of_reach(planned: Planned) -> Iterator[Question]:
    """A high cutoff that no run comes to, by the ratings of its row or by any pump."""
    profile, given = planned.profile, planned.cells.get(HIGH)
    if profile is None or profile.cutoffs.high is None or given is None or given.confirmed:
        return
    high = float(profile.cutoffs.high.value) / 1e5
    rated = [  # what stands after the column is under little of the pressure
        (part.part, float(part.rating.value) / 1e5)
        for part in profile.flow_path[: column_index(profile) + 1]
        if part.rating
    ]
    most = max((bar for _, bar in rated), default=inf)
    over = _OVER_RATINGS if any(name == "pump" for name, _ in rated) else _OVER_COLUMN
    least, largest = _REACH
    if high > over * most:
        text = f"{given.text} as high cutoff is far above every rating of its row"
    elif high > largest or 0 < high < least:
        text = f"{given.text} as high cutoff is {high:.3g} bar, which no pump is run at"
    else:
        return
    planned.record.open = True
    yield of_row(planned, given, text, "")


def _rated_beyond(planned: Planned) -> Iterator[Question]:
    """A rating that no part has: every cutoff would pass beside it."""
    profile = planned.profile
    assert profile is not None
    for at, part in enumerate(profile.flow_path):
        given = planned.cells.get(("flow_path", at, "rating"))
        if part.rating is None or given is None or given.confirmed:
            continue
        bar = float(part.rating.value) / 1e5
        if bar > _REACH[1]:
            planned.record.open = True
            text = f"{given.text} as rating is {bar:.6g} bar, which no part is rated at"
            yield of_row(planned, given, text, "")


def _paths(group: KeyPath) -> tuple[KeyPath, ...]:
    """The values that a group of `meant` holds."""
    if group == EXPECTED:
        return (("expected", "low"), ("expected", "high"))
    if group == INSTRUMENT:
        return (HIGH,)
    return (group,)


def _meant(change: MeantNumber, given: Given) -> str:
    number = change.number
    if not number and isinstance(given.value, Amount):
        number = given.value.number
    elif not number and not isinstance(given.value, Amount | Text):
        number = "-".join(end.number for end in given.value)
    return f"{number or given.text} {change.unit}"


def neighbours(planned: Sequence[Planned]) -> Iterator[Question]:
    """Cutoffs without a band in their row that lie far above all others of their instrument."""
    rows: dict[tuple[str, str], list[tuple[float, Planned, Given]]] = {}
    for one in planned:
        profile = one.profile
        if profile is None:
            continue
        for key in ("high", "low"):
            pressure = getattr(profile.cutoffs, key)
            given = one.cells.get(("cutoffs", key))
            if pressure is not None and given is not None and pressure.value:
                name = (profile.instrument.id, key)
                bar = float(pressure.number) * BAR[pressure.unit]
                rows.setdefault(name, []).append((log(bar), one, given))
    for (_, key), found in rows.items():
        if len(found) >= _NEIGHBOURS:
            yield from _standing_out(found, key)


def _standing_out(found: list[tuple[float, Planned, Given]], key: str) -> Iterator[Question]:
    sizes = sorted(size for size, *_ in found)
    middle, few = median(sizes), max(1, len(sizes) // 20)
    low, high = sizes[few], sizes[-few - 1]
    for size, one, given in found:
        away = size - high  # one that is too low stops the run at once; some methods need it
        assert one.profile is not None
        if away < _STANDS_OUT or given.confirmed or one.profile.expected is not None:
            continue
        cutoffs, unit = one.profile.cutoffs, one.profile.instrument.pressure_unit
        if (
            key == "low"
            and cutoffs.high
            and size < log(_UNDER_HIGH * float(cutoffs.high.value) / 1e5)
        ):
            continue
        fits = [u for u in TRADE_UNITS if u != unit and _fits(size, BAR[u] / BAR[unit], low, high)]
        one.record.open = True
        text = (
            f"{given.text} as {key} cutoff, where {one.profile.instrument.id} has "
            f"{exp(low) / BAR[unit]:.3g} to {exp(high) / BAR[unit]:.3g} {unit}, "
            f"mostly about {exp(middle) / BAR[unit]:.3g}"
        )
        number = given.value.number if isinstance(given.value, Amount) else given.text
        meant = f"{number} {fits[0]}" if len(fits) == 1 else ""
        yield of_row(one, given, text, meant)


def _fits(size: float, factor: float, low: float, high: float) -> bool:
    return low - 0.2 <= size + log(factor) <= high + 0.2


def once(questions: Iterable[Question]) -> list[Question]:
    """Each question once, by sheet, row and column: many rows may doubt one rating.

    Of two on one cell, the first that says what was probably meant is kept.
    """
    kept: dict[tuple[str, str, str, str], Question] = {}
    sheets: dict[str, int] = {}
    for one in questions:
        if not kept.setdefault(one.key, one).meant and one.meant:
            kept[one.key] = one
        sheets.setdefault(one.sheet, len(sheets))
    return sorted(kept.values(), key=lambda one: (sheets[one.sheet], *cell_numbers(one.cell)))

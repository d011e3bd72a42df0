"""What a slip may be, and how often each kind happens: costs as negative log likelihoods.

A wrong unit of a whole field is what happens most; a typing error, one end of a band, the
largest entry of the field and a length or flow happen more rarely. All figures are common
practice, no source; tests/detection measures what comes of them.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from itertools import pairwise
from math import log
from typing import NamedTuple

from ..units import TRADE_UNITS
from .evidence import (
    BAR,
    ENTRY_MAX,
    EXPECTED,
    EXPECTED_HIGH,
    EXPECTED_LOW,
    HIGH,
    INSTRUMENT,
    LOW,
    NEAR_UNIT,
    Evidence,
    Group,
    MeantNumber,
)

_FIRST = {"unit": 2.0, "one end": 3.3, "entry field": 2.5}
_INSTRUMENT = 0.5
"""The whole instrument is taken for another more rarely than one number."""
_SECOND_SAME, _SECOND_OTHER = 1.0, 2.5
"""Cost of a second slip: into the same unit, as when two numbers were copied, or another."""
_UNIT = {"bar": 0.4, "psi": 0.4, "MPa": 0.4, "kPa": 2.0}
_RARE_UNIT, _RARE_BUT_USED = 2.7, 0.3
"""Cost of a unit; of one that stands elsewhere in the profile, nothing or little."""
_TYPING = 3.3
_EXTRA_DIGIT = 0.05
"""Share of typing errors that are a digit too many, though not one typed twice."""
_DIGIT = 2.2
"""Cost of one more significant digit in the number that was meant: people set round numbers."""
_KINDS = 7
"""Typing errors, all alike: ten times, a tenth, a hundred times, a digit left out, typed twice,
wrong, or changed with the next."""


class Hypothesis(NamedTuple):
    """Numbers as they may have been meant, and how rare such a slip is."""

    changes: tuple[MeantNumber, ...]
    cost: float

    @property
    def groups(self) -> frozenset[Group]:
        """The groups it changes."""
        return frozenset(change.group for change in self.changes)


def unit_slips(evidence: Evidence) -> Iterator[Hypothesis]:
    """Each number that may be doubted, one at a time, in each other unit."""
    groups = _groups(evidence) if evidence.asked is None else (evidence.asked,)
    for group in groups:
        declared = evidence.unit_of(group)
        kind = "unit"
        if group in (EXPECTED_LOW, EXPECTED_HIGH):
            kind = "one end"
        elif group == ENTRY_MAX:
            kind = "entry field"
        for unit in TRADE_UNITS:
            if unit not in (declared, NEAR_UNIT.get(declared)):
                cost = _FIRST[kind] + _unit_cost(evidence, unit)
                change = MeantNumber(group, kind, unit)  # type: ignore[arg-type]
                yield Hypothesis((change,), cost + (_INSTRUMENT if group == INSTRUMENT else 0.0))


def _groups(evidence: Evidence) -> Iterator[Group]:
    typed, declared = evidence.typed, evidence.declared
    if declared.high and not declared.untouched:
        yield HIGH
    if declared.low:
        yield LOW
    if declared.band is not None:
        if typed[EXPECTED_LOW][1] == typed[EXPECTED_HIGH][1]:
            yield EXPECTED
        yield EXPECTED_LOW
        yield EXPECTED_HIGH
    if ENTRY_MAX in typed:
        yield ENTRY_MAX
    yield from (rating.group for rating in evidence.ratings if rating.text)
    yield INSTRUMENT


def unit_cost(unit: str) -> float:
    """How rarely instruments show a unit, as a cost."""
    return _UNIT.get(unit, _RARE_UNIT)


def _unit_cost(evidence: Evidence, unit: str) -> float:
    cost = unit_cost(unit)
    if unit in evidence.units_used:
        return 0.0 if cost < 1 else _RARE_BUT_USED
    return cost


def two_slips(one: Hypothesis, other: Hypothesis) -> Hypothesis | None:
    """Two numbers, each in another unit; None where they are the same number."""
    first, second = one.changes[0], other.changes[0]
    if first.group == second.group or _same_numbers(first.group, second.group):
        return None
    if first.unit == second.unit:
        cost = max(one.cost, other.cost) + _SECOND_SAME
    else:
        cost = one.cost + other.cost - _FIRST["unit"] + _SECOND_OTHER
    return Hypothesis((first, second), cost)


def _same_numbers(one: Group, other: Group) -> bool:
    """The instrument's unit already moves what is typed at it."""
    groups = {one, other}
    return INSTRUMENT in groups and bool(groups & {HIGH, LOW, EXPECTED})


def typing_errors(
    evidence: Evidence, group: Group, least: float, most: float
) -> Iterator[Hypothesis]:
    """One number with one typing error undone; those between two pressures [bar]."""
    unit = evidence.unit_of(group)
    for text, cost in intended(evidence.text_of(group)):
        if least <= float(text) * BAR[unit] <= most:
            yield Hypothesis((MeantNumber(group, "typing", unit, text),), _TYPING + cost)


def intended(typed: str) -> list[tuple[str, float]]:
    """The numbers that one typing error turns into the one typed, each with its cost.

    >>> dict(intended("3")).keys() >= {"30", "0.3", "0.03", "4", "13"}
    True
    """
    text = f"{Decimal(typed).normalize():f}"
    ways: dict[str, float] = {}

    def way(number: str, share: float) -> None:
        try:
            clean = f"{Decimal(number).normalize():f}"
        except ArithmeticError:
            return
        ways[clean] = ways.get(clean, 0.0) + share / _KINDS

    for power in (-1, 1, -2):
        way(str(Decimal(text).scaleb(power)), 1.0)
    at = [i for i, character in enumerate(text) if character.isdigit()]
    digits = len(at)
    for i in range(len(text) + 1):  # a digit was left out
        for digit in "0123456789":
            if i or digit != "0":
                way(text[:i] + digit + text[i:], 1.0 / (digits + 1))
    for i in at:  # a digit too many
        twice = text[i - 1 : i] == text[i]
        way(text[:i] + text[i + 1 :], 1.0 / digits if twice else _EXTRA_DIGIT / (10 * digits))
        for digit in "0123456789":  # a digit is wrong
            way(text[:i] + digit + text[i + 1 :], 1.0 / (9 * digits))
    for i, j in pairwise(at):  # two digits changed places
        changed = list(text)
        changed[i], changed[j] = text[j], text[i]
        way("".join(changed), 1.0 / (digits - 1))
    ways.pop(text, None)
    ways.pop("0", None)
    had = _significant(text)
    return [(number, _DIGIT * (_significant(number) - had) - log(p)) for number, p in ways.items()]


def _significant(number: str) -> int:
    return len(number.replace(".", "").strip("0"))

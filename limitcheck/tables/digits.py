"""The digits of a number as typed: what it is rounded to, and what slips of the fingers make it."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from itertools import pairwise

from ..meant.evidence import BAR
from ..units import TRADE_UNITS


def rounded_to(number: Decimal) -> Decimal:
    """The largest step that a number may have been rounded to: 1250 to 50, 15.5 to 0.5."""
    exponent = number.normalize().as_tuple().exponent
    assert isinstance(exponent, int)
    step = Decimal((0, (1,), exponent))
    return 5 * step if number % (5 * step) == 0 else step


def before_a_slip(number: Decimal) -> Iterator[tuple[Decimal, str]]:
    """The numbers of which two digits exchanged, or one typed twice, give this one."""
    text = f"{number:f}"
    for at, (one, other) in enumerate(pairwise(text)):
        if not (one.isdigit() and other.isdigit()):
            continue
        if one != other:
            yield Decimal(text[:at] + other + one + text[at + 2 :]), "with two digits exchanged"
        elif single := Decimal(text[:at] + text[at + 1 :]):
            yield single, "with a digit typed once"


def slips(number: Decimal, unit: str) -> Iterator[tuple[Decimal, str, str]]:
    """The numbers and units of which one slip makes this number in this unit; each with how."""
    for before, words in before_a_slip(number):
        yield before, unit, words
    for by in (Decimal(10), Decimal("0.1")):
        yield number * by, unit, "with the decimal point moved"
    for other in TRADE_UNITS:
        if other != unit and not 0.9 < BAR[other] / BAR[unit] < 1.1:
            yield number, other, f"in {other}"

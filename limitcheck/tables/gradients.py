"""A gradient in one cell, as tables have it: "5-95 % B in 10 min", "0 min 5 %, 10 min 95 %".

Only what names both minutes and percent is read; the forms are common practice, no source.
"""

from __future__ import annotations

import re

from ..errors import cut
from .cells import Amount
from .grid import NumberCell
from .numbers import CellError, must_be_typed
from .words import words_of

_N = r"(?P<{}>[0-9]{{1,4}}(?:[.,][0-9]{{1,2}})?)"
_MINUTES = r"\s*min(?:utes?|s|\.)?"
_TO = r"\s*(?:-|–|—|→|->|to|bis|à)\s*"
_RAMP = re.compile(
    _N.format("low") + r"\s*(?P<first>%)?\s*B?" + _TO + _N.format("high")
    # What follows is no more of the same number: "20 % - 15 min" is a hold.
    + r"(?:\s*(?P<second>%)\s*B?\s*(?:,|;|in|over|within|en|über)?\s*"
    + r"|\s*B?(?:\s*;|,(?=\s)|\s+(?:in|over|within|en|über)(?=\s))\s*)" + _N.format("minutes")
    + _MINUTES,
    re.IGNORECASE,
)  # fmt: skip
_POINT = re.compile(
    _N.format("minute") + _MINUTES + r"\s*[:=]?\s*" + _N.format("percent") + r"\s*%\s*B?",
    re.IGNORECASE,
)
_NONE = frozenset({"isocratic", "no", "no gradient", "isokratisch", "nein", "isocratique", "non"})
_OF_B = frozenset(
    word
    for line in (
        "gradient gradients gradienten programme program programm profile profil elution table",
        "linear steps % percent b min minutes time in of the solvent eluent mobile phase",
        "composition",
    )
    for word in line.split()
)
"""Words of a header that leave its percentages those of B."""
_SAYS_B = re.compile(r"%\s*B\b", re.IGNORECASE)


def must_be_of_b(cell: str, header: str, *, answered: bool) -> None:
    """Raises CellError for percentages that, by the header above, may be of another solvent.

    What is `answered` stands where it names B, as in "5-95 % B in 10 min".
    """
    others = [word for word in words_of(header) if word not in _OF_B]
    text = " ".join(cell.split())
    if not others or text.casefold() in _NONE or (answered and _SAYS_B.search(text)):
        return
    raise CellError(
        f'"{cut(text, 60)}" under "{cut(header, 60)}": percent of B, or of another solvent?',
        'answer with percent of B and say so, as in "5-95 % B in 10 min"',
    )


def read_gradient(cell: str) -> tuple[Amount, ...] | None:
    """Minute and percent B of each point, in turn; None where it is isocratic. Raises CellError.

    >>> [amount.number for amount in read_gradient("5-95 % B in 10 min")]
    ['0', '5', '10', '95']
    """
    must_be_typed(cell, "gradient")
    text = " ".join(cell.split())
    if text.casefold() in _NONE:
        return None
    ramp = None if isinstance(cell, NumberCell) else _RAMP.fullmatch(text)
    if ramp is not None and (ramp["first"] or ramp["second"]):
        return _points([("0", ramp["low"]), (ramp["minutes"], ramp["high"])])
    points = [_POINT.fullmatch(piece) for piece in re.split(r"\s*(?:;|,(?=\s)|→)\s*", text)]
    if len(points) > 1 and all(points):
        return _points([(point["minute"], point["percent"]) for point in points if point])
    raise CellError(
        f'"{cut(text, 60)}" is not read as a gradient',
        'give it as in "5-95 % B in 10 min" or "0 min 5 %, 10 min 95 %", or answer "leave out"',
    )


def _points(points: list[tuple[str, str]]) -> tuple[Amount, ...]:
    minutes, percents = zip(
        *((float(m.replace(",", ".")), float(p.replace(",", "."))) for m, p in points), strict=True
    )
    if list(minutes) != sorted(minutes) or max(percents) > 100:
        raise CellError(
            "a gradient whose minutes go backwards, or with more than 100 % B",
            "answer with its points in order of time",
        )
    return tuple(
        Amount(number.replace(",", "."), unit)
        for pair in points
        for number, unit in zip(pair, ("min", "%"), strict=True)
    )

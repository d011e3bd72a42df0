"""The pressure scale of a profile in one line of characters, with its legend.

What is higher always stands further right, however near it is; where two are equal, a cutoff
stands on the inner side of the rating.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, NamedTuple, TypeAlias

from ..checking.band import Called
from ..checking.marks import Kind, Mark, Marks
from ..units.printing import short
from .svg import Axis

Tone: TypeAlias = Literal["plain", "band", "cutoff", "rating"]
BEYOND = 2
"""A cutoff above so many times everything else is drawn behind a break of the line."""


class Signs(NamedTuple):
    """What the line is drawn with."""

    line: str
    low: str
    high: str
    band: str
    rating: str
    gap: str


SIGNS = Signs("─", "►", "◄", "▒", "║", "╱")
_CALLED: dict[Called, str] = {
    "normal": "normal",
    "predicted": "only predicted",
    "not used": "not used:",
}
BEHIND = "!"
"""The weakest part behind the column that the high cutoff does not protect."""
ASCII = Signs("-", ">", "<", "#", "|", "/")
_ORDER: tuple[Kind, ...] = ("low", "band from", "band to", "high", "behind", "weakest")


class ScaleLine(NamedTuple):
    """The line in stretches of one tone, and the items of its legend in the same way."""

    line: tuple[tuple[Tone, str], ...]
    legend: tuple[tuple[Tone, str, str], ...]
    """Tone and sign, and what it stands for."""


def scale_line(marks: Marks, width: int, signs: Signs = SIGNS) -> ScaleLine | None:
    """The line, `width` columns long at most; None where there is no cutoff to show."""
    if not {"low", "high"} & {mark.kind for mark in marks.marks}:
        return None
    ordered = sorted(marks.marks, key=lambda mark: (mark.amount, _ORDER.index(mark.kind)))
    inside, outside = _split(ordered)
    axis = Axis.rounded(0.0, float(inside[-1].amount), 0, 1) if inside else Axis(0, 1, 0, 1)
    end = f" {short(axis.high)} {marks.unit}"
    room = width - len("0 ") - len(end)
    tail = len(outside) + 3 if outside else 0
    cells = _cells([axis.at(float(mark.amount)) for mark in inside], room - tail)
    drawn = [signs.line] * (room - tail)
    tones: list[Tone] = ["plain"] * len(drawn)
    placed = dict(zip((mark.kind for mark in inside), cells, strict=True))
    if "band from" in placed:
        for cell in range(placed["band from"], placed["band to"] + 1):
            drawn[cell], tones[cell] = signs.band, "band"
    one: dict[Kind, tuple[str, Tone]] = {
        "low": (signs.low, "cutoff"),
        "high": (signs.high, "cutoff"),
        "behind": (BEHIND, "rating"),
        "weakest": (signs.rating, "rating"),
    }
    for kind, (sign, tone) in one.items():
        if kind in placed:
            drawn[placed[kind]], tones[placed[kind]] = sign, tone
    stretches: list[tuple[Tone, str]] = [("plain", "0 ")]
    for sign, tone in zip(drawn, tones, strict=True):
        before, text = stretches[-1]
        if before == tone:
            stretches[-1] = (tone, text + sign)
        else:
            stretches.append((tone, sign))
    # The end of the axis stands before the break: what is behind that is not there.
    stretches.append(("plain", end + (f" {signs.gap * 2}" if outside else "")))
    stretches += [(one[mark.kind][1], one[mark.kind][0]) for mark in outside]
    return ScaleLine(tuple(stretches), _legend(marks, signs))


def _split(ordered: Sequence[Mark]) -> tuple[Sequence[Mark], Sequence[Mark]]:
    """What the axis holds, and what is so far above the rest that it would crowd that."""
    for count in range(len(ordered) - 1, 0, -1):
        if ordered[count].amount > BEYOND * ordered[count - 1].amount > 0:
            rest = {mark.kind for mark in ordered[count:]}
            if rest <= {"high", "low", "behind"}:
                return ordered[:count], ordered[count:]
    return ordered, ()


def _cells(shares: Sequence[float], room: int) -> list[int]:
    """A cell of its own for each share of the line, in the same order."""
    cells: list[int] = []
    for share in shares:
        cell = round(share * (room - 1))
        cells.append(max(cell, cells[-1] + 1) if cells else cell)
    for index in range(len(cells) - 1, -1, -1):
        most = room - 1 if index == len(cells) - 1 else cells[index + 1] - 1
        cells[index] = min(cells[index], most)
    return cells


def _legend(marks: Marks, signs: Signs) -> tuple[tuple[Tone, str, str], ...]:
    given = {mark.kind: mark for mark in marks.marks}
    items: list[tuple[Tone, str, str]] = []
    if "low" in given:
        items.append(("cutoff", signs.low, f"low cutoff {given['low'].text}"))
    if "band from" in given:
        low, high = given["band from"].text, given["band to"].text
        items.append(("band", signs.band, f"{_CALLED[marks.called]} {low} to {high}"))
    if marks.doubt:
        items.append(("band", "?", f"expected pressure in doubt: {marks.doubt}"))
    if "high" in given:
        items.append(("cutoff", signs.high, f"high cutoff {given['high'].text}"))
    if "weakest" in given:
        items.append(
            ("rating", signs.rating, f"weakest rating {given['weakest'].text} ({marks.part})")
        )
    if marks.behind:
        items.append(("rating", BEHIND, f"behind the column: {marks.behind}"))
    if marks.unrated:
        items.append(("rating", "?", f"no rating given: {', '.join(marks.unrated)}"))
    return tuple(items)

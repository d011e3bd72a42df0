"""What every chart is made of: axes, lines and words as SVG, and a frame for curves.

Shapes and words carry the meaning, colour only helps: dashes tell lines apart. Every
chart is drawn twice: wide, and narrow so that it can be read on a phone.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import ceil, floor, log10
from typing import TYPE_CHECKING, Literal, NamedTuple

from ..units.printing import figures, short

if TYPE_CHECKING:  # a drawing of anything else needs no profile
    from ..checking.marks import Marks

FULL, DASHED, DOTTED, DASH_DOT, LONG = "", "5 4", "2 3", "9 3 2 3", "16 5"
"""Dashes of a line."""


class Drawing(NamedTuple):
    """An SVG of plain shapes and text, with words that say what it shows.

    `sketch` is the same in lines of characters, with a legend, for a terminal; `narrow` the same
    for a phone, where `svg` is too wide for one. A scale has `marks` instead of a sketch: its line
    is as wide as the terminal. `of` is whose it is, where an answer has drawings of several.
    """

    svg: str
    caption: str
    description: str
    sketch: tuple[str, ...] = ()
    narrow: str = ""
    marks: Marks | None = None
    of: str = ""
    kind: Literal["drawing"] = "drawing"


class Axis(NamedTuple):
    """Amounts from `low` to `high`, drawn on a straight line from `start` to `end` [pixels]."""

    low: float
    high: float
    start: float
    end: float

    @classmethod
    def rounded(cls, low: float, high: float, start: float, end: float) -> Axis:
        """An axis that begins and ends at round amounts."""
        step = round_step((high - low) or 1.0)
        first = floor(low / step)
        return cls(first * step, max(ceil(high / step), first + 1) * step, start, end)

    def at(self, amount: float) -> float:
        """Where an amount is; at an end of the axis where it is further out."""
        share = (amount - self.low) / ((self.high - self.low) or 1.0)
        return self.start + min(max(share, 0.0), 1.0) * (self.end - self.start)

    def ticks(self) -> list[float]:
        """Three to seven round amounts on the axis."""
        step = round_step((self.high - self.low) or 1.0)
        first, last = ceil(self.low / step - 1e-9), floor(self.high / step + 1e-9)
        return [number * step for number in range(first, last + 1)]


def round_step(span: float) -> float:
    """A round step that divides a span above zero into three to six."""
    size = 10.0 ** floor(log10(span))
    return next(size * f for f in (0.2, 0.25, 0.5, 1.0, 2.0) if ceil(span / (size * f)) <= 6)


def image(width: int, height: float, parts: Iterable[str]) -> str:
    """The whole SVG, in the colour of the text around it."""
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height:g}" '
        'font-family="sans-serif" font-size="13" fill="currentColor" stroke="none">'
    )
    return "\n".join([head, *parts, "</svg>"])


def line(path: str, *, width: float = 1, dashes: str = FULL) -> str:
    """A line along an SVG path."""
    thick = f' stroke-width="{width:g}"' if width != 1 else ""
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return f'<path d="{path}" fill="none" stroke="currentColor"{thick}{dashed}/>'


def words(
    x: float, y: float, text: str, anchor: str = "start", *, bold: bool = False, size: int = 0
) -> str:
    """Text that begins, ends or has its middle at a place."""
    from html import escape  # its table of entities is large

    more = "" if anchor == "start" else f' text-anchor="{anchor}"'
    more += ' font-weight="bold"' if bold else ""
    more += f' font-size="{size}"' if size else ""
    return f'<text x="{x:.1f}" y="{y:.1f}"{more}>{escape(text)}</text>'


class Level(NamedTuple):
    """A line across a frame with its words beside it."""

    label: str
    amount: float
    dashes: str
    width: float = 1


class Frame:
    """A frame for curves: pressure upwards, levels across it with their words to the right."""

    WIDTH, HEIGHT = 720, 320
    LEFT, RIGHT, TOP, BOTTOM = 50, 604, 12, 282

    def __init__(self, x: Axis, y: Axis, levels: Sequence[Level]) -> None:
        self.x, self.y, self.levels = x, y, levels

    @classmethod
    def across(cls, low: float, high: float) -> Axis:
        """The lower axis."""
        return Axis(low, high, cls.LEFT, cls.RIGHT)

    def points(self, values: Iterable[tuple[float, float]]) -> str:
        """Places for a polyline or polygon."""
        return " ".join(f"{self.x.at(x):.1f},{self.y.at(y):.1f}" for x, y in values)

    def curve(self, values: Iterable[tuple[float, float]]) -> str:
        """A thick line through the values."""
        points = self.points(values)
        return f'<polyline points="{points}" fill="none" stroke="currentColor" stroke-width="2"/>'

    def parts(self) -> Iterator[str]:
        """The frame, the amounts at its left and the levels, whose words keep clear of another."""
        yield line(f"M{self.LEFT} {self.TOP}V{self.BOTTOM}H{self.RIGHT}")
        for amount in self.y.ticks():
            y = self.y.at(amount)
            yield line(f"M{self.LEFT - 4} {y:.1f}h4")
            yield words(self.LEFT - 7, y + 4, short(amount), "end")
        below = float("-inf")
        for level in sorted(self.levels, key=lambda level: -level.amount):
            y = self.y.at(level.amount)
            yield line(f"M{self.LEFT} {y:.1f}H{self.RIGHT}", width=level.width, dashes=level.dashes)
            below = max(y + 4, below + 12)
            yield words(self.RIGHT + 5, below, f"{level.label} {figures(level.amount, 4)}", size=12)


class NarrowFrame(Frame):
    """The same for a phone."""

    WIDTH, HEIGHT = 360, 260
    RIGHT, BOTTOM = 250, 222


def stacked(drawings: Sequence[Drawing], title: str) -> str:
    """Drawings below each other in one SVG of its own, with a title and words for each."""
    from html import escape

    parts, y, described, widest = [words(8, 18, title, bold=True, size=14)], 24, [], 0
    for drawing in drawings:
        sizes = drawing.svg.split('viewBox="0 0 ', 1)[1].split('"', 1)[0].split()
        width, height = (int(float(size)) for size in sizes)
        if drawing.of:
            y += 20
            parts.append(words(8, y, drawing.of, bold=True, size=12))
            widest = max(widest, 16 + 8 * len(drawing.of))
            described.append(f"{drawing.of}:")
        parts.append(words(8, y + 16, drawing.caption, size=11))
        place = f'<svg y="{y + 20}" width="{width}" height="{height}" '
        parts.append(drawing.svg.replace("<svg ", place, 1))
        described.append(f"{drawing.caption}. {drawing.description}")
        y, widest = y + height + 28, max(widest, width)
    told = f"<title>{escape(title)}</title><desc>{escape(' '.join(described))}</desc>"
    return image(widest, y, [told, *parts]).replace(
        "<svg ", '<svg role="img" color="black" style="background: white" ', 1
    )


def ticks(axis: Axis, unit: str, y: float, *, tick: int, label: int) -> Iterator[str]:
    """An axis with its amounts above or below; the last one has the unit."""
    yield line(f"M{axis.start} {y:g}H{axis.end}")
    amounts = axis.ticks()
    for amount in amounts:
        x = axis.at(amount)
        yield line(f"M{x:.1f} {y:g}v{tick}")
        text = short(amount) + (f" {unit}" if amount == amounts[-1] else "")
        yield words(x, y + label, text, "middle")


def arrow(x: float, y: float) -> str:
    """A filled arrowhead that points right."""
    return f'<path d="M{x:.1f} {y - 6:g}l10 6l-10 6z" fill="currentColor"/>'

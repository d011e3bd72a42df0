"""The pressure scale of a profile: cutoffs, bands and every rating on one axis.

Each is told apart by its shape: the range in which the pump may run is open, with a stop at either
end (dashed for what it becomes when what is recommended is typed); the expected band is filled, the
predicted interval hatched, a rating a line that ends in a stop. What is over the weakest rating up
to the column is crossed, and said in words, as is what the high cutoff puts on a part behind the
column. What has no rating is named: it may be the weakest. Drawn wide, and narrow for a phone.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from textwrap import wrap

from ..checking.marks import marks_of
from ..physics.liquid import CannotPredict
from ..physics.predict import Prediction, predict
from ..profile.model import Profile
from ..units import Pressure
from ..units.printing import in_unit
from .bars import Bar, Kind, is_over, label_of
from .bars import bars as bars_of
from .palette import Meaning, inked
from .svg import DASHED, Axis, Drawing, arrow, image, line, ticks, words

WIDE, NARROW = 720, 340
BEYOND = 1.6
"""What is further out than this times the highest rating is drawn at the edge, with an arrow."""
_MARGIN, _TOP, _LINE, _SHAPE = 16, 26, 16, 16
_LETTER, _BOLD = 7.0, 8.0
"""Width of a letter, about, in a wide font [pixels]."""
_RATED = ("rating", "weakest", "behind")
_INK: dict[Kind, Meaning] = {
    "now": "permitted",
    "then": "permitted",
    "expected": "normal",
    "predicted": "predicted",
    "weakest": "over",
}


def scale(
    profile: Profile,
    prediction: Prediction | None,
    other_unit: str | None = None,
    typed: Mapping[str, Pressure] | None = None,
    *,
    doubt: str,
) -> Drawing:
    """The scale in the instrument's unit, with a second axis in `other_unit` (psi, else bar).

    `typed` are cutoffs by name, high and low, that are recommended; `doubt` is what speaks against
    the expected band.
    """
    unit = profile.instrument.pressure_unit
    other_unit = other_unit or ("psi" if unit != "psi" else "bar")
    bars = list(bars_of(profile, prediction, unit, typed or {}, doubt))
    limit = next((bar.high for bar in bars if bar.kind == "weakest"), None)
    wide, narrow = (_Scale(bars, limit, unit, other_unit, width) for width in (WIDE, NARROW))
    return Drawing(
        wide.drawn(),
        f"Pressure scale, in {unit} (top) and {other_unit} (bottom)",
        "; ".join(label_of(bar, limit) for bar in bars) + ".",
        narrow=narrow.drawn(),
        marks=marks_of(profile, doubt=doubt),
    )


def profile_scale(profile: Profile, *, doubt: str) -> Drawing:
    """The scale with the prediction, if there is one."""
    try:
        prediction = predict(profile)
    except CannotPredict:
        prediction = None
    return scale(profile, prediction, doubt=doubt)


class _Scale:
    def __init__(
        self, bars: Sequence[Bar], limit: float | None, unit: str, other_unit: str, width: int
    ) -> None:
        self.limit, self.unit, self.other_unit, self.width = limit, unit, other_unit, width
        ends = [end for bar in bars for end in (bar.low, bar.high) if end is not None]
        ratings = [bar.high for bar in bars if bar.kind in _RATED and bar.high]
        most = BEYOND * max(ratings or ends, default=1.0)
        top = 1.06 * max((end for end in ends if 0 < end <= most), default=1.0)
        self.axis = Axis(0.0, top, _MARGIN, width - 2 * _MARGIN)
        self.rows: list[tuple[Bar, list[str], float]] = []
        self.bottom = float(_TOP + 6)
        for bar in bars:
            told = label_of(bar, limit)
            if any(end is not None and end > top for end in (bar.low, bar.high)):
                told += ", far off this scale"
            letter = _BOLD if self._bold(bar) else _LETTER
            lines = wrap(told, int((width - 1.5 * _MARGIN) / letter))
            self.rows.append((bar, lines, self.bottom))
            self.bottom += _LINE * len(lines) + _SHAPE + 8

    def _bold(self, bar: Bar) -> bool:
        marked = is_over(bar, self.limit) or bar.too_much is not None
        return marked or bar.kind in ("now", "then", "weakest", "words")

    def drawn(self) -> str:
        """The image."""
        return image(self.width, self.bottom + 26, self.parts())

    def parts(self) -> Iterator[str]:
        """The elements in drawing order."""
        if self.limit is not None and self.limit < self.axis.high:
            yield from inked("over", self._over_zone(self.limit))
        yield from ticks(self.axis, self.unit, _TOP, tick=-4, label=-8)
        factor = in_unit(1.0, self.other_unit) / in_unit(1.0, self.unit)
        other = self.axis._replace(high=self.axis.high * factor)
        yield from ticks(other, self.other_unit, self.bottom, tick=4, label=18)
        for bar, lines, y in self.rows:
            for number, text in enumerate(lines):
                place = y + _LINE * (number + 1) - 4
                yield words(_MARGIN, place, text, bold=self._bold(bar))
            below = y + _LINE * len(lines) + 2
            shapes = list(self._shape(bar, below))
            ink = _INK.get(bar.kind)
            yield from shapes if ink is None else inked(ink, shapes)
            if (span := self._over(bar)) is not None:
                yield from inked("over", _crossed(*span, below))

    def _over_zone(self, limit: float) -> Iterator[str]:
        """All above the weakest rating, shaded, with its line between the words of the rows."""
        x = self.axis.at(limit)
        yield (
            f'<rect x="{x:.1f}" y="{_TOP}" width="{self.axis.end - x:.1f}" '
            f'height="{self.bottom - _TOP:g}" fill="currentColor" fill-opacity="0.1"/>'
        )
        path = "".join(
            f"M{x:.1f} {y + _LINE * len(lines):g}v{_SHAPE + 4}" for _, lines, y in self.rows
        )
        yield line(path, width=1.5)

    def _shape(self, bar: Bar, y: float) -> Iterator[str]:
        """The shape of a bar; `y` is its upper edge."""
        x = self.axis.at(bar.low or 0.0)
        end = self.axis.at(self.axis.high if bar.high is None else bar.high)
        middle = y + _SHAPE / 2
        if bar.kind == "words":
            return
        if bar.kind in _RATED:
            yield line(f"M{x:.1f} {middle:g}H{end:.1f}", width=3 if bar.kind == "weakest" else 1.5)
            yield line(f"M{end:.1f} {y + 1:g}v{_SHAPE - 2}", width=4)
        elif bar.kind in ("now", "then"):
            yield from self._between_cutoffs(bar, x, end, y)
        else:
            width = max(end - x, 2.0)
            fill = "none" if bar.kind == "predicted" else "currentColor"
            yield (
                f'<rect x="{x:.1f}" y="{y + 1:g}" width="{width:.1f}" height="{_SHAPE - 2}" '
                f'fill="{fill}" stroke="currentColor" stroke-width="1.5"/>'
            )
            if bar.kind == "predicted":
                strokes = range(1, int(width / 6))
                yield line("".join(f"M{x + 6 * n:.1f} {y + 1:g}v{_SHAPE - 2}" for n in strokes))
        is_open = bar.high is None and bar.kind == "predicted"
        if is_open or (bar.high is not None and bar.high > self.axis.high):
            yield arrow(end, middle)

    def _between_cutoffs(self, bar: Bar, x: float, end: float, y: float) -> Iterator[str]:
        """Two stops that point at each other, and what lies between, where there is anything."""
        middle, dashes = y + _SHAPE / 2, DASHED if bar.kind == "then" else ""
        if end > x:
            yield (
                f'<rect x="{x:.1f}" y="{y + 3:g}" width="{end - x:.1f}" height="{_SHAPE - 6}" '
                f'fill="currentColor" fill-opacity="0.2"/>'
            )
            edges = f"M{x:.1f} {y + 3:g}H{end:.1f}M{x:.1f} {y + _SHAPE - 3:g}H{end:.1f}"
            yield line(edges, width=1.5, dashes=dashes)
        for amount, place, way in ((bar.low, x, 1), (bar.high, end, -1)):
            if amount is not None and amount <= self.axis.high:
                yield line(f"M{place:.1f} {y:g}v{_SHAPE}", width=3)
                path = f"M{place:.1f} {middle - 6:g}l{9 * way} 6l{-9 * way} 6z"
                yield f'<path d="{path}" fill="currentColor"/>'

    def _over(self, bar: Bar) -> tuple[float, float] | None:
        """From where to where a bar is crossed [pixels]: above the weakest rating, or of a part
        behind the column from what it holds to what the high cutoff lets on it."""
        if bar.too_much is not None:
            assert bar.high is not None
            return self.axis.at(bar.high), self.axis.at(min(bar.too_much, self.axis.high))
        if self.limit is None or not is_over(bar, self.limit):
            return None
        low, high = bar.low or 0.0, self.axis.high if bar.high is None else bar.high
        return self.axis.at(max(self.limit, min(low, high))), self.axis.at(max(low, high))


def _crossed(start: float, end: float, y: float) -> Iterator[str]:
    """Crosses over what a part does not hold."""
    step, path = 7.0, ""
    count = max(1, round((end - start) / step))
    for number in range(count):
        x = start + number * step
        path += f"M{x:.1f} {y + 2:g}l7 {_SHAPE - 4}m-7 0l7 -{_SHAPE - 4}"
    yield line(path, width=1.5)

"""The pressure scale of a profile: bands, cutoffs and every rating on one axis.

The expected band is filled, the predicted interval hatched, the high cutoff a full line, the low
one dashed, a rating a bar that ends in a stop.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from ..physics.liquid import CannotPredict
from ..physics.predict import Prediction, predict
from ..profile.hardware import rated_parts
from ..profile.model import Profile
from ..units import show
from ..units.printing import digits, in_unit, short
from .gradient import cutoff_levels
from .svg import FULL, Axis, Drawing, Level, image, line, words

WIDTH = 380
_LEFT, _RIGHT, _TOP, _ROW = 14, 350, 54, 38
BEYOND = 1.6
"""What is further out than this times the highest rating is drawn at the edge, with an arrow."""
_LONGEST = 54  # characters of a label that fit


class Bar(NamedTuple):
    """A band or rating with its words above it [unit of the scale]."""

    kind: str
    label: str
    low: float
    high: float


def scale(
    profile: Profile, prediction: Prediction | None, other_unit: str | None = None
) -> Drawing:
    """The scale in the instrument's unit, with a second axis in `other_unit` (psi, else bar)."""
    unit = profile.instrument.pressure_unit
    other_unit = other_unit or ("psi" if unit != "psi" else "bar")
    bars = list(_bars(profile, prediction, unit))
    cutoffs = list(cutoff_levels(profile))
    described = [bar.label for bar in bars]
    described += [f"{cutoff.label} {short(cutoff.amount)} {unit}" for cutoff in cutoffs]
    drawn = _Scale(bars, cutoffs, unit, other_unit)
    return Drawing(
        image(WIDTH, drawn.bottom + 24, drawn.parts()),
        f"Pressure scale, in {unit} (top) and {other_unit} (bottom)",
        "; ".join(described) + ".",
    )


def profile_scale(profile: Profile) -> Drawing:
    """The scale with the prediction, if there is one."""
    try:
        prediction = predict(profile)
    except CannotPredict:
        prediction = None
    return scale(profile, prediction)


def _bars(profile: Profile, prediction: Prediction | None, unit: str) -> Iterator[Bar]:
    expected = profile.expected
    if expected is not None:
        low, high = float(expected.low.to(unit)), float(expected.high.to(unit))
        label = f"expected {expected.low} to {expected.high} ({expected.basis})"
        yield Bar("expected", label, *sorted((low, high)))
    if prediction is not None:
        low, high = in_unit(prediction.low, unit), in_unit(prediction.high, unit)
        yield Bar("predicted", f"predicted {digits(low)} to {digits(high)} {unit}", low, high)
    for rated in rated_parts(profile):
        at = "" if rated.part.rating == rated.pressure else " at this method's conditions"
        label = f"{rated.name}: rated {show(rated.pressure, rated.pressure.unit)}{at}"
        yield Bar("rating", label, 0.0, float(rated.pressure.to(unit)))


class _Scale:
    def __init__(
        self, bars: Sequence[Bar], cutoffs: Sequence[Level], unit: str, other_unit: str
    ) -> None:
        self.bars, self.cutoffs = bars, cutoffs
        self.unit, self.other_unit = unit, other_unit
        marks = [*(bar.high for bar in bars), *(cutoff.amount for cutoff in cutoffs)]
        ratings = [bar.high for bar in bars if bar.kind == "rating"]
        most = BEYOND * max(ratings or marks, default=1.0)
        top = 1.04 * max((mark for mark in marks if mark <= most), default=1.0)
        self.axis = Axis(0.0, top, _LEFT, _RIGHT)
        self.bottom = _TOP + _ROW * len(bars) + 8

    def parts(self) -> Iterator[str]:
        """The elements in drawing order."""
        yield from _ticks(self.axis, self.unit, _TOP, tick=-4, label=-7)
        factor = in_unit(1.0, self.other_unit) / in_unit(1.0, self.unit)
        other = self.axis._replace(high=self.axis.high * factor)
        yield from _ticks(other, self.other_unit, self.bottom, tick=4, label=17)
        for index, bar in enumerate(self.bars):
            yield from self._bar(bar, _TOP + _ROW * index + 16)
        for cutoff in self.cutoffs:
            yield from self._cutoff(cutoff)

    def _bar(self, bar: Bar, y: float) -> Iterator[str]:
        x, end = self.axis.at(bar.low), self.axis.at(bar.high)
        label = bar.label
        label = label if len(label) <= _LONGEST else label[: _LONGEST - 3] + "..."
        yield words(_LEFT + 3, y, label)
        beyond = bar.high > self.axis.high
        if bar.kind == "rating":
            yield line(f"M{x:.1f} {y + 9}H{end:.1f}")
            if not beyond:
                yield line(f"M{end:.1f} {y + 4}v10", width=3)
        else:
            width = max(end - x, 1.5)
            fill = "none" if bar.kind == "predicted" else "currentColor"
            yield (
                f'<rect x="{x:.1f}" y="{y + 4}" width="{width:.1f}" height="10" fill="{fill}" '
                'stroke="currentColor"/>'
            )
            if bar.kind == "predicted":
                strokes = range(1, int(width / 5))
                yield line("".join(f"M{x + 5 * n:.1f} {y + 4}v10" for n in strokes))
        if beyond:
            yield _arrow(end, y + 9)

    def _words(self, cutoff: Level) -> tuple[str, float, float]:
        """A cutoff's words, the middle they stand at, and half their width."""
        text = f"{cutoff.label} {short(cutoff.amount)} {self.unit}"
        if cutoff.amount > self.axis.high:
            text += ", far off this scale"
        half = 3.7 * len(text)
        return text, min(max(self.axis.at(cutoff.amount), 2 + half), WIDTH - 2 - half), half

    def _cutoff(self, cutoff: Level) -> Iterator[str]:
        x, high = self.axis.at(cutoff.amount), cutoff.dashes == FULL
        y = 12 if high else 28
        below = [self._words(other) for other in self.cutoffs if high and other.dashes != FULL]
        crosses = any(abs(x - middle) < half for _, middle, half in below)
        path = f"M{x:.1f} {31 if crosses else y + 3}V{_TOP - 20}M{x:.1f} {_TOP}v4"
        for index in range(len(self.bars)):  # broken at the words of each bar
            path += f"M{x:.1f} {_TOP + _ROW * index + 20}v{_ROW - 16}"
        yield line(path, width=2, dashes=cutoff.dashes)
        text, middle, _ = self._words(cutoff)
        if cutoff.amount > self.axis.high:
            yield _arrow(x, y + 8)
        yield words(middle, y, text, "middle", bold=True)


def _ticks(axis: Axis, unit: str, y: float, *, tick: int, label: int) -> Iterator[str]:
    """An axis with its amounts above or below; the last one has the unit."""
    yield line(f"M{axis.start} {y}H{axis.end}")
    amounts = axis.ticks()
    for amount in amounts:
        x = axis.at(amount)
        yield line(f"M{x:.1f} {y}v{tick}")
        text = short(amount) + (f" {unit}" if amount == amounts[-1] else "")
        yield words(x, y + label, text, "middle")


def _arrow(x: float, y: float) -> str:
    return f'<path d="M{x:.1f} {y - 5}l9 5l-9 5z"/>'

"""The pressure scale of a profile as SVG: bands, cutoffs and every rating on one axis.

Shapes and words carry the meaning, not colour: the expected band is filled, the predicted
interval hatched, the high cutoff a full line, the low one dashed, a rating a bar that ends in a
stop. Drawn narrow, so that it can be read on a phone.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape
from math import ceil, floor, log10

from ..documents.blocks import Drawing
from ..physics.liquid import CannotPredict
from ..physics.predict import Prediction, predict
from ..profile.hardware import rated_parts
from ..profile.model import Profile
from ..units import show
from ..units.printing import digits, in_unit

WIDTH = 380
_LEFT, _RIGHT, _TOP, _ROW = 14, 30, 54, 38
BEYOND = 1.6
"""What is further out than this times the highest rating is drawn at the edge, with an arrow."""
_LONGEST = 54  # characters of a label that fit


@dataclass(frozen=True, slots=True)
class Row:
    """A band or bar with its words above it [unit of the scale]."""

    kind: str
    label: str
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Line:
    """A cutoff."""

    label: str
    at: float
    dashed: bool


def scale(
    profile: Profile, prediction: Prediction | None, other_unit: str | None = None
) -> Drawing:
    """The scale in the instrument's unit, with a second axis in `other_unit` (psi, else bar)."""
    other_unit = other_unit or ("psi" if profile.instrument.pressure_unit != "psi" else "bar")
    unit = profile.instrument.pressure_unit
    rows = list(_rows(profile, prediction, unit))
    lines = list(_lines(profile, unit))
    described = [row.label for row in rows]
    described += [f"{line.label} {line.at:.6g} {unit}" for line in lines]
    drawn = _Scale(rows, lines, unit, other_unit)
    return Drawing(
        "\n".join(drawn.parts()),
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


def _rows(profile: Profile, prediction: Prediction | None, unit: str) -> Iterator[Row]:
    expected = profile.expected
    if expected is not None:
        low, high = float(expected.low.to(unit)), float(expected.high.to(unit))
        label = f"expected {expected.low} to {expected.high} ({expected.basis})"
        yield Row("expected", label, *sorted((low, high)))
    if prediction is not None:
        low, high = in_unit(prediction.low, unit), in_unit(prediction.high, unit)
        yield Row("predicted", f"predicted {digits(low)} to {digits(high)} {unit}", low, high)
    for rated in rated_parts(profile):
        at = "" if rated.part.rating == rated.pressure else " at this method's conditions"
        label = f"{rated.name}: rated {show(rated.pressure, rated.pressure.unit)}{at}"
        yield Row("rating", label, 0.0, float(rated.pressure.to(unit)))


def _lines(profile: Profile, unit: str) -> Iterator[Line]:
    for label, pressure, dashed in (
        ("high cutoff", profile.cutoffs.high, False),
        ("low cutoff", profile.cutoffs.low, True),
    ):
        if pressure is not None and pressure.value > 0:
            yield Line(label, float(pressure.to(unit)), dashed)


class _Scale:
    def __init__(
        self, rows: Sequence[Row], lines: Sequence[Line], unit: str, other_unit: str
    ) -> None:
        self.rows, self.lines = rows, lines
        self.unit, self.other_unit = unit, other_unit
        marks = [*(row.high for row in rows), *(line.at for line in lines)]
        ratings = [row.high for row in rows if row.kind == "rating"]
        most = BEYOND * max(ratings or marks, default=1.0)
        self.top = 1.04 * max((mark for mark in marks if mark <= most), default=1.0)
        self.bottom = _TOP + _ROW * len(rows) + 8

    def _x(self, value: float) -> float:
        return _LEFT + min(value / self.top, 1.0) * (WIDTH - _LEFT - _RIGHT)

    def parts(self) -> Iterator[str]:
        """The elements in drawing order."""
        yield (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {self.bottom + 24}" '
            'font-family="sans-serif" font-size="13" fill="currentColor" stroke="none">'
        )
        yield from self._axis(self.unit, _TOP, 1.0, above=True)
        yield from self._axis(self.other_unit, self.bottom, _factor(self.unit, self.other_unit))
        for index, row in enumerate(self.rows):
            yield from self._row(row, _TOP + _ROW * index + 16)
        for line in self.lines:
            yield from self._line(line)
        yield "</svg>"

    def _axis(self, unit: str, y: float, factor: float, *, above: bool = False) -> Iterator[str]:
        yield f'<path d="M{_LEFT} {y}H{WIDTH - _RIGHT}" stroke="currentColor" fill="none"/>'
        step = round_step(self.top * factor)
        last = floor(self.top * factor / step)
        for index in range(last + 1):
            x = self._x(index * step / factor)
            label = f"{index * step:.6g}" + (f" {unit}" if index == last else "")
            yield f'<path d="M{x:.1f} {y}v{-4 if above else 4}" stroke="currentColor"/>'
            yield (
                f'<text x="{x:.1f}" y="{y + (-7 if above else 17)}" text-anchor="middle">'
                f"{escape(label)}</text>"
            )

    def _row(self, row: Row, y: float) -> Iterator[str]:
        x, end = self._x(row.low), self._x(row.high)
        yield f'<text x="{_LEFT + 3}" y="{y}">{escape(_short(row.label))}</text>'
        width = max(end - x, 1.5)
        if row.kind == "rating":
            yield f'<path d="M{x:.1f} {y + 9}H{end:.1f}" stroke="currentColor" fill="none"/>'
            if row.high <= self.top:
                yield f'<path d="M{end:.1f} {y + 4}v10" stroke="currentColor" stroke-width="3"/>'
        else:
            fill = "none" if row.kind == "predicted" else "currentColor"
            yield (
                f'<rect x="{x:.1f}" y="{y + 4}" width="{width:.1f}" height="10" fill="{fill}" '
                'stroke="currentColor"/>'
            )
            if row.kind == "predicted":
                hatch = "".join(f"M{x + 5 * i:.1f} {y + 4}v10" for i in range(1, int(width / 5)))
                yield f'<path d="{hatch}" stroke="currentColor" fill="none"/>'
        if row.high > self.top:
            yield _arrow(end, y + 9)

    def _words(self, line: Line) -> tuple[str, float, float]:
        """A cutoff's words, the middle they stand at, and half their width."""
        words = f"{line.label} {line.at:.6g} {self.unit}"
        if line.at > self.top:
            words += ", far off this scale"
        half = 3.7 * len(words)
        return words, min(max(self._x(line.at), 2 + half), WIDTH - 2 - half), half

    def _line(self, line: Line) -> Iterator[str]:
        x, y = self._x(line.at), 28 if line.dashed else 12
        dashes = ' stroke-dasharray="3 3"' if line.dashed else ""
        below = [self._words(other) for other in self.lines if other.dashed and not line.dashed]
        crosses = any(abs(x - middle) < half for _, middle, half in below)
        path = f"M{x:.1f} {31 if crosses else y + 3}V{_TOP - 20}M{x:.1f} {_TOP}v4"
        for index in range(len(self.rows)):  # broken at the words of each row
            path += f"M{x:.1f} {_TOP + _ROW * index + 20}v{_ROW - 16}"
        yield f'<path d="{path}" stroke="currentColor" stroke-width="2" fill="none"{dashes}/>'
        words, middle, _ = self._words(line)
        if line.at > self.top:
            yield _arrow(x, y + 8)
        yield (
            f'<text x="{middle:.1f}" y="{y}" text-anchor="middle" font-weight="bold">'
            f"{escape(words)}</text>"
        )


def _arrow(x: float, y: float) -> str:
    return f'<path d="M{x:.1f} {y - 5}l9 5l-9 5z"/>'


def _factor(unit: str, other: str) -> float:
    return in_unit(1.0, other) / in_unit(1.0, unit)


def _short(label: str) -> str:
    return label if len(label) <= _LONGEST else label[: _LONGEST - 3] + "..."


def round_step(span: float) -> float:
    """A round step that divides a span above zero into three to six."""
    size = 10.0 ** floor(log10(span))
    return next(size * f for f in (0.2, 0.25, 0.5, 1.0, 2.0) if ceil(span / (size * f)) <= 6)

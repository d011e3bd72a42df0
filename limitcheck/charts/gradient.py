"""The predicted pressure over a gradient as SVG, with its interval and the cutoffs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import floor

from ..documents.as_text.prediction import curve as points_of_curve
from ..documents.blocks import Drawing
from ..physics.predict import RunPoint
from ..physics.system import System
from ..profile.model import Profile
from ..units.printing import digits, in_unit
from .scale import round_step

WIDTH, HEIGHT = 380, 240
_LEFT, _RIGHT, _TOP, _BOTTOM = 50, 12, 14, 44
_POINTS = 80


def gradient_curve(profile: Profile, ready: System) -> Drawing:
    """The curve in the instrument's unit; raises CannotPredict."""
    unit = profile.instrument.pressure_unit
    points = points_of_curve(ready, _POINTS)
    peak = max(points, key=lambda point: point.central)
    low, high = (f(point.central for point in points) for f in (min, max))
    described = (
        f"Predicted pressure over {digits(points[-1].minute)} min: from "
        f"{digits(in_unit(low, unit))} to {digits(in_unit(high, unit))} {unit}, highest at "
        f"{digits(peak.minute)} min."
    )
    cutoffs = [
        (label, float(pressure.to(unit)), dashes)
        for label, pressure, dashes in (
            ("high cutoff", profile.cutoffs.high, ""),
            ("low cutoff", profile.cutoffs.low, "5 4"),
        )
        if pressure is not None and pressure.value > 0
    ]
    drawn = _Curve(points, cutoffs, unit)
    return Drawing(
        "\n".join(drawn.parts()),
        f"Predicted pressure over the gradient, in {unit}: line central, shaded interval",
        described,
    )


class _Curve:
    def __init__(
        self, points: Sequence[RunPoint], cutoffs: Sequence[tuple[str, float, str]], unit: str
    ) -> None:
        self.points, self.unit = points, unit
        most = max(in_unit(point.high, unit) for point in points)
        self.cutoffs = [cutoff for cutoff in cutoffs if cutoff[1] <= 3 * most]
        self.top = 1.05 * max([most, *(at for _, at, _ in self.cutoffs)])
        self.start, self.end = points[0].minute, points[-1].minute

    def _x(self, minute: float) -> float:
        share = (minute - self.start) / ((self.end - self.start) or 1.0)
        return _LEFT + share * (WIDTH - _LEFT - _RIGHT)

    def _y(self, value: float) -> float:
        return HEIGHT - _BOTTOM - value / self.top * (HEIGHT - _TOP - _BOTTOM)

    def _path(self, values: Sequence[tuple[float, float]]) -> str:
        return " ".join(
            f"{self._x(minute):.1f},{self._y(in_unit(value, self.unit)):.1f}"
            for minute, value in values
        )

    def parts(self) -> Iterator[str]:
        """The elements in drawing order."""
        yield (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" '
            'font-family="sans-serif" font-size="13" fill="currentColor" stroke="none">'
        )
        around = [(p.minute, p.high) for p in self.points]
        around += [(p.minute, p.low) for p in reversed(self.points)]
        yield f'<polygon points="{self._path(around)}" fill-opacity="0.25"/>'
        central = self._path([(p.minute, p.central) for p in self.points])
        yield f'<polyline points="{central}" fill="none" stroke="currentColor" stroke-width="2"/>'
        yield from self._axes()
        for label, at, dashes in self.cutoffs:
            y = self._y(at)
            dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
            yield f'<path d="M{_LEFT} {y:.1f}H{WIDTH - _RIGHT}" stroke="currentColor"{dashed}/>'
            yield (
                f'<text x="{WIDTH - _RIGHT - 3}" y="{y - 4:.1f}" text-anchor="end" '
                f'font-weight="bold">{label} {at:.6g}</text>'
            )
        yield "</svg>"

    def _axes(self) -> Iterator[str]:
        floor_y = HEIGHT - _BOTTOM
        axes = f"M{_LEFT} {_TOP}V{floor_y}H{WIDTH - _RIGHT}"
        yield f'<path d="{axes}" fill="none" stroke="currentColor"/>'
        step = round_step(self.top)
        for index in range(floor(self.top / step) + 1):
            y = self._y(index * step)
            yield f'<path d="M{_LEFT - 4} {y:.1f}h4" stroke="currentColor"/>'
            yield (
                f'<text x="{_LEFT - 7}" y="{y + 4:.1f}" text-anchor="end">{index * step:.6g}</text>'
            )
        step = round_step((self.end - self.start) or 1.0)
        for index in range(floor((self.end - self.start) / step + 1e-9) + 1):
            minute = self.start + index * step
            x = self._x(minute)
            yield f'<path d="M{x:.1f} {floor_y}v4" stroke="currentColor"/>'
            yield f'<text x="{x:.1f}" y="{floor_y + 18}" text-anchor="middle">{minute:.6g}</text>'
        yield (
            f'<text x="{(WIDTH + _LEFT) / 2:.0f}" y="{HEIGHT - 8}" text-anchor="middle">'
            "minutes from the start</text>"
        )

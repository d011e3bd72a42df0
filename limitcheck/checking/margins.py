"""How near the cutoffs of a profile are to what they must stay clear of, as typed."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from ..profile.hardware import under_pressure, weakest
from ..profile.model import Profile
from ..profile.unrated import unrated
from ..units import Pressure, percent
from .band import Band, band_of


class Margin(NamedTuple):
    """The distance from a cutoff to a pressure, as a share of that pressure; below zero: beyond."""

    cutoff: str
    way: str
    beyond: str
    of: str
    share: Fraction
    limit: Pressure
    """The pressure it stays clear of."""

    def room(self, unit: str) -> Fraction:
        """The distance itself, in a unit."""
        return self.share * self.limit.to(unit)

    @property
    def text(self) -> str:
        """In words, as in "high cutoff 25 % above the highest normal pressure"."""
        if not self.share:
            return f"{self.cutoff} cutoff at {self.of}"
        way = self.way if self.share > 0 else self.beyond
        return f"{self.cutoff} cutoff {percent(float(abs(self.share)), 2)} {way} {self.of}"


class Margins(NamedTuple):
    """The margins of a profile, and what is missing for others."""

    known: tuple[Margin, ...]
    missing: tuple[str, ...]

    @property
    def weakest(self) -> Margin | None:
        """The smallest, the first among equals."""
        return min(self.known, key=lambda margin: margin.share, default=None)

    @property
    def headroom(self) -> Margin | None:
        """What the high cutoff leaves free under the weakest rating that is stated."""
        return self._one("high", "under")

    @property
    def over_band(self) -> Margin | None:
        """How far the high cutoff is above the expected band."""
        return self._one("high", "above")

    @property
    def under_band(self) -> Margin | None:
        """How far the low cutoff is under the expected band."""
        return self._one("low", "below")

    def _one(self, cutoff: str, way: str) -> Margin | None:
        return next((m for m in self.known if (m.cutoff, m.way) == (cutoff, way)), None)


def margins_of(profile: Profile, *, doubt: str) -> Margins:
    """From the high cutoff to the weakest rating up to the column and to the normal band, and from
    the low cutoff to that band.

    `doubt` is what speaks against the band: none is counted from one in doubt.
    The ratings are those at the method's own flow and temperature. Parts without one, and methods
    beyond what a rating is stated for, are among what is missing.
    """
    band = band_of(profile, doubt=doubt)
    return Margins(tuple(_known(profile, band)), tuple(_missing(profile, band)))


def _known(profile: Profile, given: Band | None) -> Iterator[Margin]:
    high, low = profile.cutoffs.high, profile.cutoffs.low
    band, of = None, "normal pressure"
    if given is not None and given.called in ("normal", "predicted"):
        band, of = given, of if given.normal else "pressure predicted in the file"
    part = weakest(under_pressure(profile))
    if high is not None and high.value > 0:
        if part is not None and part.pressure.value:
            share = (part.pressure.value - high.value) / part.pressure.value
            yield Margin(
                "high", "under", "over", f"the rating of the {part.name}", share, part.pressure
            )
        if band is not None and band.high.value:
            share = (high.value - band.high.value) / band.high.value
            yield Margin("high", "above", "below", f"the highest {of}", share, band.high)
    if low is not None and low.value > 0 and band is not None and band.low.value:
        share = (band.low.value - low.value) / band.low.value
        yield Margin("low", "below", "above", f"the lowest {of}", share, band.low)


def _missing(profile: Profile, band: Band | None) -> Iterator[str]:
    high, low = profile.cutoffs.high, profile.cutoffs.low
    if high is None or not high.value:
        yield "no high cutoff"
    if low is None or not low.value:
        yield "low cutoff off"
    if band is None:
        yield "no normal band given"
    elif not band.normal:
        yield f"normal band {band.why_not}"
    if not under_pressure(profile):
        yield "no rating given"
    elif without := unrated(profile):
        more = f" and {len(without) - 1} more" if len(without) > 1 else ""
        yield f"no rating of the {without[0]}{more}"

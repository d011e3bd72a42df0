"""The pressures of a profile that belong on one scale, as a report keeps them."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal, NamedTuple, TypeAlias

from ..profile.hardware import rated_parts, under_pressure, weakest
from ..profile.model import Profile
from ..profile.unrated import unrated
from ..units import Pressure, exact, plain, plain_or_rounded, show
from ..units.printing import as_typed
from .band import Called, band_of

Kind: TypeAlias = Literal["low", "band from", "band to", "high", "behind", "weakest"]


class Mark(NamedTuple):
    """One pressure, exact, in the instrument's unit, and as it is read there."""

    kind: Kind
    amount: Fraction
    text: str


class Marks(NamedTuple):
    """Cutoffs that are on, the expected band, the weakest rating up to the column and behind it."""

    unit: str
    marks: tuple[Mark, ...]
    part: str = ""
    """The part of the weakest rating."""
    unrated: tuple[str, ...] = ()
    """Parts up to the column without one: any of them may be weaker."""
    behind: str = ""
    """Parts behind the column that hold less than the high cutoff lets on them, in words."""
    called: Called = "normal"
    """What the band is, for people."""
    doubt: str = ""
    """Why the expected band is not on the scale, where it is given and not to go by."""


def marks_of(profile: Profile, *, doubt: str) -> Marks:
    """The marks of a profile, as typed; `doubt` is what speaks against its expected band."""
    unit, band = profile.instrument.pressure_unit, band_of(profile, doubt=doubt)
    given: list[tuple[Kind, Pressure | None]] = [("low", profile.cutoffs.low)]
    if band is not None and not band.doubt:
        given += [("band from", band.low), ("band to", band.high)]
    given.append(("high", profile.cutoffs.high))
    part = weakest(under_pressure(profile))
    if part is not None:
        given.append(("weakest", part.pressure))
    behind, told = _behind(profile)
    given.append(("behind", behind))
    found = [(kind, pressure) for kind, pressure in given if pressure is not None]
    apart = [pressure for _, pressure in found]
    marks = tuple(
        Mark(
            kind,
            pressure.to(unit),
            _rating(pressure, profile, apart)
            if kind == "weakest"
            else _text(pressure, unit, apart),
        )
        for kind, pressure in found
        if pressure.value > 0 or kind != "low"
    )
    of = part.name if part is not None else ""
    all_of_it = Marks(unit, marks, of, unrated(profile), told)
    if band is None:
        return all_of_it
    return all_of_it._replace(called=band.called, doubt=band.doubt)


def _behind(profile: Profile) -> tuple[Pressure | None, str]:
    """The weakest rating behind the column that the high cutoff does not protect, and in words.

    A blocked outlet puts the whole cutoff on it.
    """
    high = profile.cutoffs.high
    off = high is None or not high.value
    parts = (part for part in rated_parts(profile) if not part.loaded)
    left = [part for part in parts if high is None or not high.value or high > part.pressure]
    least = weakest(left)
    if least is None:
        return None, ""
    more = f" and {len(left) - 1} more" if len(left) > 1 else ""
    why = "no high cutoff" if off else "less than the high cutoff"
    apart = [] if high is None else [high]
    return least.pressure, f"{least.name} {_rating(least.pressure, profile, apart)}{more}, {why}"


def _rating(rating: Pressure, profile: Profile, apart: list[Pressure]) -> str:
    """A rating as stated; of another unit rounded down to a step: whoever types it stays under it.

    With finer steps where another of the pressures would seem to be over it, or equal to it.
    """
    unit, step = profile.instrument.pressure_unit, profile.instrument.step
    amount = rating.to(unit)
    text = plain_or_rounded(amount)
    if rating.unit == unit and exact(text) == amount:
        return text
    others = [other.to(unit) for other in apart if other.value != rating.value]
    while not (least := amount // step * step) or any(least <= o <= amount for o in others):
        step /= 10
    return plain(least)


def _text(pressure: Pressure, unit: str, apart: list[Pressure]) -> str:
    """Without its unit; never rounded to look like another one."""
    if pressure.unit == unit:
        return as_typed(pressure, unit).removesuffix(f" {unit}")
    others = [other for other in apart if other.value != pressure.value]
    return show(pressure, unit, apart=others).removesuffix(f" {unit}")

"""What stands on a pressure scale, in words and numbers: cutoffs, bands and every rating."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import inf, isinf
from typing import Literal, NamedTuple, TypeAlias

from ..checking.band import UNUSED, Band, band_of
from ..physics.left_out import PARTS_LEFT_OUT, allowed, left_out_allowance
from ..physics.predict import Prediction
from ..profile.hardware import rated_parts, under_pressure, weakest
from ..profile.model import Profile
from ..profile.unrated import unrated
from ..units import Pressure, show
from ..units.printing import as_typed, digits, in_unit

Kind: TypeAlias = Literal[
    "now", "then", "expected", "predicted", "rating", "weakest", "behind", "words"
]


class Bar(NamedTuple):
    """A range or rating with its words above it [unit of the scale]; None: open at that end."""

    kind: Kind
    label: str
    low: float | None = None
    high: float | None = None
    too_much: float | None = None
    """Of a part behind the column: what the high cutoff lets on it, infinite without one."""


def bars(
    profile: Profile,
    prediction: Prediction | None,
    unit: str,
    typed: Mapping[str, Pressure],
    doubt: str,
) -> Iterator[Bar]:
    """What stands on the scale of a profile, from top to bottom, in `unit`."""
    now = {"low": profile.cutoffs.low, "high": profile.cutoffs.high}
    yield _range("now", "The pump runs", now, unit)
    if changed := {name: given for name, given in typed.items() if given != now.get(name)}:
        yield _range("then", "With the cutoffs to type it runs", {**now, **changed}, unit)
    if (band := band_of(profile, doubt=doubt)) is not None:
        yield _band(band, unit)
    if prediction is not None:
        yield _predicted(profile, prediction, unit)
    yield from _ratings(profile, unit, typed)


def _band(band: Band, unit: str) -> Bar:
    """The band as typed, called what it may be."""
    if band.doubt:
        return Bar("words", f"Expected pressure in doubt, not drawn: {band.doubt}")
    low, high = (float(end.to(unit)) for end in (band.low, band.high))
    lead, more = "Normal", band.basis
    if band.called == "not used":
        lead, more = f"In the file, {band.basis}", UNUSED
    elif not band.normal:
        lead, more = "In the file, only predicted", "what is normal is not known"
    kind: Kind = "expected" if band.normal else "predicted"
    return Bar(kind, f"{lead}: {band.low} to {band.high} ({more})", low, high)


def _predicted(profile: Profile, prediction: Prediction, unit: str) -> Bar:
    """The interval, up to what parts left out may add, as checks allow for it."""
    more = left_out_allowance(profile, prediction)
    low = in_unit(prediction.low, unit)
    if isinf(more):
        told = f"{digits(low)} {unit} or more, without what the restrictor adds"
        return Bar("predicted", f"Predicted: {told}", low)
    top = in_unit(prediction.high + more, unit)
    told = f"{digits(low)} to {digits(top)} {unit}"
    if more:
        told += f", {allowed(more, unit)} of it for {PARTS_LEFT_OUT}"
    return Bar("predicted", f"Predicted: {told}", low, top)


def _ratings(profile: Profile, unit: str, typed: Mapping[str, Pressure]) -> Iterator[Bar]:
    """Every part with a rating, and those up to the column without one, by name."""
    loaded, without = under_pressure(profile), unrated(profile)
    least = weakest(loaded)
    given = ", the weakest given up to the column" if without else ", the weakest up to the column"
    for rated in (*loaded, *(part for part in rated_parts(profile) if not part.loaded)):
        at = "" if rated.part.rating == rated.pressure else " at this method's conditions"
        if rated.unknown:
            at = f" at least, the {rated.unknown} of its table is not given"
        holds = str(rated.pressure) if not at else show(rated.pressure, rated.pressure.unit)
        label = f"{rated.name}: rated {holds}{at}"
        end = float(rated.pressure.to(unit))
        if not rated.loaded:
            told, lets = _let_on(rated.pressure, profile.cutoffs.high, typed.get("high"), unit)
            yield Bar("behind", f"{label}, behind the column{told}", 0.0, end, lets)
        elif least is not None and rated.path == least.path:
            yield Bar("weakest", label + given, 0.0, end)
        else:
            yield Bar("rating", label, 0.0, end)
    if without:
        yield Bar("words", f"No rating given, so not compared: {', '.join(without)}")


def _let_on(
    holds: Pressure, now: Pressure | None, then: Pressure | None, unit: str
) -> tuple[str, float | None]:
    """What a high cutoff lets on a part behind the column that holds less, in words and drawn."""
    if now is None or not now.value:
        return " (no high cutoff keeps the pressure under this)", inf
    for high, which in ((now, "the high cutoff"), (then, "the high cutoff to type")):
        if high is not None and high > holds:
            return f" (less than {which}, which is on it if its outlet blocks)", float(
                high.to(unit)
            )
    return "", None


def _range(kind: Kind, lead: str, cutoffs: Mapping[str, Pressure | None], unit: str) -> Bar:
    """What lies between two cutoffs."""
    low, high = (
        given if given is not None and given.value > 0 else None
        for given in (cutoffs.get("low"), cutoffs.get("high"))
    )
    low_told = "low cutoff off" if low is None else f"low cutoff {as_typed(low, unit)}"
    high_told = "no high cutoff" if high is None else f"high cutoff {as_typed(high, unit)}"
    if low is not None and high is not None and low >= high:
        lead = lead.replace("runs", "never runs")
    amounts = [None if end is None else float(end.to(unit)) for end in (low, high)]
    return Bar(kind, f"{lead}: {low_told}, {high_told}", *amounts)


def label_of(bar: Bar, limit: float | None) -> str:
    """The words of a bar, with what is over."""
    if not is_over(bar, limit):
        return bar.label
    return f"{bar.label}{ENDLESS if bar.high is None else OVER}"


OVER = " (over the weakest rating)"
ENDLESS = " (nothing stops it at the weakest rating)"


def is_over(bar: Bar, limit: float | None) -> bool:
    """Whether a range goes on above the weakest rating up to the column."""
    if limit is None or bar.kind not in ("now", "then", "expected", "predicted"):
        return False
    if bar.high is None and bar.kind != "predicted":  # the end of that one is only not known
        return True
    return any(end is not None and end > limit for end in (bar.low, bar.high))

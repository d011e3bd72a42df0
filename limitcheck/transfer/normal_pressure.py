"""The normal pressure on the receiving instrument: the sender's band times the predicted ratio.

One place scales a band: `fit`, `transfer --new` and the record of a transfer all ask here.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from math import log
from typing import Literal, NamedTuple

from ..physics.liquid import CannotPredict
from ..physics.other_instrument import Contribution, PressureRatio, pressure_ratio
from ..physics.predict import predict
from ..profile.hardware import unchanged
from ..profile.model import Expected, Profile
from ..units import Pressure, round_down, round_up, show
from .ruling import Field, Ruling, information, is_given

NO_BAND = "the sending profile states no expected pressure"
_AS_IT_IS = 1e-9
"""A ratio nearer to one is one: the band keeps its own numbers and unit."""


class ScaledEnd(NamedTuple):
    """One end of the sender's band on the receiving instrument, exact, with its interval."""

    low: Pressure
    central: Pressure
    high: Pressure

    def __str__(self) -> str:
        low, central, high = (show(p, p.unit) for p in self)
        return central if low == high else f"{central} ({low} to {high})"


class ScaledBand(NamedTuple):
    """The sender's band on the receiving instrument, in its unit, and the ratio it comes of."""

    low: ScaledEnd
    high: ScaledEnd
    ratio: PressureRatio


def scaled_band(sending: Profile, receiving: Profile) -> ScaledBand:
    """The sender's band as it should be on the receiving side.

    Raises CannotPredict where the sender states none, or one that is none of normal runs, or where
    no ratio can be predicted.
    """
    if (expected := sending.expected) is None:
        raise CannotPredict(NO_BAND)
    if expected.no_band:
        raise CannotPredict(not_used("sending", expected))
    ratio = _with_its_own_doubt(sending, pressure_ratio(sending, receiving))
    unit = receiving.instrument.pressure_unit
    low, high = (
        ScaledEnd(*(Pressure.of(end.to(unit) * Fraction(by), unit) for by in interval))
        for end, interval in ((expected.low, ratio.lowest), (expected.high, ratio.highest))
    )
    return ScaledBand(low, high, ratio)


def not_used(side: str, band: Expected) -> str:
    """That a band which is none of normal runs is not used, and what to do."""
    why = band.no_band
    return f"the {side} profile's expected band is not used: {why}; correct that first"


def _with_its_own_doubt(sending: Profile, ratio: PressureRatio) -> PressureRatio:
    """The ratio with the doubt of a sender's band that is only predicted, in quadrature."""
    expected = sending.expected
    if expected is None or expected.basis != "predicted":
        return ratio
    at = predict(sending)
    doubts = [
        (log(end.central / end.low), log(end.high / end.central)) for end in (at.lowest, at.highest)
    ]
    lowest, highest = (
        interval.widened(*doubt)
        for interval, doubt in zip((ratio.lowest, ratio.highest), doubts, strict=True)
    )
    own = Contribution("the sender's band is only predicted", *doubts[1])
    return ratio._replace(lowest=lowest, highest=highest, rests_on=(own, *ratio.rests_on))


def expecting_there(sending: Profile, moved: Profile) -> Profile:
    """The moved profile with the band to expect there, without what was accepted elsewhere.

    The band is the sender's times the predicted ratio, widened to what the display stores; with
    a ratio of one it stays as it is. It is not measured there, so its basis never says so.
    Raises CannotPredict as `scaled_band`; a sender without a band gives a profile without one.
    """
    moved = moved.model_copy(update={"accepted": ()})
    if sending.expected is None or moved.expected is None:
        return moved
    scaled = scaled_band(sending, moved)
    band: dict[str, object] = {"basis": "declared"}
    if any(abs(r.central - 1.0) > _AS_IT_IS for r in (scaled.ratio.lowest, scaled.ratio.highest)):
        unit, step = moved.instrument.pressure_unit, moved.instrument.step
        low, high = (end.central.to(unit) for end in (scaled.low, scaled.high))
        band = {
            "low": Pressure.of(round_down(low, step), unit),
            "high": Pressure.of(round_up(high, step), unit),
            "basis": "predicted",
        }
    return moved.model_copy(update={"expected": moved.expected.moved(band)})


def as_moved(sending: Profile, receiving: Profile) -> Profile:
    """The receiving profile, its band known as well as the transfer knows it.

    A band that is only predicted is known by itself no better than what is predicted there. One
    that a transfer wrote, and that still holds to the sender's times the ratio, is as sure as that,
    which the rulings say.
    """
    band = receiving.expected
    if band is None or band.basis != "predicted" or band.no_band or not receiving.source:
        return receiving
    try:
        scaled = scaled_band(sending, receiving)
    except CannotPredict:
        return receiving
    ends = (band.low, scaled.low), (band.high, scaled.high)
    if any(_outside(got, end) and not _a_step_away(got, end, receiving) for got, end in ends):
        return receiving
    return receiving.model_copy(update={"expected": band.moved({})})


def copied(sent: Pressure, got: Pressure) -> bool:
    """Whether the number was taken over although the units differ."""
    return sent.unit != got.unit and sent.to(sent.unit) == got.to(got.unit) != 0


def measured_here(sending: Profile, receiving: Profile) -> bool:
    """Whether the receiving profile's band was measured on that instrument as it runs there.

    An end that is the sender's to the step of the panel is the sender's number, whatever the basis
    says, but where nothing at all was changed.
    """
    expected = receiving.normal_band
    if expected is None or expected.basis != "measured":
        return False
    return unchanged(sending, receiving) or not _as_sent(sending, receiving)


def _as_sent(sending: Profile, receiving: Profile) -> bool:
    """Whether an end of the band is the sender's, exactly or rounded to the receiving panel."""
    sent, got, instrument = sending.expected, receiving.expected, receiving.instrument
    if sent is None or got is None:
        return False
    unit = instrument.pressure_unit
    ends = (sorted(band_end.to(unit) for band_end in (band.low, band.high)) for band in (sent, got))
    return any(abs(one - other) < instrument.step for one, other in zip(*ends, strict=True))


def rule_band_end(field: Field) -> Iterable[Ruling]:
    """One end of the expected band against the sender's, scaled with its interval."""
    name: Literal["low", "high"] = "low" if field.name.endswith("low") else "high"
    sent, got, receiving = field.sending, field.receiving, field.pair.receiving
    sides = ("sending", field.pair.sending.expected), ("receiving", receiving.expected)
    for side, band in sides:
        if not field.missing and band is not None and band.no_band:
            yield field.ruled("cannot decide", not_used(side, band))
            return
    try:
        scaled = scaled_band(field.pair.sending, receiving)
    except CannotPredict as error:
        if missing := field.missing:
            yield missing
        elif copied(sent, got):
            yield field.ruled("not allowed", f"the number was copied: {sent} is not {got}")
        elif measured_here(field.pair.sending, receiving):
            told = f"measured here; not compared with the sender's: {error.message}"
            yield field.ruled("information", told)
        else:
            told = f"no ratio of pressures can be predicted ({error.message}): measure it here"
            yield field.ruled("cannot decide", told)
        return
    end = scaled.low if name == "low" else scaled.high
    told = f"the sender's comes to {end} here"
    if missing := field.missing:
        yield missing._replace(rule=f"{missing.rule}; {told}: measure it")
    elif copied(sent, got):
        yield field.ruled("not allowed", f"the number was copied without converting it; {told}")
    elif got == sent and end.low == end.high:
        yield field.ruled("same", "as in the sending profile, on the same hardware")
    elif (off := _outside(got, end)) is None:
        yield field.ruled("allowed", f"{told}: within the interval", RATIO_SOURCE)
    elif _a_step_away(got, end, receiving):
        yield field.ruled("allowed", f"{told}: less than a display step away", RATIO_SOURCE)
    else:
        found = (
            "check the column and the flow path"
            if measured_here(field.pair.sending, receiving)
            else "measure it"
        )
        yield field.ruled("cannot decide", f"{told}; {off}: {found}", RATIO_SOURCE)


RATIO_SOURCE = "Kozeny-Carman, Hagen-Poiseuille"


def _a_step_away(got: Pressure, end: ScaledEnd, receiving: Profile) -> bool:
    """Whether a number is the most likely one as the display there can show it."""
    unit = receiving.instrument.pressure_unit
    return abs(got.to(unit) - end.central.to(unit)) < receiving.instrument.step


def _outside(got: Pressure, end: ScaledEnd) -> str | None:
    """By how much an end lies outside its interval, in bar and the unit; None where inside."""
    if end.low <= got <= end.high:
        return None
    nearest, word = (end.low, "below") if got < end.low else (end.high, "above")
    return f"{both_units(nearest, got, end.low.unit)} {word} the interval"


def both_units(first: Pressure, second: Pressure, unit: str) -> str:
    """How far apart two pressures are, in a unit and in bar."""
    difference = Pressure.of(abs(first.to(unit) - second.to(unit)), unit)
    shown = show(difference, unit)
    return shown if unit == "bar" else f"{shown} ({show(difference, 'bar')})"


def rule_swing(field: Field) -> Iterable[Ruling]:
    """The swing belongs to the pump: it is measured on each instrument, never carried over."""
    sent, got = field.sending, field.receiving
    if sent is not None and got is not None and copied(sent, got):
        told = f"the number was copied without converting it: {sent} is not {got}; measure it here"
        yield field.ruled("not allowed", told)
    elif sent is not None or got is not None:
        yield field.ruled("information", "the swing belongs to the pump: measured on each")


def counted(field: Field) -> Iterable[Ruling]:
    """A field that moves the pressure: what it comes to is ruled with the expected band."""
    try:
        pressure_ratio(*field.pair.sides)
    except CannotPredict as error:
        yield from information(field, f"no pressure can be predicted here: {error.message}")
    else:
        yield from information(field, "counts in the predicted pressure")


def rule_tube_size(field: Field) -> Iterable[Ruling]:
    """Length or bore of a tube: without it the tube is left out of the predicted pressure."""
    if is_given(field.sending) and not is_given(field.receiving):
        told = "left out here: without it the tube is left out of the predicted pressure"
        yield field.ruled("cannot decide", told)
    else:
        yield from counted(field)


def rule_basis(field: Field) -> Iterable[Ruling]:
    """Where the expected band comes from: a transfer holds on a band measured here."""
    sending, receiving = field.pair.sending, field.pair.receiving
    if receiving.expected is None:
        return
    if receiving.expected.no_band:
        yield field.ruled("information", not_used("receiving", receiving.expected))
        return
    if measured_here(sending, receiving):
        as_before = field.sending == field.receiving
        yield field.ruled("same" if as_before else "information", "measured here")
        return
    here, basis = receiving.instrument.id, receiving.expected.basis
    found = "the sender's" if basis == "measured" else basis
    yield field.ruled(
        "information",
        f"the band is {found}, not yet measured on {here}",
        condition=(
            f"measure the pressure on the first run on {here}, then write it to the receiving "
            "profile: limitcheck baseline LOG --profile PROFILE --write"
        ),
    )

"""The normal pressure on a receiving instrument: the scaled band and the limits it may reach."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ..physics.ratio import RatioInterval
from ..transfer.reach import MODEL, NormalRuns, shown
from ..transfer.record import Transfer
from ..units import Pressure, percent
from ..units.printing import short
from .blocks import Bullets, Section, Table, Text
from .data import predicted_data, pressure_data
from .parts import capital

_NOTHING = 1e-6
"""A half-width that is only the rounding of floats."""


def normal_section(found: Transfer) -> Iterator[Section]:
    """The band there with its interval, what that rests on, and each limit against it."""
    normal, sent = found.normal, found.sending.profile.expected
    if sent is None:
        return
    blocks: list[Text | Table | Bullets] = []
    if sent.no_band:
        blocks.append(Text(f"{capital(normal.no_ratio or '')}."))
    elif (scaled := normal.scaled) is None:
        blocks.append(Text(f"No ratio of pressures can be predicted: {normal.no_ratio}."))
    else:
        blocks += [
            Text(
                f"The sender's band, {sent.low} to {sent.high}, comes to {scaled.low} at the low "
                f"end and {scaled.high} at the high end. "
                f"Predicted pressure, receiving over sending: {ratio_text(scaled.ratio.highest)}."
            ),
            Bullets(tuple(rests_on(normal))),
        ]
    rows = tuple(
        (
            reach.limit.name,
            str(reach.limit.pressure),
            reach.outcome,
            *("-" if chance is None else shown(chance) for chance in (reach.band, reach.run)),
        )
        for reach in normal.reaches
    )
    columns = ("Limit", "Pressure", "Outcome", "Normal band reaches it", "One run reaches it")
    blocks += [Table("Normal runs against the limits", columns, rows), Text(f"{MODEL}.")]
    yield Section("Normal pressure on the receiving instrument", tuple(blocks))


def ratio_text(ratio: RatioInterval) -> str:
    """A ratio with its interval.

    >>> ratio_text(RatioInterval(0.9, 1.0, 1.1234))
    '1 (0.9 to 1.12)'
    """
    low, central, high = (short(value, 3) for value in ratio)
    return f"{central} ({low} to {high})" if low != high else central


def rests_on(normal: NormalRuns) -> Iterator[str]:
    """What the interval of the ratio rests on, the largest first."""
    if normal.scaled is not None:
        for why, below, above in normal.scaled.ratio.rests_on:
            if max(below, above) < _NOTHING:
                continue
            yield f"{why}: {percent(below, 2)} below, {percent(above, 2)} above"
        yield from normal.scaled.ratio.predicted_as


def normal_data(found: Transfer) -> dict[str, Any] | None:
    """The same as plain data; null where the sender states no band."""
    normal, sent = found.normal, found.sending.profile.expected
    got, scaled = found.receiving.profile.expected, normal.scaled
    if sent is None:
        return None
    return {
        "sending": _band(sent.low, sent.high),
        "receiving": got and _band(got.low, got.high),
        "scaled": scaled and {"low": _end(scaled.low), "high": _end(scaled.high)},
        "predicted_ratio": scaled and ratio_data(scaled.ratio.highest),
        "rests_on": list(rests_on(normal)),
        "no_ratio": normal.no_ratio,
        "limits": [
            {
                "limit": reach.limit.name,
                "pressure": pressure_data(reach.limit.pressure),
                "outcome": reach.outcome,
                "band_reaches": _rounded(reach.band),
                "run_reaches": _rounded(reach.run),
                "text": reach.text,
            }
            for reach in normal.reaches
        ],
        "model": MODEL,
    }


def ratio_data(ratio: RatioInterval) -> dict[str, float]:
    """A ratio with its interval as plain data, to four digits."""
    return {end: float(f"{value:.4g}") for end, value in ratio._asdict().items()}


def _band(low: Pressure, high: Pressure) -> dict[str, Any]:
    return {"low": pressure_data(low), "high": pressure_data(high)}


def _end(end: tuple[Pressure, Pressure, Pressure]) -> dict[str, Any]:
    names = ("low", "central", "high")
    return {name: predicted_data(float(p), p.unit) for name, p in zip(names, end, strict=True)}


def _rounded(probability: float | None) -> float | None:
    return None if probability is None else round(probability, 4)

"""Pulsation within a run: what to look at, a table of periods, and what may become normal."""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction

from ..history.attribution import Pulse, Source
from ..history.baseline import Baseline
from ..history.pulsation import Pulsation
from ..profile.load import ProfileFile
from ..units import plain, round_up
from ..units.printing import short
from .blocks import Block, Bullets, Section, Table, Text, ToType
from .parts import capital

_IN_TIME: dict[Source, str] = {
    "cycle": "all heads in turn",
    "stroke": "one stroke",
    "part of a cycle": "part of all heads in turn",
    "faster": "part of one stroke",
    "alias": "perhaps faster, of the pump",
    "other": "not the pump's",
    "unknown": "not known",
}
_ONE_HEAD = "air, a check valve or the seal of that head"
_SLOWED = "at half the flow a pulse of the pump takes twice as long, any other does not"
_CHANCE = (
    "a period in time with the pump points to it and proves nothing: another pulse falls within "
    "5 % of the pump's periods by chance about once in twenty times"
)


def pulsation_verdict(baseline: Baseline) -> Iterator[str]:
    """What the summary says: where the strongest pulse points to."""
    found = baseline.pulsation
    main = found.main if found is not None else None
    if found is None or main is None:
        return
    told = f"a pulse every {_period(main)} s, {short(main.swing, 2)} {baseline.unit}"
    high = baseline.expected_swing is not None and bool(baseline.doubts)
    if main.source == "cycle":
        yield (
            f"{told}, in time with all heads in turn ({short(main.predicted_period or 0, 3)} s): "
            f"one head delivers unlike the others: {_ONE_HEAD}. Test: {_SLOWED}"
        )
    elif main.source == "stroke" and high:
        yield (
            f"{told}, in time with each stroke ({short(main.predicted_period or 0, 3)} s): "
            f"ordinary delivery; if it grew, the damper or mixer. Test: {_SLOWED}"
        )
    elif main.source in ("other", "alias", "unknown") and high:
        yield f"{told}: {_IN_TIME[main.source]}"


def _period(pulse: Pulse) -> str:
    """The period [s] in the digits that its interval leaves."""
    width = pulse.period_high - pulse.period_low
    decimals = max(0, min(3, 1 - math.floor(math.log10(width)))) if width > 0 else 3
    return f"{pulse.period:.{decimals}f}"


def pulsation_section(baseline: Baseline, file: ProfileFile | None) -> Section | None:
    """The section; None for a log without many readings a minute."""
    found = baseline.pulsation
    if found is None:
        return None
    blocks: list[Block] = [Bullets(tuple(_facts(found, baseline)))]
    if found.pulses:
        rows = tuple(_row(pulse) for pulse in found.pulses)
        columns = ("Seen, s", f"Swing, {baseline.unit}", "Predicted, s", "In time with")
        blocks.append(
            Table("Periods that stand out of the noise, strongest first", columns, rows, (0, 1, 2))
        )
        if any(pulse.predicted_period is not None for pulse in found.pulses):
            blocks.append(Text(capital(f"{_CHANCE}. {capital(_SLOWED)}.")))
    blocks.extend(_normal(found, baseline, file))
    return Section("Pulsation", tuple(blocks))


def _row(pulse: Pulse) -> tuple[str, str, str, str]:
    digits = _period(pulse)
    decimals = len(digits.partition(".")[2])
    low, high = (f"{p:.{decimals}f}" for p in (pulse.period_low, pulse.period_high))
    predicted = pulse.predicted_period
    return (
        f"{digits} ({low} to {high})",
        short(pulse.swing, 2),
        "-" if predicted is None else short(predicted, 3),
        _IN_TIME[pulse.source],
    )


def _facts(found: Pulsation, baseline: Baseline) -> Iterator[str]:
    unit = baseline.unit
    minutes = "1 minute" if found.parts == 1 else f"{found.parts} minutes"
    others = (
        f"; of {found.stretches} stretches the one that swings most" if found.stretches > 1 else ""
    )
    yield (
        f"{found.readings} readings from line {found.line} on, one every "
        f"{short(found.sampling, 3)} s{others}"
    )
    expected = ""
    if baseline.expected_swing is not None:
        expected = f"; expected at most {short(baseline.expected_swing, 3)}"
    yield (
        f"swing, highest less lowest of a minute without drift: {short(found.swing, 3)} {unit} "
        f"(median of {minutes}, at most {short(found.most, 3)}){expected}"
    )
    if found.stroke is None:
        yield f"the pump's periods are not known: {found.missing}. {_to_add(found.missing)}"
    else:
        pump = f"predicted: one stroke {short(found.stroke, 3)} s"
        if found.cycle is None:
            pump += "; all heads in turn not known: add heads to the pump, from the maker's manual"
        else:
            pump += f", all heads in turn {short(found.cycle, 3)} s"
        yield f"{pump} (taken as the same within 5 %, assumed)"
    if found.too_slow and found.stroke is not None:
        yield (
            f"readings every {short(found.sampling, 3)} s can't show one stroke: log every "
            f"{short(found.stroke / 4, 2)} s or more often, with fractions of a second"
        )
    if found.shortest > 2.5 * found.sampling:
        yield "times are too coarse for the readings: write fractions of a second"
    if not found.pulses:
        yield (
            f"no period stands out of the noise between {short(found.shortest, 2)} and "
            f"{short(found.longest, 3)} s"
        )
        return
    yield (
        f"periods from {short(found.shortest, 2)} to {short(found.longest, 3)} s can be told; a "
        "faster pulse would show as a slower one"
    )
    if found.stroke is not None and found.cycle is None and found.main is not None:
        heads = round(found.main.period / found.stroke)
        if 2 <= heads <= 4 and abs(found.main.period / found.stroke - heads) < 0.05 * heads:
            yield f"the strongest would be in time with all heads in turn of a pump with {heads}"


def _to_add(missing: str) -> str:
    if "profile" in missing:
        return "Name the profile with --profile."
    if "flow" in missing:
        return "Add flow to [conditions]."
    return "Add stroke_volume and heads to the pump, from the maker's manual."


def _normal(found: Pulsation, baseline: Baseline, file: ProfileFile | None) -> Iterator[Block]:
    """The swing for the profile, where this one may be normal."""
    if not baseline.steady:
        return
    if why := found.why_not_normal:
        yield Text(f"No normal swing from this log: {why}.")
        return
    step = file.profile.instrument.step if file is not None else Fraction(1, 10)
    most = plain(round_up(Fraction(f"{found.most:.9g}"), step))
    yield Text(
        f"If the pump was in good order then (only the laboratory can say), the most of "
        f"{found.parts} minutes is the normal swing, in [expected] of the profile:"
    )
    yield ToType("swing", most, baseline.unit)

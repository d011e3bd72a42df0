"""New readings against a normal that was agreed on: the document, and the data for JSON."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from ..charts.agreed import agreed_chart
from ..history.agreed import Agreement
from ..history.judging import Judged
from ..history.running import JudgedPhase
from ..profile.load import ProfileFile
from ..units import PRESSURE_UNITS
from ..units.printing import as_stated
from .blocks import Block, Bullets, Document, Section, Text
from .cautions import IN_A_RECORD, texts
from .data import frame, plain_data, predicted_data, profile_data
from .parts import answer, capital, named

_MOST_SHOWN = 12


def judged_document(judged: Judged, file: ProfileFile, day: date) -> Document:
    """Whether the readings are as agreed, what moved, and on what that was agreed."""
    agreed = judged.agreed
    verdict = "as agreed" if judged.as_agreed else "not as agreed"
    rows = "1 new reading" if judged.readings == 1 else f"{judged.readings} new readings"
    summary: list[Block] = [Text(f"{judged.path}: {rows}, {verdict}.", strong=True)]
    moved = [line for phase in judged.phases for line in _moved(phase, judged)]
    if told := (*moved, *map(capital, judged.notes)):
        summary.append(Bullets(told))
    if not judged.as_agreed:
        summary.append(
            Text(
                "Find out why before anything is changed (limitcheck reading). The agreed normal "
                "stays until somebody agrees anew."
            )
        )
    sections = [
        Section(
            f"Since the agreement{f', {phase.phase}' if phase.phase else ''}",
            (agreed_chart(phase, judged, file.profile), Text(_charts(phase, judged))),
        )
        for phase in judged.phases
        if phase.points
    ]
    basis: tuple[str, ...] = (
        f"{agreed.low} to {agreed.high} {agreed.unit}, agreed on {agreed.day.isoformat()} by "
        f"{agreed.by}: {agreed.reason}",
        f"from the log with SHA-256 {agreed.log_sha256}, {agreed.since:%Y-%m-%d} to "
        f"{agreed.until:%Y-%m-%d}",
        f"readings judged since, these included: {judged.before + judged.readings}",
    )
    if judged.first_agreed is not None:
        first = judged.first_agreed
        basis += (
            f"agreed first, on {first.day.isoformat()}: {first.low} to {first.high} {first.unit}",
        )
    sections.append(Section("What was agreed", (Bullets(basis),)))
    title = f"{named(file.profile)}: pressure as agreed?"
    return answer(title, summary, sections, [file], day, cautions=IN_A_RECORD)


def _shown(value: float, judged: Judged, significant: int = 4) -> str:
    return as_stated(value * float(PRESSURE_UNITS[judged.unit].factor), judged.unit, significant)


def _moved(phase: JudgedPhase, judged: Judged) -> Iterator[str]:
    """What is not as agreed in one phase, and what chance puts outside."""
    unit = judged.unit

    def line(text: str) -> str:
        return f"{phase.phase}: {text}" if phase.phase else capital(text)

    if phase.level_out is not None:
        way = "above" if phase.average > phase.centre else "below"
        if abs(phase.average - phase.centre) <= phase.limit:
            way = "back inside the limits around"
        yield line(
            f"the level moved: its moving average was outside its limits on "
            f"{phase.level_out.time:%Y-%m-%d %H:%M} (line {phase.level_out.line}); it is now "
            f"{_shown(phase.average, judged)} {unit}, {way} the agreed "
            f"{_shown(phase.centre, judged)}."
        )
    if phase.scatter_out is not None:
        yield line(
            f"the readings scatter more than agreed since "
            f"{phase.scatter_out.time:%Y-%m-%d %H:%M} (line {phase.scatter_out.line}): air in the "
            "pump, a check valve, a worn seal? (limitcheck reading --swing)"
        )
    if phase.outside_count:
        lines = ", ".join(
            f"{_shown(point.pressure, judged)} in line {point.line}"
            for point in phase.outside[:_MOST_SHOWN]
        )
        more = phase.outside_count - _MOST_SHOWN
        by_chance = "" if phase.moved else " Chance puts up to one normal reading in 20 there."
        yield line(
            f"{phase.outside_count} of {phase.readings} outside the agreed band: {lines}"
            f"{f' and {more} more' if more > 0 else ''} {unit}.{by_chance}"
        )


def _charts(phase: JudgedPhase, judged: Judged) -> str:
    return (
        f"Moving average {_shown(phase.average, judged)} {judged.unit}; its limits are "
        f"{_shown(phase.centre - phase.limit, judged)} and "
        f"{_shown(phase.centre + phase.limit, judged)}, which chance leaves once in about 500 "
        "readings."
    )


def judged_data(judged: Judged, file: ProfileFile) -> dict[str, Any]:
    """The judgement for JSON; pressures of the agreement as it keeps them, numbers in its unit."""
    factor = float(PRESSURE_UNITS[judged.unit].factor)

    def shape(value: float) -> dict[str, str]:
        return predicted_data(value * factor, judged.unit)

    found = plain_data(judged, shape)
    first = judged.first_agreed
    found["agreed"] = _agreement_data(judged.agreed)
    found["first_agreed"] = None if first is None else _agreement_data(first)
    for phase, data in zip(judged.phases, found["phases"], strict=True):
        data["moved"] = phase.moved
    return frame(
        **found, profile=profile_data(file), as_agreed=judged.as_agreed, cautions=texts(IN_A_RECORD)
    )


def _agreement_data(agreement: Agreement) -> dict[str, Any]:
    return agreement.model_dump(
        mode="json",
        include={"low", "high", "unit", "by", "reason", "day", "log_sha256", "since", "until"},
    )

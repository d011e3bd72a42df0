"""A baseline, a reading and an isolation as documents, for HTML and PDF."""

from __future__ import annotations

from collections.abc import Iterator

from ..charts.baseline import drawing
from ..diagnosis.isolation import Isolation
from ..diagnosis.reading import Reading
from ..history.normal import Baseline, PhaseBaseline
from ..profile.load import ProfileFile
from ..units.printing import digits, short
from .as_text.baseline import course, facts
from .as_text.isolation import (
    HOW_TO_READ,
    action_text,
    capital,
    drop_text,
    excess_text,
    normal_text,
)
from .as_text.reading import band_text, confused_text, position_text, words
from .blocks import Block, Bullets, Chapter, Document, Section, Table, Text
from .cautions import AT_THE_BENCH, IN_A_RECORD, READING_A_PRESSURE, texts
from .parts import inputs, named, signature


def baseline_page(baseline: Baseline, file: ProfileFile | None, day: str) -> Document:
    """The baseline of a log, with its chart; `day` is when it was made (ISO 8601)."""
    summary: list[Block] = []
    if baseline.doubts:
        summary.append(Text("Do not use the band as it is.", strong=True))
        summary.append(Bullets(baseline.doubts))
    elif baseline.expected is not None:
        band = baseline.expected
        summary.append(Text(f"Expected: {band.low} to {band.high} {band.unit}", strong=True))
    if baseline.notes:
        summary.append(Bullets(baseline.notes))
    told = [f"log: {baseline.file}", *baseline.layout]
    if baseline.method is not None:
        told.append(f"method: {baseline.method}")
    if baseline.columns:
        told.append(f"column: {', '.join(baseline.columns)}")
    summary.append(Bullets(tuple(told)))
    return Document(
        f"Normal pressure: {baseline.file}",
        tuple(summary),
        (
            *(_phase(phase, baseline) for phase in baseline.phases),
            Chapter("Review", (_read(file, (baseline.file, baseline.sha256)), signature())),
        ),
        tuple(texts(IN_A_RECORD)),
        day,
    )


def _phase(phase: PhaseBaseline, baseline: Baseline) -> Chapter:
    sections = [
        Section("Readings", (Bullets(tuple(facts(phase, baseline))),)),
        Section(
            "Course in time", (drawing(phase, baseline), Bullets(tuple(course(phase, baseline))))
        ),
    ]
    if phase.outliers:
        rows = tuple(
            (str(place.line), f"{place.time:%Y-%m-%d %H:%M}", short(place.pressure, 5))
            for place in phase.outliers
        )
        table = Table(
            f"{phase.outlier_count} far from their neighbours, kept",
            ("line", "time", f"pressure, {baseline.unit}"),
            rows,
            (2,),
        )
        sections.append(Section("Outliers", (table,)))
    return Chapter(f"Phase {phase.phase}" if phase.phase else "All readings", tuple(sections))


def reading_page(
    file: ProfileFile, reading: Reading, day: str, changes: str | None = None
) -> Document:
    """One pressure and its causes; `changes` says at which other conditions it was taken."""
    unit = reading.unit
    fitting = sum(cause.fit == "fits" for cause in reading.causes)
    rows = tuple(
        (
            words(cause.name),
            cause.description,
            "any" if cause.any_size else band_text(cause, unit),
            "fits best" if cause.alike else cause.fit,
            cause.test,
            confused_text(cause, fitting),
        )
        for cause in reading.causes
    )
    sections = []
    if rows:
        columns = ("cause", "what", "pressure", "fit", "cheapest test", "confused with")
        caption = "Causes, the best fit first; alike: the cheapest test first"
        sections.append(Section("Causes", (Table(caption, columns, rows),)))
    if reading.not_computed:
        missing = tuple(f"{words(name)}: {why}" for name, why in reading.not_computed)
        sections.append(Section("Not worked out", (Bullets(missing),)))
    at = f" at {changes}" if changes else ""
    return Document(
        f"{named(file.profile)}: {short(reading.pressure)} {unit}{at}",
        (Text(capital(position_text(reading)), strong=True), Bullets(reading.cutoffs)),
        (Chapter("What may cause it", (*sections, _read(file))),),
        tuple(texts(READING_A_PRESSURE)),
        day,
    )


def isolation_page(file: ProfileFile, isolation: Isolation, day: str) -> Document:
    """Verdict, drops, advice and the plan."""
    unit = isolation.unit
    sections = list(found_sections(isolation))
    plan = tuple(
        (
            step.name,
            action_text(step),
            normal_text(step, unit),
            "" if step.reading is None else short(step.reading),
        )
        for step in (*isolation.plan, *isolation.further)
    )
    columns = ("step", "what to do", "normal", f"read, {unit}")
    table = Table("Steps, with the normal pressure and the reading", columns, plan, (3,))
    sections.append(Section("Steps", (Text(HOW_TO_READ), table)))
    return Document(
        f"{named(file.profile)}: where does the restriction sit?",
        tuple(verdict_blocks(isolation)),
        (Chapter("Isolation", (*sections, _read(file))),),
        tuple(texts(AT_THE_BENCH)),
        day,
    )


def verdict_blocks(isolation: Isolation) -> Iterator[Block]:
    """What the readings say in a sentence or two."""
    yield Text(capital(isolation.message), strong=True)
    if isolation.reversed_column is not None:
        yield Text(capital(isolation.reversed_column))
    if isolation.doubt is not None:
        yield Text(capital(isolation.doubt))


def found_sections(isolation: Isolation) -> Iterator[Section]:
    """The drops over the parts, and what to do about each part named."""
    if isolation.excesses and isolation.verdict != "contradiction":
        rows = tuple(
            (", ".join(e.parts), digits(e.drop), drop_text(e), excess_text(e))
            for e in isolation.excesses
        )
        columns = ("parts", "drop", "normal", "excess")
        table = Table(f"Drop over parts, in {isolation.unit}", columns, rows, (1, 2, 3))
        yield Section("Drops", (table,))
    for advice in isolation.advice:
        steps = Bullets(tuple(advice.steps), numbered=True)
        yield Section(f"If it is the {advice.part}, in this order", (steps,))


def _read(file: ProfileFile | None, *logs: tuple[str, str]) -> Section:
    return Section("Inputs", (inputs([file] if file is not None else [], logs),))

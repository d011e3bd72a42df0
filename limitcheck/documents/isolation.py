"""Where a restriction sits: the verdict and the plan as a document, and the data for JSON."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any

from ..diagnosis.acts import Act
from ..diagnosis.isolation import Isolation
from ..diagnosis.openings import EVERYTHING
from ..diagnosis.remedies import NO_SOURCE
from ..diagnosis.steps import Excess, PlannedStep
from ..profile.load import ProfileFile
from ..units import as_typed
from ..units.printing import as_read, as_stated
from .blocks import Block, Bullets, Document, Section, Table, Text
from .cautions import AT_THE_BENCH, texts
from .data import frame, plain_data, predicted_data, profile_data
from .parts import answer, band_not_used, capital, named

BEFORE_EACH_STEP = "Flow off, display at zero."
HOW_TO_READ = (
    "Each step begins with the flow off and the display at zero. Only then open or close "
    "anything, the open end over a waste vessel. Turn the flow on, with the flow, mobile phase "
    "and temperature of the method; wait until the pressure is steady; read. Where the pump stops "
    "at its high cutoff, take every reading at a lower flow, and say so. Keep the readings "
    "of a good day: given too, they improve certainty."
)

CURED = (
    "Put everything back, check every fitting for leaks at a low flow, then read again with the "
    "method's flow, mobile phase and temperature:"
)
RECORD = (
    "Record: date and instrument, the part and its serial number, the pressure before and after, "
    "what was done and why it was blocked, and who did it. Remedies are common practice, no "
    "source, where none is named."
)


def isolation_document(
    file: ProfileFile, isolation: Isolation, day: date, changes: str | None = None, *, doubt: str
) -> Document:
    """Verdict, what to do, and why.

    `changes` says at which other conditions it was read, `doubt` what speaks against the band.
    """
    conditions = file.profile.conditions
    if changes is None and conditions is not None and conditions.gradient:
        changed = "the start of its gradient"
    else:
        changed = changes or ""
    about = named(file.profile) + (f" at {changed}" if changed else "")
    done = bool(isolation.named)
    plan = [
        step
        for step in isolation.plan
        if not isolation.open_nothing or step.name == EVERYTHING or step.reading is not None
    ]
    steps = _step_table("From the outlet to the pump", plan, isolation)
    summary = list(verdict_blocks(isolation, about))
    if doubt:
        summary.append(Text(band_not_used(doubt), strong=True))
    if isolation.no_normal is not None:
        told = f"No normal pressures: {isolation.no_normal}. Give those of a good day:"
        summary.append(Text(f"{told} --normal all=..., --normal column-inlet=..."))
    if isolation.first is not None and changes is None:
        summary.append(Text("Readings at another flow are given with --at flow=..."))
    sections = [
        Section("Before you open anything", (Bullets(tuple(texts(AT_THE_BENCH))),)),
        *found_sections(isolation),
        Section("Steps", (Text(HOW_TO_READ), steps), in_record=done),
    ]
    title = f"{about}: where does the restriction sit?"
    return answer(title, summary, sections, [file], day, cautions=())


def verdict_blocks(isolation: Isolation, about: str = "") -> Iterator[Block]:
    """What the readings say in a sentence or two, `about` which method and instrument."""
    if isolation.first is not None:
        yield Text(first_text(isolation.first), strong=True)
    text = f"{about}: {isolation.message}" if about else capital(isolation.message)
    yield Text(text, strong=True)
    for more in (isolation.reversed_column, isolation.doubt):
        if more is not None:
            yield Text(capital(more))


def first_text(first: str) -> str:
    """What must be done before any step."""
    return f"First: {first}"


def found_sections(isolation: Isolation) -> Iterator[Section]:
    """What to do about each part named, further steps, and the drops over the parts."""
    if isolation.repeat:
        table = _step_table("To read again", isolation.repeat, isolation)
        yield Section("Read again", (table,))
    for advice in isolation.advice:
        steps = Bullets(tuple(_act(act) for act in advice.steps), numbered=True)
        ready = [Text(f"Have ready: {'; '.join(advice.ready)}.")] if advice.ready else []
        yield Section(f"If it is the {advice.part}, in this order", (*ready, steps))
    if isolation.cured:
        table = _normal_table(isolation.cured, isolation.unit)
        yield Section("When it is done", (Text(CURED), table, Text(RECORD)))
    if isolation.further:
        table = _step_table("Further steps", isolation.further, isolation)
        yield Section("To tell these parts apart", (table,))
    if isolation.excesses and isolation.verdict != "contradiction":
        unit = isolation.unit
        rows = tuple(
            (
                ", ".join(excess.parts),
                as_read(excess.drop, unit),
                "-" if excess.normal is None else as_read(excess.normal, unit),
                _interval(excess, unit),
            )
            for excess in isolation.excesses
        )
        columns = ("Parts", "Drop", "Normal", "Excess")
        caption = f"Drop over parts, in {unit}"
        yield Section("Why", (Table(caption, columns, rows, (1, 2, 3)),))


def _act(act: Act) -> str:
    """What to do; a source of its own is named."""
    own = "" if act.source == NO_SOURCE else f" (source: {act.source})"
    return capital(act.text) + own


def _interval(excess: Excess, unit: str) -> str:
    if excess.low is None or excess.high is None:
        return "-"
    return f"{as_read(excess.low, unit)} to {as_read(excess.high, unit)}"


def _normal_table(steps: Sequence[PlannedStep], unit: str) -> Table:
    rows = tuple((step.name, normal_text(step, unit)) for step in steps)
    return Table("Cured when all of these are normal", ("Step", "Normal"), rows)


def _step_table(caption: str, steps: Sequence[PlannedStep], isolation: Isolation) -> Table:
    unit = isolation.unit
    read = any(step.reading is not None for step in steps)
    rows = [
        (step.name, action_text(step), normal_text(step, unit), _reading(step, unit))
        for step in steps
    ]
    normal = "Predicted" if isolation.basis == "predicted" else "Normal"
    columns = ("Step", "What to do", normal, f"Read, {unit}")
    shown = 4 if read else 3
    figures = (3,) if read else ()
    return Table(caption, columns[:shown], tuple(row[:shown] for row in rows), figures)


def _reading(step: PlannedStep, unit: str) -> str:
    return "" if step.reading is None else as_typed(step.reading, unit).removesuffix(f" {unit}")


def action_text(step: PlannedStep) -> str:
    """What to do in one step."""
    return f"{BEFORE_EACH_STEP} {capital(step.action)}."


def normal_text(step: PlannedStep, unit: str, basis: str | None = None) -> str:
    """The normal pressure of one step; said where that is only predicted, by its `basis`."""
    if step.low is None or step.high is None:
        return "not known"
    low, high = as_stated(step.low, unit), as_stated(step.high, unit)
    told = f"{low} {unit}" if low == high else f"{low} to {high} {unit}"
    return f"{told}, only predicted" if basis == "predicted" else told


def isolation_data(
    file: ProfileFile, isolation: Isolation, changes: str | None = None, *, doubt: str
) -> dict[str, Any]:
    """The isolation for JSON."""

    def shape(pascal: float) -> dict[str, str]:
        return predicted_data(pascal, isolation.unit)

    found = plain_data(isolation, shape)
    for excess in (*found["excesses"], *found["named"]):
        del excess["places"]
    return frame(
        profile=profile_data(file),
        changed=changes,
        band_in_doubt=doubt or None,
        **found,
        how_to_read=HOW_TO_READ,
        cautions=texts(AT_THE_BENCH),
    )

"""One pressure and its causes: the document, and the data for JSON."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from typing import Any

from ..diagnosis.catalogue import PRACTICE, words
from ..diagnosis.ranking import Ranked
from ..diagnosis.reading import Reading
from ..diagnosis.swings import IN_GENERAL, SPEED, TWO_PUMPS, Swing, period_words
from ..profile.load import ProfileFile
from ..units import as_typed, percent
from .blocks import Block, Bullets, Document, Section, Table, Text
from .causes import all_causes_table, height, what_to_look_at
from .cautions import CAUTIONS, IN_A_RECORD, READING_A_PRESSURE, texts
from .data import frame, predicted_data, pressure_data, profile_data
from .faults import not_worked_out
from .parts import answer, band_not_used, capital, named, on_its_display
from .verdict import verdict
from .would_tell import would_tell, would_tell_section

LINES = 25
"""Lines of the short answer on a terminal of 80 columns."""
EVERY_CAUSE = ("All causes", "All causes of a swing")
"""Headings of what is left out of the short answer."""
_NAMES = 6
"""Faults that are named beside a normal pressure."""
_LEAK = "A leak is seen: no pressure makes it harmless."
_WHOLE_RUN = (
    "That band is of the whole gradient: at one moment of it less of it is normal. Say at which "
    "percent B the pressure was read."
)
_NO_SPREAD = (
    "The normal band is predicted: it is how well the pressure is known, not how far it spreads. "
    "Pressures of good days tell causes apart far better: limitcheck baseline."
)


def reading_document(
    file: ProfileFile,
    reading: Reading,
    day: date,
    changes: str | None = None,
    *,
    all_causes: bool = False,
    on_page: bool = False,
    doubt: str,
) -> Document:
    """What to do first, how far from normal, what to look at.

    `changes` says at which other conditions; `all_causes` has the whole table in the answer;
    `on_page` names no options of the command, where a form asks the same; `doubt` is what speaks
    against the band.
    """
    about = named(file.profile)
    shown = as_typed(reading.pressure, reading.unit)
    if reading.pressure.unit != reading.unit:
        shown = f"{reading.pressure}, {on_its_display(reading.pressure, file.profile)},"
    shown += f" at {changes}" if changes else ""
    doubt = band_not_used(doubt) if doubt else ""
    summary = tuple(_summary(reading, about, shown, doubt))
    room = LINES - _lines(summary)
    sections = (
        *would_tell_section(reading, doubt, everything=all_causes),
        *_sections(reading, room, all_causes=all_causes, on_page=on_page),
    )
    last = IN_A_RECORD if reading.good else ()
    return answer(f"{about}: {shown}", summary, sections, [file], day, cautions=last)


def _summary(reading: Reading, about: str, shown: str, doubt: str) -> Iterator[Block]:
    """The first act, the verdict, and what to heed before anything is touched."""
    if reading.first_act:
        yield Text(reading.first_act, strong=True)
    if doubt:
        yield Text(doubt, strong=True)
    yield Text(f"{shown} {verdict(reading, about)}", strong=True)
    leak = (_LEAK,) if reading.told.leak_seen else ()
    whole = (_WHOLE_RUN,) if reading.of_whole_run else ()
    yield Text(" ".join([*leak, *whole, *_cutoffs_told(reading), *_swing_told(reading)]))
    if not reading.good:
        yield Bullets(tuple(texts(_cautions(reading))))


def _cautions(reading: Reading) -> tuple[str, ...]:
    """The cautions of a reading, with that on solvents where one has run out."""
    if not reading.told.leak_seen:
        return READING_A_PRESSURE
    return tuple(name for name in CAUTIONS if name in (*READING_A_PRESSURE, "solvents"))


def _cutoffs_told(reading: Reading) -> Iterator[str]:
    """The cutoffs and ratings; not how far above the low cutoff a pressure is that is too high."""
    past = any(text.startswith("At or above") for text in reading.cutoffs)
    yield from (c for c in reading.cutoffs if not (past and "above the low cutoff" in c))


def _swing_told(reading: Reading) -> Iterator[str]:
    """The swing beside the expected one, in sentences."""
    swing = reading.swing
    if swing is None:
        return
    seen = str(swing.seen)
    if swing.expected is None and not swing.seen.value:
        yield "It does not swing."
    elif swing.expected is None:
        share = _share(swing, reading)
        yield f"It swings by {seen}{share}: usual or not can't be told, {swing.why_unknown}."
        if reading.position == "normal":
            yield IN_GENERAL
    elif swing.verdict == "within expected":
        yield f"It swings by {seen}, no more than expected, {swing.expected}."
    else:
        yield f"It swings by {seen}, more than expected, {swing.expected}."
    if reading.normal is not None and reading.normal.gradient:
        yield "In a gradient, read it where the composition holds."
    if reading.position != "normal":
        if swing.causes and swing.speed != "unknown":
            yield f"Its period is {SPEED[swing.speed]}."
    elif swing.causes and (swing.period is not None or swing.strokes is not None):
        yield f"{capital(period_words(swing))}."


def _share(swing: Swing, reading: Reading) -> str:
    if reading.pressure.value == 0:
        return ""
    share = float(swing.seen.value / reading.pressure.value)
    return f", {percent(share, 2)} of the pressure"


def _sections(reading: Reading, room: int, *, all_causes: bool, on_page: bool) -> Iterator[Section]:
    """What to look at as far as it fits a screen, what is not known, and all causes."""
    if reading.position == "normal":
        names = [c.words for c in reading.causes if c.fit == "fits"]
        if names and reading.good:
            told, see = ", ".join(names[:_NAMES]), " below" if on_page else ": --all"
            more = f", and {len(names) - _NAMES} more{see}" if len(names) > _NAMES else ""
            text = f"These also give a normal pressure: {told}{more}."
            yield Section("", (Text(text),))
    groups = () if reading.position == "normal" else reading.groups
    swing = reading.swing.causes if reading.swing is not None else ()
    if groups or swing:
        yield what_to_look_at(reading, groups, room, on_page=on_page)
    missing = tuple(not_worked_out(reading.not_computed, words))
    yield from (s._replace(in_record=not all_causes) for s in missing)
    if reading.causes:
        table = all_causes_table(reading)
        blocks = (Text(_NO_SPREAD), table) if _is_predicted(reading) else (table,)
        yield Section(EVERY_CAUSE[0], blocks, in_record=not all_causes)
    if reading.swing is not None and swing:
        rows = tuple((c.words, c.test.text, c.source) for c in swing)
        caption = "Those the period speaks for first, then the tests in the order they cost"
        table = Table(caption, ("Cause", "Test", "Source"), rows)
        general = Text(f"{IN_GENERAL} {capital(period_words(reading.swing))}. {TWO_PUMPS}")
        yield Section(EVERY_CAUSE[1], (general, table), in_record=not all_causes)


def _is_predicted(reading: Reading) -> bool:
    return reading.normal is not None and reading.normal.basis == "predicted"


def _lines(blocks: Iterable[Block]) -> int:
    """Lines that the blocks of a summary take, with an empty one after each."""
    count = 0
    for block in blocks:
        if isinstance(block, Text):
            count += height(block.text, 0) + 1
        elif isinstance(block, Bullets):
            count += sum(height(item, 2) for item in block.items) + 1
    return count


def reading_data(
    file: ProfileFile, reading: Reading, changes: str | None = None, *, doubt: str
) -> dict[str, Any]:
    """The reading for JSON."""
    unit, normal, told, edges = reading.unit, reading.normal, reading.told, reading.bounds
    doubted = edges is not None and edges.in_doubt
    known = edges is None or edges.normal is not None or _is_predicted(reading)
    return frame(
        profile=profile_data(file),
        changed=changes,
        pressure=pressure_data(reading.pressure),
        first_act=reading.first_act,
        position=reading.position,
        normal=None
        if normal is None or not known or doubted
        else {
            "low": predicted_data(normal.low, unit),
            "high": predicted_data(normal.high, unit),
            "basis": normal.basis,
        },
        open=None
        if edges is None or doubted
        else {"low": predicted_data(edges.least, unit), "high": predicted_data(edges.most, unit)},
        no_normal=reading.no_normal,
        band_in_doubt=doubt or None,
        off_by=predicted_data(reading.off_by, unit) if normal else None,
        off_share=float(f"{reading.off_share:.6g}") if normal else None,
        cutoffs=list(reading.cutoffs),
        told={
            "came": told.came,
            "since_days": None
            if told.since is None or told.since == float("inf")
            else float(f"{told.since:.6g}"),
            "always": told.since == float("inf"),
            "after": told.after,
            "leak_seen": told.leak_seen,
        },
        swing=None if reading.swing is None else _swing_data(reading.swing),
        causes=[_cause_data(ranked, reading) for ranked in reading.ranking],
        groups=[
            {
                "family": group.family,
                "words": group.words,
                "causes": [m.cause.name for m in group.members],
            }
            for group in reading.groups
        ],
        questions=[question._asdict() for question in reading.questions],
        would_tell=list(would_tell(reading, doubt)),
        not_computed=[missing._asdict() for missing in reading.not_computed],
        cautions=texts(_cautions(reading)),
    )


def _cause_data(ranked: Ranked, reading: Reading) -> dict[str, Any]:
    cause, unit = ranked.cause, reading.unit
    return {
        "name": cause.name,
        "description": cause.description,
        "low": predicted_data(cause.low, unit),
        "high": predicted_data(cause.high, unit),
        "ratio": None
        if cause.ratio is None
        else {key: float(f"{value:.6g}") for key, value in cause.ratio._asdict().items()},
        "any_size": cause.any_size,
        "fit": cause.fit,
        "alike": cause.alike,
        "family": cause.known.family,
        "common": cause.common,
        "common_source": PRACTICE,
        "came": list(cause.known.came),
        "after": list(cause.known.after),
        "swings": cause.known.swings,
        "leaks": cause.known.leaks,
        "lasts": cause.known.lasts,
        "reasons": list(ranked.reasons),
        "source": cause.known.source,
        "test": cause.known.test.text,
        "test_source": cause.known.test.source,
        "confused_with": list(reading.confused_with(cause)),
    }


def _swing_data(swing: Swing) -> dict[str, Any]:
    strokes = swing.strokes
    return {
        "seen": pressure_data(swing.seen),
        "expected": None if swing.expected is None else pressure_data(swing.expected),
        "verdict": swing.verdict,
        "reason": swing.why_unknown or None,
        "period_seconds": swing.period,
        "stroke_seconds": None if strokes is None else float(f"{strokes.stroke:.6g}"),
        "cycle_seconds": None
        if strokes is None or strokes.cycle is None
        else float(f"{strokes.cycle:.6g}"),
        "speed": swing.speed,
        "text": period_words(swing),
        "causes": [
            {
                "name": cause.name,
                "description": cause.words,
                "speaks_for": cause.for_it,
                "test": cause.test.text,
                "test_source": cause.test.source,
                "source": cause.source,
            }
            for cause in swing.causes
        ],
    }

"""The causes of a reading as people read them: the short answer, and the whole table."""

from __future__ import annotations

import textwrap

from ..diagnosis.catalogue import DISPLAY_IN, SOLVENT_A_IS, SOLVENT_B_IS
from ..diagnosis.ranking import Group, Ranked
from ..diagnosis.reading import Reading
from ..physics.ratio import RatioInterval
from ..units.printing import as_read, short
from .blocks import Block, Bullets, Section, Table, Text
from .faults import fault_words
from .parts import capital

WIDTH = 76
"""Letters of a line of the short answer, less than the 80 of a terminal to be sure."""
_FIRST, _OTHERS = 3, 2
"""Lines of the first kind of causes, and of the others, where there is a choice."""


def what_to_look_at(reading: Reading, groups: tuple[Group, ...], room: int) -> Section:
    """The likeliest causes, as many as there is room for, and what would tell them apart."""
    items = [_group_text(group, _OTHERS if n else _FIRST) for n, group in enumerate(groups)]
    if reading.swing is not None:
        speaking = (cause for cause in reading.swing.causes if cause.for_it is not False)
        items += (_sentence(f"{capital(cause.words)}: {cause.test.text}") for cause in speaking)
    heading = "What to look at, the likeliest first; how common: common practice, no source"
    left = room - 2 - height(_closing(reading, 10), 2)
    kept = 0
    for item in items:
        left -= height(item, 5)
        if kept and left < 0:
            break
        kept += 1
    blocks: list[Block] = [Bullets(tuple(items[:kept]), numbered=True)]
    if closing := _closing(reading, len(items) - kept):
        blocks.append(Text(closing))
    return Section(heading, tuple(blocks))


def _closing(reading: Reading, rest: int) -> str:
    """What would tell the causes apart, and where the others are."""
    told = []
    asked = reading.questions if reading.position != "normal" else ()
    if asked:
        words = ", ".join(question.words for question in asked)
        options = ", ".join(question.option for question in asked)
        told.append(f"Pressure can't tell these apart; {words} may: {options}.")
    told.append(f"{f'{rest} more, with all' if rest else 'All'} tests and sources: --all.")
    return " ".join(told)


def _group_text(group: Group, lines: int) -> str:
    """The causes of one kind told once, as many as fit in so many lines, with the first test."""
    first = group.members[0]
    level = [m for m in group.members if m.cause.fit == first.cause.fit]
    why, tests = ", ".join(first.reasons), [first.cause.known.test]
    cheapest = min((m.cause.known.test for m in level), key=lambda test: test.effort)
    if lines == _FIRST and cheapest.effort < tests[0].effort:
        tests.insert(0, cheapest)
    test = "; then ".join(test.text for test in tests)
    for count in range(len(level), 0, -1):
        names = [_member(member) for member in level[:count]]
        if rest := len(level) - count:
            names.append(f"{rest} more")
        text = _sentence(f"{capital(group.words)} ({why}): {'; '.join(names)}. Test: {test}")
        if height(text, 5) <= lines:
            break
    return text


def _sentence(text: str) -> str:
    return text if text.endswith("?") else f"{text}."


def _member(ranked: Ranked) -> str:
    """A cause in few words: what it is, or its size where that is what tells it from others."""
    name, known = ranked.cause.name, ranked.cause.known
    for prefix, letter in ((SOLVENT_A_IS, "A"), (SOLVENT_B_IS, "B")):
        if name.startswith(prefix):
            return f"{name.removeprefix(prefix)} as {letter}"
    told = name.startswith((DISPLAY_IN, "other-")) or known.family == "display"
    return ranked.cause.description if told else known.words


def all_causes_table(reading: Reading) -> Table:
    """Every cause in the order to look at them, with its test and sources."""
    rows = tuple(
        (
            fault_words(ranked.cause.name),
            ranked.cause.description,
            _pressure(ranked, reading.unit),
            ", ".join(ranked.reasons),
            ranked.cause.known.test.text,
            _sources(ranked),
        )
        for ranked in reading.ranking
    )
    columns = ("Cause", "What", "Pressure", "Why here", "Test", "Source")
    return Table("In the order to look at them", columns, rows)


def _sources(ranked: Ranked) -> str:
    known = ranked.cause.known
    if known.source == known.test.source:
        return known.source
    return f"{known.source}; test: {known.test.source}"


def _pressure(ranked: Ranked, unit: str) -> str:
    """What a cause predicts: the normal band times a ratio, or any pressure."""
    cause = ranked.cause
    if cause.ratio is not None:
        return f"normal x {_ratio(cause.ratio)}"
    if cause.any_size:
        return "any"
    return f"{as_read(cause.low, unit)} to {as_read(cause.high, unit)} {unit}"


def _ratio(ratio: RatioInterval) -> str:
    low, high = short(ratio.low, 3), short(ratio.high, 3)
    return short(ratio.central, 3) + (f" (known to {low} to {high})" if low != high else "")


def height(text: str, indent: int) -> int:
    """Lines that a text takes in the short answer."""
    return len(textwrap.wrap(text, WIDTH - indent))

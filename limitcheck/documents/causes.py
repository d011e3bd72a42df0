"""The causes of a reading as people read them: the short answer, and the whole table."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Sequence
from itertools import accumulate

from ..diagnosis.catalogue import PRACTICE
from ..diagnosis.ranking import Group, Ranked
from ..diagnosis.reading import Reading
from ..diagnosis.telling import Question
from ..physics.ratio import RatioInterval
from ..units.printing import as_read, short
from .blocks import Block, Bullets, Section, Table, Text
from .parts import capital

WIDTH = 76
"""Letters of a line of the short answer, less than the 80 of a terminal to be sure."""
_NUMBER_AND_UNIT = re.compile(r"(?<=\d) (?=[A-Za-z%])")
_FIRST, _OTHERS = range(2, 6), 2
"""Lines of the first kind of causes, as many as cost no other kind its place; and of the others."""
_REASONS = 4
"""Reasons for the place of a cause; all of them are in the table of all causes."""
_NAMES = 2
"""Causes of a swing by name, beside causes of the pressure."""
_CLOSE = 2
"""Points of the ranking within which the cheapest test is told first."""
_CAPTION = (
    "In the order to look at them. That each occurs, and its test: common practice, no source, "
    "unless another is named"
)
_HEADING = "What to look at, by fit and by how common it is (common practice, no source)"


def what_to_look_at(
    reading: Reading, groups: tuple[Group, ...], room: int, *, on_page: bool
) -> Section:
    """The likeliest causes, as many as there is room for, and what would tell them apart."""
    others = [_group_text(group, _OTHERS) for group in groups[1:]]
    others[:0] = _swing_items(reading, alone=not groups)
    choices = [others]
    if groups:
        choices = [[_group_text(groups[0], lines), *others] for lines in _FIRST]
    asked, heading = (reading.questions if groups else ()), _HEADING
    few = _all_that_fit(choices, room - height(_closing(asked, on_page, 10), 2))
    if not any(few):  # long names: the causes come before what would tell them apart
        asked = ()
        few = _all_that_fit(choices, room - height(_closing(asked, on_page, 10), 2))
    most = few[0] if reading.swing is not None or not any(few[1:2]) else few[1]
    last = -1 if most else 0
    items = [items for items, fit in zip(choices, few, strict=True) if fit == most][last]
    blocks: list[Block] = [Bullets(tuple(items[: max(most, 1)]), numbered=True)]
    closing = _closing(asked, on_page, len(items) - max(most, 1))
    if closing and not most:
        heading = closing
    elif closing:
        blocks.append(Text(closing))
    return Section(heading, tuple(blocks))


def _swing_items(reading: Reading, *, alone: bool) -> Sequence[str]:
    """The causes of a swing: each with its test where there is nothing else, else in one item."""
    found = reading.swing.causes if reading.swing is not None else ()
    if alone or not found:
        return [_sentence(f"{capital(cause.words)}: {cause.test.text}") for cause in found]
    causes = [cause for cause in found if cause.for_it] or found
    names = "; ".join(cause.words for cause in causes[:_NAMES])
    if len(causes) > _NAMES:
        names += f"; {len(causes) - _NAMES} more"
    return [f"The swing: {names}. First test: {_sentence(causes[0].test.text)}"]


def _all_that_fit(choices: Iterable[Sequence[str]], room: int) -> list[int]:
    """How many items of each choice fit in so many lines, with the heading and an empty line."""
    return [_that_fit(items, room - 2) for items in choices]


def _that_fit(items: Iterable[str], lines: int) -> int:
    ends = accumulate(height(item, 5) for item in items)
    return sum(end <= lines for end in ends)


def _closing(asked: Sequence[Question], on_page: bool, rest: int) -> str:
    """What would tell the causes apart, and where the others are."""
    last = f"{f'{rest} more, with all' if rest else 'All'} tests and sources: --all."
    if on_page:
        last = f"{rest} more below." if rest else ""
    if not asked:
        return last
    told = f"Pressure can't tell these apart; {', '.join(q.words for q in asked)} may"
    options = "" if on_page else f": {', '.join(question.option for question in asked)}"
    return f"{told}{options}. {last}".strip()


def _group_text(group: Group, lines: int) -> str:
    """The causes of one kind told once, as many as fit in so many lines, with the first test."""
    first = group.members[0]
    level = [m for m in group.members if m.cause.fit == first.cause.fit]
    why, tests = ", ".join(first.reasons[:_REASONS]), [first.cause.known.test]
    close = (m.cause.known.test for m in level if m.points <= first.points + _CLOSE)
    cheapest = min(close, key=lambda test: test.effort)
    if lines > _OTHERS and cheapest.effort < tests[0].effort:
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
    cause = ranked.cause
    told = cause.name.startswith("other-") or cause.known.family == "display"
    return cause.description if told else cause.words


def all_causes_table(reading: Reading) -> Table:
    """Every cause in the order to look at them, with its test and sources."""
    rows = tuple(
        (
            ranked.cause.words,
            f"{ranked.cause.description}; {_comes(ranked)}",
            _pressure(ranked, reading.unit),
            ", ".join(ranked.reasons),
            f"{ranked.cause.known.test.text} ({_sources(ranked)})",
        )
        for ranked in reading.ranking
    )
    columns = ("Cause", "What", "Pressure", "Why here", "Test and source")
    return Table(_CAPTION, columns, rows)


def _comes(ranked: Ranked) -> str:
    """How a cause comes and after what: what tells it from others that fit as well."""
    known = ranked.cause.known
    manners = [
        "may have been so always" if manner == "always" else f"comes {manner.replace('-', ' ')}"
        for manner in known.came
    ]
    told = " or ".join(manners).replace("or comes ", "or ")
    return told + (f", as after {' or '.join(known.after)}" if known.after else "")


def _sources(ranked: Ranked) -> str:
    """Source of a cause, and of its test where that is not common practice."""
    known = ranked.cause.known
    source = known.source.removesuffix(f"; that it occurs: {PRACTICE}")
    return source if known.test.source == PRACTICE else f"{source}; test: {known.test.source}"


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
    return short(ratio.central, 3) + (f" ({low} to {high})" if low != high else "")


def height(text: str, indent: int) -> int:
    """Lines that a text takes in the short answer; a number and its unit stay together."""
    glued = _NUMBER_AND_UNIT.sub("_", text)
    return len(textwrap.wrap(glued, WIDTH - indent, break_on_hyphens=False))

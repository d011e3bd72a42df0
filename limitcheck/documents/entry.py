"""The answer to a number about to be typed, as blocks, with the scale it lies on."""

from __future__ import annotations

from collections.abc import Iterator

from ..charts.scale import profile_scale
from ..checking.entry import Answer
from .as_text.entry import closing_text, finding_text, units_text
from .blocks import Block, Bullets, Text


def answer_blocks(answer: Answer) -> Iterator[Block]:
    """What speaks against the number, what to type, and where it lies; the verdict is a heading."""
    yield Text(units_text(answer))
    closing = closing_text(answer)
    if closing:
        yield Text(closing, strong=True)
    if answer.findings:
        yield Bullets(tuple(finding_text(finding) for finding in answer.findings))
    yield profile_scale(answer.profile)

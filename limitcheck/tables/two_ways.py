"""One thing that a row says in one cell and in several: a band beside its ends, a size beside its
parts. Where both say the same, one is taken; where they do not, it is asked of the one cell.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ..units import QUANTITIES
from .cells import Amount, Text
from .questions import AS_IT_STANDS, CONFIRMED, LEAVE_OUT, Question
from .rows import Given, Record
from .words import KEYS, QUANTITY

_IN_PARTS: Mapping[str, tuple[str, ...]] = {
    "expected": ("expected.low", "expected.high"),
    "column.dimensions": ("column.length", "column.bore", "column.particle_size"),
}
"""By the key that holds several: those, in their order."""
_KINDS = {kind.KIND: kind for kind in QUANTITIES}


def one_of_two_ways(record: Record) -> Iterator[Question]:
    """Take what a row says twice from the cell that has it in one piece, or ask of that cell."""
    for key, parts in _IN_PARTS.items():
        whole = record.given.get(key)
        if whole is None or isinstance(whole.value, Amount | Text):
            continue
        others = []
        for path, amount in zip(parts, whole.value, strict=False):
            part = record.given.get(path)
            if part is not None and isinstance(part.value, Amount):
                if not _same(amount, part.value, path):
                    others.append(part)
                if key == "expected" or whole.confirmed:
                    del record.given[path]  # the whole is written
        if others and not whole.confirmed:
            record.open = True
            yield _asked(record, whole, others)


def _same(one: Amount, other: Amount, path: str) -> bool:
    """Whether two amounts are the same; without a unit on one side that is not known."""
    if bool(one.unit) != bool(other.unit):
        return False
    kind = _KINDS[QUANTITY[KEYS[path].kind]]
    unit = one.unit or next(iter(kind.UNITS))
    first, second = kind.of(one.number, unit), kind.of(other.number, other.unit or unit)
    return first.value == second.value


def _asked(record: Record, whole: Given, others: list[Given]) -> Question:
    beside = ", ".join(f"{other.text} ({other.cell})" for other in others)
    text = f"{whole.text} ({whole.cell}) beside {beside}: one of them does not hold"
    advice = f'"{AS_IT_STANDS}" takes this one, "{LEAVE_OUT}" the others; or answer with what holds'
    if whole.answered:
        text = f"the answer: {text}"
        advice = f'correct the answer, or write "{CONFIRMED}" in the column `confirm`'
    return Question(
        *(record.header.sheet.name, whole.cell, "cell", whole.text, text, advice, ""),
        *(record.text("instrument.id"), record.text("method.id")),
    )

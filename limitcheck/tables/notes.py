"""What stands beside a number in its cell: whether it may change the number, or say whose it is."""

from __future__ import annotations

import re
from collections.abc import Mapping

from ..errors import LimitcheckError, cut
from ..units import QUANTITIES, Quantity, find_unit
from .numbers import CellError
from .words import KEYS, QUANTITY

_KINDS: Mapping[str, type[Quantity]] = {kind.KIND: kind for kind in QUANTITIES}
_IN_BRACKETS = re.compile(r"[(\[](?P<in>[^0-9]*)[)\]]|;(?P<after>[^0-9]*)$")
CHANGES_NOTHING = frozenset(
    word
    for line in (
        "g gauge gage rel relative",  # as every pressure of an instrument is
        "see note notes sop method manual binder book page logbook report qa set as typed by on at",
        "confirmed checked approved verified reviewed validated the per in of and isocratic",
    )
    for word in line.split()
)
"""Words beside a number that leave it as it is; common practice, no source."""
_OF_KEYS: Mapping[str, tuple[str, ...]] = {
    word: keys
    for words, keys in (
        ("max maximum high upper", ("cutoffs.high", "expected.high", ".rating", ".entry_max")),
        ("min minimum low lower", ("cutoffs.low", "expected.low")),
        ("cutoff", ("cutoffs.",)),
        ("limit", ("cutoffs.", ".rating")),
        ("rating rated maker", (".rating",)),
        ("pump", ("pump.", "cutoffs.")),
        ("column", ("column.", "conditions.temperature")),
        ("oven", ("conditions.temperature",)),
        ("gradient", ("cutoffs.", "expected")),
    )
    for word in words.split()
}
"""Words that leave a number as it is where it is of these keys: "400 (column)" is no rating of a
pump, "20 (low)" no high cutoff."""


def judge_note(cell: str, rest: str, key: str) -> None:
    """Raises CellError for a note beside a number that may change it; a unit is looked at later."""
    kind = KEYS[key].kind
    for found in _IN_BRACKETS.finditer(rest):
        note = (found["in"] or found["after"] or "").strip()
        quantity = _KINDS.get(QUANTITY.get(kind, ""))
        if (quantity is not None and named(note, quantity)) or (note == "%" and kind == "percent"):
            continue
        words = set(re.findall(r"[^\W_]+|[^\w\s.,]", note.casefold()))
        if any(not _leaves(word, key) for word in words):
            raise CellError(
                f'"{cut(cell)}": "{cut(note, 30)}" may change the number, or its unit',
                'answer with what is typed there, "as it stands", or "leave out"',
            )


def _leaves(word: str, key: str) -> bool:
    """Whether a word beside a number of a key leaves it as it is."""
    return word in CHANGES_NOTHING or any(
        key.startswith(one) or key.endswith(one) for one in _OF_KEYS.get(word, ())
    )


def named(spelling: str, kind: type[Quantity]) -> str:
    """The unit of a spelling, by its name; empty where it is none."""
    if not spelling:
        return ""
    try:
        return find_unit(spelling, kind)
    except LimitcheckError:
        return ""

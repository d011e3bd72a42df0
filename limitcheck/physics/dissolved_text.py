"""What is dissolved, as one part of a solvent's text: its name, how much, and how far it moves."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

from .liquid import Liquid, Solute
from .salts import PER_MOLAR, PER_MOLAR_LARGE, PER_PERCENT, POURED, full_name, moved, written_out
from .solvent_doubts import NotUnderstood, not_known
from .solvent_words import BESIDE, LARGE, NUMBER, USUAL, solvent

MOST_MOLAR, MOST_PERCENT = 0.5, 5.0

_HYDRATE = re.compile(r"(?:hemi|mono|di|tri|tetra|penta|hexa|hepta|octa|nona|deca|dodeca)?hydrate")
_DIGIT = re.compile(r"\d")
_MOLAR = {"m": 1.0, "mm": 1e-3, "um": 1e-6}
_AMOUNT = re.compile(rf"(?:^|\s)({NUMBER}) ?(%|mm|um|m|g/l)(?=\s|$)")


class Part(NamedTuple):
    """One part of a solvent's text: a solvent, with its share [-] where given, or a solute."""

    liquid: Liquid | None = None
    share: float | None = None
    solute: Solute | None = None
    aqueous: bool = False
    buffer: bool = False
    poured: float = 0.0
    """The share [-] by volume of a solute that is itself a liquid."""


def dissolved(text: str) -> Part:
    """Something dissolved, with its amount [mM, %] and known words alone."""
    amounts = _AMOUNT.findall(text)
    named = _AMOUNT.sub(" ", text).replace("-", " ").split()
    hydrate = any(_HYDRATE.fullmatch(word) for word in named)
    words = written_out(word for word in named if not _HYDRATE.fullmatch(word))
    unknown = unknown_words(words)
    if unknown and solvent(unknown):
        raise NotUnderstood(f'"{text}" has no word between {unknown} and the rest: in, with or +')
    if not unknown and {"buffer", "buffered"} & set(words) and set(words) <= BESIDE:
        raise NotUnderstood(f'"{text}": a buffer of what? Write it as "20 mM phosphate"')
    if unknown or not any(word in USUAL | LARGE for word in words):
        raise not_known(text if _DIGIT.search(unknown) else unknown or text)
    name = full_name([word for word in words if word not in ("buffer", "buffered", "solution")])
    if len(amounts) != 1:
        raise NotUnderstood(f"it does not say how much {name}")
    number, unit = float(amounts[0][0]), amounts[0][1]
    molar = unit in _MOLAR
    if not molar and hydrate:
        raise NotUnderstood(f"the mass of a hydrate holds water: give the {name} in mol/L")
    if molar:
        amount, most = number * _MOLAR[unit], MOST_MOLAR
        slope = PER_MOLAR_LARGE if LARGE & set(words) else PER_MOLAR
    else:
        amount, most = number / 10 if unit == "g/l" else number, MOST_PERCENT
        slope = PER_PERCENT
    if amount > most:
        unit = "mol/L" if molar else "%"
        raise NotUnderstood(f"over {most:g} {unit} of {name} is not covered")
    buffer = bool({"buffer", "buffered", "aqueous"} & set(words))
    bound = slope * amount
    shift, in_water = moved(name, amount, molar) or (0.0, bound)
    aqueous = buffer or molar or unit == "g/l"
    poured = number / 100 if unit == "%" and name in POURED else 0.0
    return Part(None, None, Solute(name, bound, shift, in_water), aqueous, buffer, poured)


def unknown_words(words: Iterable[str]) -> str:
    """Those of the words of a solute [-] that are not known."""
    known = USUAL | LARGE | BESIDE
    return " ".join(word for word in words if not known.issuperset(written_out([word])))

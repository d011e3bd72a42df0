"""What the text of a header says: the keys it stands for and the unit in it; nothing is dropped.

What stands in brackets is a unit, or words as any others of the header: an unknown one makes the
header unknown. What it would be without them is told as well, since that is to be asked.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple
from unicodedata import normalize

from ..errors import LimitcheckError
from ..units import QUANTITIES, RefusedUnit, find_unit
from .words import DROPPED, KEYS, LONGEST_HEADER, QUANTITY, SheetKind, can_give, signs_of, words_of

_UNIT_KINDS = {kind.KIND: kind for kind in QUANTITIES if kind.KIND in QUANTITY.values()}
_BRACKETS = re.compile(r"[(\[]((?:[^()\[\]]|[(\[][^()\[\]]*[)\]])*)[)\]]")
"""With others within them, as in "(bar (g))"."""
_NOT_TAKEN = frozenset({
    "torr", "atm", "mbar", "hpa", "pa", "lb", "lbs", "lbf", "ksi", "kg", "kp", "mmhg", "inhg",
    "c", "f", "° c", "deg c", "deg. c", "celsius", "micron", "microns", "ml", "µl", "ul", "min",
    "ml min-1", "ml·min-1", "ml / min", "mm id", "s", "h", "nm",
})  # fmt: skip
"""Spellings of units that are not taken, or not of every quantity: they are asked as units."""
_HOW = (
    r"\s*(?:optional|required|mandatory|set|set ?point|as (?:typed|set)|if (?:any|known)|v/v|gauge|"
    r"text|free text|yyyy-mm-dd)\s*"
)
_CHANGES_NOTHING = re.compile(rf"[(\[]{_HOW}[)\]]|[,;]{_HOW}(?=[)\],;]|$)", re.IGNORECASE)
"""What is said of how to fill in a column; common practice, no source."""
_QUALIFIERS = frozenset(
    word
    for line in (
        "old new previous former proposed draft planned intended current actual present start",
        "initial begin beginning end final wash rinse flush storage test spare backup before after",
        "until since off on disabled enabled not used unused archive historic historical legacy",
        "obsolete superseded withdrawn retired example default factory observed measured real last",
        "first next recommended suggested alternative other second third warning alert if above",
        "below under over n sst qc alt bisher neu ancien nouveau ? ~ ≈ < > ± ≤ ≥ + = x",
        "older newer earlier later now today",
    )
    for word in line.split()
)
"""Words that make a header another than the plain one; common practice, no source."""
_YEAR = re.compile(r"[0-9]{1,4}")
_PRESSURE_WORDS = frozenset({"pressure", "pressures", "press", "druck", "pression", "p"})


class Named(NamedTuple):
    """What a header says: the paths it may stand for, and the unit in it, as spelled."""

    paths: tuple[str, ...]
    unit: str = ""


@lru_cache(maxsize=4096)
def header_of(text: str, sheet: SheetKind | None = None) -> Named:
    """What a header stands for in a sheet of a kind; no path where a word of it is not known.

    >>> header_of("Upper pressure limit [bar]")
    Named(paths=('cutoffs.high',), unit='bar')
    >>> header_of("Column ID").paths, header_of("Eluent B (wash)").paths
    (('column.label', 'column.bore'), ())
    """
    if len(text) > LONGEST_HEADER:
        return Named(())
    said = _CHANGES_NOTHING.sub(" ", text)
    for name in (said, said.rstrip(" *!")):
        if paths := _paths(name, sheet):
            return Named(paths)
    for name, unit in split_unit(said):
        if not (paths := _paths(name.replace("*", " "), sheet)):
            continue
        if unit == "%" and all(KEYS[path].kind == "text" for path in paths):
            continue  # "Eluent A (%)" is no name of a solvent
        # What a gradient is of, as "(% A)" and "(min, % organic)", is asked of its cells.
        of_gradient = paths == ("conditions.gradient",) and not any(map(_qualifies, words_of(unit)))
        if may_be_unit(unit) or of_gradient:
            return Named(paths, unit)
    return Named(())


@lru_cache(maxsize=4096)
def without_remarks(text: str, sheet: SheetKind | None = None) -> tuple[str, ...]:
    """What a header would stand for without what is in its brackets, and words as "old".

    >>> without_remarks("Eluent B (wash)"), without_remarks("Old flow"), without_remarks("Analyst")
    (('conditions.solvent_b',), ('conditions.flow',), ())
    """
    if len(text) > LONGEST_HEADER:
        return ()
    units = [unit for _, unit in split_unit(text) if may_be_unit(unit)]
    bare = _BRACKETS.sub(lambda found: f" {found[0]} " if found[1] in units else " ", text)
    for name in (bare, _without_qualifiers(bare)):
        if paths := header_of(name, sheet).paths:
            return paths
        for rest, _ in split_unit(name):
            if paths := _paths(_without_qualifiers(rest), sheet):
                return paths
    return ()


def is_qualifier(text: str) -> bool:
    """Whether every word of a text only says of which time or use something is, as "Old".

    >>> is_qualifier("Until 2019"), is_qualifier("Rev. 3")
    (True, False)
    """
    words = words_of(text[:LONGEST_HEADER])
    return bool(words) and all(map(_qualifies, words)) and not all(map(_YEAR.fullmatch, words))


def _qualifies(word: str) -> bool:
    return word in _QUALIFIERS or _YEAR.fullmatch(word) is not None


def _without_qualifiers(text: str) -> str:
    return " ".join(word for word in words_of(text) if not _qualifies(word))


def is_any_pressure(text: str) -> bool:
    """Whether a header says that it is a pressure, and nothing of which one.

    >>> is_any_pressure("Pressure (2019)"), is_any_pressure("P / bar"), is_any_pressure("P time")
    (True, True, False)
    """
    text = text[:LONGEST_HEADER]
    names = [(_BRACKETS.sub(" ", text), ""), *split_unit(text)]
    for name, unit in names:
        words = [word for word in words_of(name) if not _qualifies(word)]
        named = set(words) & _PRESSURE_WORDS and (words != ["p"] or unit)
        if named and set(words) <= DROPPED and units_kind(unit) in (None, "pressure"):
            return True
    return units_kind(text) == "pressure"


def split_unit(text: str) -> Iterable[tuple[str, str]]:
    """The ways to take what may be a unit out of a header: in brackets, or its last word."""
    for match in _BRACKETS.finditer(text):
        inside = re.sub(r"^in\s+", "", match[1].strip())
        if inside:
            yield text[: match.start()] + " " + text[match.end() :], inside
    words = text.replace("_", " ").rstrip(" .:").rsplit(maxsplit=2)
    if len(words) == 3 and units_kind(" ".join(words[1:])):  # "bar gauge"
        yield re.sub(r"(\s+in|\s*[,;:/-])\s*$", "", words[0]), " ".join(words[1:])
    words = text.replace("_", " ").rstrip(" .:").rsplit(maxsplit=1)
    if len(words) == 2 and units_kind(words[1]):
        yield re.sub(r"(\s+in|\s*[,;:/-])\s*$", "", words[0]), words[1]


def may_be_unit(spelling: str) -> bool:
    """Whether a text is a unit, or one that is to be asked, as mPa, mbar and "bar/psi".

    >>> may_be_unit("mPa"), may_be_unit("bar or psi"), may_be_unit("bar, old"), may_be_unit("wash")
    (True, True, False, False)
    """
    folded = " ".join(normalize("NFKC", spelling).casefold().split())
    if units_kind(spelling) is not None or folded in _NOT_TAKEN or folded in _FOLDED:
        return True
    try:
        find_unit(spelling, _UNIT_KINDS["pressure"])
    except RefusedUnit:
        return True
    except LimitcheckError:
        pieces = re.split(r"\s*[/,;|&]\s*|\s+(?:or|and)\s+", spelling)
        return len(pieces) > 1 and all(piece and may_be_unit(piece) for piece in pieces)
    return True


_FOLDED = frozenset(unit.casefold() for quantity in QUANTITIES for unit in quantity.UNITS)


def _paths(text: str, sheet: SheetKind | None) -> tuple[str, ...]:
    signs = signs_of(text)
    if not signs:
        return ()
    paths = tuple(
        key.path
        for key in KEYS.values()
        if signs in key.names or (sheet is not None and signs in key.in_sheet.get(sheet, ()))
    )
    if sheet is None:
        return paths
    given = tuple(path for path in paths if can_give(sheet, path))
    own = tuple(path for path in given if path.startswith("column.") == (sheet == "columns"))
    return given or paths if sheet == "methods" else own or given or paths


@lru_cache(maxsize=1024)
def units_kind(spelling: str) -> str | None:
    """The kind of quantity of a unit as spelled; None where it is none that is taken."""
    for name, kind in _UNIT_KINDS.items():
        try:
            find_unit(spelling, kind)
        except LimitcheckError:
            continue
        return name
    return None


def known_words(cells: Iterable[str]) -> int:
    """How many cells of a row are headers."""
    return sum(1 for cell in cells if cell and any(header_of(cell, kind).paths for kind in _KINDS))


_KINDS: tuple[SheetKind, ...] = ("methods", "instruments", "columns")

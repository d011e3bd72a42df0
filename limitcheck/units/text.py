"""Quantities as people write them: the number and the unit of a text, or a refusal that helps.

What a text can only mean is taken: a decimal comma, thousands in groups of three, another
spelling of the same unit. What it may mean in two ways is asked. A refusal never names a unit of
another size as what was meant.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from typing import ClassVar, Protocol
from unicodedata import normalize

from ..errors import cut
from .numbers import UnitError, exact
from .program_numbers import of_programs
from .tables import KINDS, PRESSURE_UNITS, Unit

# A number, then a unit; a separator before more digits would be part of the number.
_QUANTITY = re.compile(
    r"([+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)\s*(?![,.'’_\s]*[0-9])(\D.*)?",
    re.DOTALL,
)
_SPACES = "\u00a0\u2007\u2009\u200a\u202f"
_GROUPED = re.compile(
    r"(?P<sign>[+-]?)(?:"
    r"(?P<decimal>[0-9]*,[0-9]+)"
    r"|(?P<comma>[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]+)?)"
    r"|(?P<point>[1-9][0-9]{0,2}(?:\.[0-9]{3})+(?:,[0-9]+)?)"
    rf"|(?P<other>[1-9][0-9]{{0,2}}(?P<by>['’{_SPACES}])[0-9]{{3}}"
    r"(?:(?P=by)[0-9]{3})*(?:[.,][0-9]+)?)"
    rf")(?P<exponent>(?:[eE][+-]?[0-9]+)?)(?P<rest>(?![,.'’_\s]*[0-9])[^0-9].*)?",
    re.DOTALL,
)
"""A number with separators; the first form that fits to the end of the number is tried."""
_NUMBER = r"[+-]?[0-9][0-9.,]*"
_SECOND_NUMBER = re.compile(r"(?:[-–—‐‑~…/;|±+&,]|\.\.+|(?:to|and|or|bis|until)\b)\s*[+-]?[0-9]")
_POWER = re.compile(r"[x×*·]\s*10")
_ABOUT = re.compile(
    r"(?:[≈~∼≃≅<>≤≥=±]+|(?:ca|c|approx|about|circa|max|min)\b\.?:?)\s*(?=[0-9.,])", re.IGNORECASE
)
_UNIT_FIRST = re.compile(rf"([^\W\d_][^\s\d:=]*)\s*[:=]?\s*({_NUMBER})")
_LIKE_ASCII = str.maketrans(
    {code: code - 0xFEE0 for code in range(0xFF01, 0xFF5F)}
    | {0x2212: "-", 0xFE63: "-", 0x3000: " "}
    | {ord(dash): "-" for dash in "‐‑"}
)
"""Full-width characters, and signs that are drawn as a minus, as they are typed."""
_MARKED = re.compile(
    r"(?P<unit>.*?[^\s(\[])\s*[(\[]?\s*(?:(?P<gauge>g|gauge|gage|ü|rel\.?|relative)|(?:a|abs\.?|absolute))\s*[)\]]?",
    re.IGNORECASE,
)
_LONGEST_NUMBER = 50
_LONGEST_TEXT = 300
HIGHEST_SHOWN = Fraction(2 * 10**8)
"""No instrument shows more, in pascal: 2000 bar (common practice, no source)."""
_CONVERTED = frozenset(
    ("Pa", "hPa", "mbar", "dbar", "kbar", "GPa", "ksi", "kpsi", "atm", "torr", "mmHg", "inHg",
     "cmH2O", "inH2O", "N/m2", "N/cm2", "kN/m2", "kN/cm2", "MN/m2", "kgf/m2", "lbf/ft2", "dyn/cm2")
)  # fmt: skip
"""Units of known size that instruments do not show; `limitcheck convert` reads them."""


class Kind(Protocol):
    """What is needed of a kind of quantity to read one."""

    KIND: ClassVar[str]
    UNITS: ClassVar[Mapping[str, Unit]]
    EXAMPLE: ClassVar[str]


class RefusedUnit(UnitError):
    """A unit that is known and not taken, because it is too easily mistaken."""


def split_quantity(text: str, kind: type[Kind], unit: str = "") -> tuple[str, str]:
    """The number, as Python writes it, and the unit as spelled; `unit` that of a bare number.

    Raises UnitError, which says what to write.

    >>> from limitcheck.units import Pressure
    >>> split_quantity("0,4 MPa", Pressure), split_quantity("280", Pressure, "bar")
    (('0.4', 'MPa'), ('280', 'bar'))
    """
    bare = text.strip()
    if len(bare) > _LONGEST_TEXT:
        raise UnitError(f"a text of {len(bare):,} characters", f'write as in "{kind.EXAMPLE}"')
    match = _QUANTITY.fullmatch(bare)
    if match is not None:
        number, spelling = match[1], match[2]
    else:
        number, spelling = _separated(bare, kind)
    if len(number) > _LONGEST_NUMBER:
        raise UnitError(f"a number of {len(number)} characters", f'write as in "{kind.EXAMPLE}"')
    spelling = (spelling or unit).strip()
    if not spelling:
        raise UnitError(
            f'"{bare}" has no unit', f'write the {kind.KIND} with its unit, as in "{kind.EXAMPLE}"'
        )
    if spelling not in kind.UNITS:
        _refuse_odd(bare, spelling, kind)
    if number.startswith("-") and kind.KIND != "temperature":
        raise UnitError(f'"{bare}" is negative', f"a {kind.KIND} here is zero or more")
    return number, spelling


def _refuse_odd(bare: str, spelling: str, kind: type[Kind]) -> None:
    """Raise UnitError where what follows a number is no unit, but more of a number."""
    refuse_program_number(bare, kind)
    if _POWER.match(spelling):
        raise UnitError(f'"{cut(bare, 40)}" has a power of ten', 'write it as in "1e5 Pa"')
    if spelling[0] in ",.;:'":
        raise _not_a_number(bare, kind)
    if _SECOND_NUMBER.match(spelling) or re.search(r"\s[+-]?[0-9]", spelling):
        raise UnitError(f'"{cut(bare, 40)}" is more than one number', "write the one that is meant")


def refuse_program_number(text: str, kind: type[Kind]) -> None:
    """Raise UnitError for a number as only programs write it, with a unit of the kind or bare."""

    def is_unit(spelling: str) -> bool:
        try:
            return bool(find_unit(spelling, kind))
        except UnitError:
            return False

    if (error := of_programs(cut(text.strip(), 40), is_unit)) is not None:
        raise error


def _separated(text: str, kind: type[Kind]) -> tuple[str, str | None]:
    """Number and unit of a text whose number has separators, or characters not of a keyboard."""
    usual = text.translate(_LIKE_ASCII)
    usual = re.sub(r"\A[–—](?=\s*[0-9])", "-", usual)
    match = _QUANTITY.fullmatch(usual)
    if match is not None:
        return match[1], match[2]
    found = _GROUPED.fullmatch(usual)
    if found is None:
        raise _not_a_number(usual, kind)
    number = found["decimal"] or found["comma"] or found["point"] or found["other"]
    rest, whole = found["rest"], number.partition(",")[0]
    if found["decimal"] is not None:
        if re.fullmatch(r"[0-9]{1,3},[0-9]{3}", number) and whole.strip("0"):
            raise _two_meanings(text, number, rest or "")
        number = number.replace(",", ".")
    elif found["comma"] is not None:
        number = number.replace(",", "")
    elif found["point"] is not None:
        number = number.replace(".", "").replace(",", ".")
    else:
        number = number.replace(found["by"], "").replace(",", ".")
    return f"{found['sign']}{number}{found['exponent']}", rest


def _two_meanings(text: str, number: str, unit: str) -> UnitError:
    """The question whether a separator stands between thousands or before decimals."""
    mark, name = (",", "comma") if "," in number else (".", "point")
    whole, decimals = number.split(mark)
    point = f"{whole}.{decimals}".rstrip("0").rstrip(".")
    if len(point) == len(number):
        point += "0"  # four decimals are never a group of thousands
    after = unit if not unit or unit[0].isspace() else f" {unit}"
    return UnitError(
        f'"{cut(text, 40)}" has a {name}: between thousands, or a decimal {name}?',
        f'write "{whole}{decimals}{after}" or "{point}{after}", whichever is meant',
    )


def ask_about_thousands(text: str, number: str, unit: str, factor: Fraction) -> None:
    """Raise UnitError where the point of a pressure as typed may stand between thousands.

    "5.800 psi" is 5800 psi in half of the world, and any instrument may show it; "413.685 bar"
    can't be, for none shows 413685 bar.
    """
    if re.fullmatch(r"\+?[1-9][0-9]{0,2}\.[0-9]{3}", number):
        together = exact(number.replace(".", "")) * factor
        if together <= HIGHEST_SHOWN:
            raise _two_meanings(text.strip(), number.lstrip("+"), unit)


def _not_a_number(text: str, kind: type[Kind]) -> UnitError:
    seen, example = cut(text, 40), f'write as in "{kind.EXAMPLE}"'
    if not text:
        return UnitError(f"nothing is given where a {kind.KIND} belongs", example)
    if re.match(r"[+-]?\s*(nan|inf)", text, re.IGNORECASE):
        return UnitError(f'"{seen}" is not a number that can be set', "write a finite number")
    if about := _ABOUT.match(text):
        rest = cut(text[about.end() :], 40)
        return UnitError(f'"{seen}" is no single number', f'write the number meant: "{rest}"')
    if re.match(rf"{_NUMBER}\s*(?:[-–—]|\.\.|…)\s*[0-9]", text):
        return UnitError(f'"{seen}" is more than one number', "write the one that is meant")
    if re.match(r"[+-]?[0-9]+([',.’_\s][0-9]+)+", text):
        spaces = re.match(r"[+-]?[0-9]+\s+[0-9]", text)
        what = "a space inside the number, or is two" if spaces else "a separator inside the number"
        return UnitError(
            f'"{seen}" has {what}', "write one number, its digits together, a point before decimals"
        )
    if (first := _UNIT_FIRST.fullmatch(text)) and _named(first[1], kind.UNITS):
        return UnitError(f'"{seen}" has its unit first', f'write "{first[2]} {first[1]}"')
    return UnitError(f'"{seen}" is not a {kind.KIND}', example)


def find_unit(spelling: str, kind: type[Kind], number: str = "NUMBER") -> str:
    """The table's name for a unit as people spell it; raises UnitError with the near match.

    `number` is what stands before it, for what to type instead.

    >>> from limitcheck.units import Pressure
    >>> find_unit("PSIG", Pressure), find_unit("N/mm²", Pressure), find_unit("bar rel.", Pressure)
    ('psi', 'MPa', 'bar')
    """
    if spelling in kind.UNITS:
        return spelling
    found = _named(spelling, kind.UNITS) or _named(_usual(spelling), kind.UNITS)
    found = found or _named(_usual(spelling).rstrip("."), kind.UNITS)  # an abbreviation's point
    if found is None and kind.KIND == "pressure":
        found = _pressure(_usual(spelling).rstrip("."), number)
    if found is not None:
        return found
    for other, units in KINDS.items():
        if _named(spelling, units):
            raise UnitError(
                f'"{spelling}" is a unit of {other}, not of {kind.KIND}',
                f'write the {kind.KIND} as in "{kind.EXAMPLE}"',
            )
    raise UnitError(
        f'"{cut(spelling, 40)}" is not a known unit of {kind.KIND}',
        _near(_usual(spelling), kind, number),
    )


def how_read(text: str, number: str, spelling: str, unit: str) -> str:
    """What was made of a pressure as typed, for people; empty where it was read as written.

    >>> how_read("0,4 N/mm2", "0.4", "N/mm2", "MPa")
    '"0,4 N/mm2" is read as 0.4 MPa.'
    >>> how_read("280 barg", "280", "barg", "bar")
    'barg is gauge pressure, which instruments show.'
    """
    marked = _MARKED.fullmatch(_usual(spelling))
    base = marked["unit"] if marked is not None and marked["gauge"] else ""
    # The g of mmHg is part of its name: a mark stands behind a unit of the table.
    gauge = bool(base) and (_named(base, PRESSURE_UNITS) or _in_any_case(base)) == unit
    said = f"{spelling} is gauge pressure, which instruments show." if gauge else ""
    written = "".join(text.split()).casefold()
    if written in (f"{number}{unit}".casefold(), f"{number}{spelling}".casefold() if gauge else ""):
        return said
    return f'"{text.strip()}" is read as {number} {unit}. {said}'.strip()


def _usual(spelling: str) -> str:
    """A unit without raised digits, full-width letters and powers written out."""
    folded = normalize("NFKC", spelling.strip())
    return re.sub(r"\s+", " ", folded.replace("**", "").replace("^", "")).replace(" /", "/")


def _named(spelling: str, units: Mapping[str, Unit]) -> str | None:
    return next(
        (u.name for u in units.values() if spelling == u.name or spelling in u.spellings), None
    )


def _pressure(spelling: str, number: str) -> str | None:
    """The name of a pressure unit in any case; mega and milli differ by case, so MPa is exact."""
    found = _named(spelling, PRESSURE_UNITS) or _in_any_case(spelling)
    if found is not None:
        return found
    marked = _MARKED.fullmatch(spelling)
    base = "" if marked is None else marked["unit"]
    for text in (spelling, base):
        if text.casefold() == "mpa" and text != "MPa":
            means = "is millipascal" if text == "mPa" else "is neither megapascal nor millipascal"
            written = "MPa" if number == "NUMBER" else f'MPa, as in "{number} MPa"'
            raise RefusedUnit(f'"{spelling}" {means}', f"megapascal is written {written}")
    if marked is None:
        return None
    named = _named(base, PRESSURE_UNITS) or _in_any_case(base)
    if named is not None and not marked["gauge"]:
        raise RefusedUnit(
            f'"{spelling}" is absolute pressure; instruments show gauge pressure',
            "write the gauge pressure, in psi, bar or MPa: it is less by the pressure of the air",
        )
    return named


_SAFE: Mapping[str, str] = {
    spelling.casefold(): unit.name
    for unit in PRESSURE_UNITS.values()
    for spelling in (unit.name, *unit.spellings)
    if spelling != "MPa"
}
"""By spelling without regard to case: those where case changes no meaning."""


def _in_any_case(spelling: str) -> str | None:
    return _SAFE.get(spelling.casefold())


def _near(spelling: str, kind: type[Kind], number: str) -> str:
    """What is known; a near match only where the spelling is no unit of another size."""
    from difflib import get_close_matches

    known = f"known here: {', '.join(kind.UNITS)}"
    if kind.KIND == "pressure" and spelling in _CONVERTED:
        return f'convert it first: limitcheck convert "{number} {spelling}" --to bar'
    # Another first letter is another prefix; to a compound unit of pressure nothing is near.
    folded = spelling.casefold()
    # Nor is anything near to pascal: "mPas" is a viscosity.
    near = (name for name in kind.UNITS if name[:2].casefold() == folded[:2] and "Pa" not in name)
    names = {name.casefold(): name for name in near}
    close = get_close_matches(folded, names, n=1, cutoff=0.75)
    if close and (spelling.isalpha() or kind.KIND == "flow"):
        return f"did you mean {names[close[0]]}? {known}"
    return known

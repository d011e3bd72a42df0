"""What the number format of a cell shows: `0" bar"` shows 250 as "250 bar".

A person who reads the cell sees that text, not the number stored. A format of which it is not sure
what it shows, as one with a condition, makes the number a doubtful one.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import ROUND_HALF_UP, Decimal
from typing import NamedTuple
from xml.etree import ElementTree

_SECTIONS = re.compile(r";(?=(?:[^\"]*\"[^\"]*\")*[^\"]*$)")
_TOKEN = re.compile(
    r"\"(?P<quoted>[^\"]*)\"|\\(?P<escaped>.)|[_*].|\[\$(?P<sign>[^\]-]*)[^\]]*\]"
    r"|\[(?P<bracket>[^\]]*)\]|(?P<number>General|[0#?](?:[0#?.,]*[0#?.])?)(?P<thousand>,*)"
    r"|(?P<bare>.)",
    re.IGNORECASE | re.DOTALL,
)
_BUILT_IN = {"1": "0", "2": "0.00", "3": "#,##0", "4": "#,##0.00"}
"""Formats that a workbook does not spell out, ECMA-376 part 1, 18.8.30."""
_OF_LETTERS = re.compile(r"[a-zµ%°]", re.IGNORECASE)


class Format(NamedTuple):
    """What a format writes before and after a number, and how it writes the number.

    `pattern` is empty where the number is shown as it is; `doubt` says why what is shown is not
    known.
    """

    before: str = ""
    after: str = ""
    pattern: str = ""
    doubt: str = ""

    @property
    def unit(self) -> str:
        """What is written after the number, where that has letters."""
        text = self.after.strip()
        return text if any(map(str.isalpha, text)) else ""

    def number(self, stored: str) -> str:
        """The digits that are shown of a number from 0 up.

        >>> Format(pattern="0").number("279.9956"), Format(pattern="000").number("7")
        ('280', '007')
        """
        if not self.pattern:
            return stored
        whole, _, decimals = self.pattern.replace(",", "").partition(".")
        step = Decimal(1).scaleb(-len(decimals))
        digits = f"{Decimal(stored).quantize(step, ROUND_HALF_UP):f}"
        shown, _, fraction = digits.partition(".")
        least = decimals.count("0")
        while len(fraction) > least and fraction.endswith("0"):
            fraction = fraction[:-1]
        return shown.zfill(whole.count("0")) + (f".{fraction}" if fraction else "")


def formats_of_styles(styles: ElementTree.Element) -> Mapping[int, Format]:
    """The format of each style of cells that shows more or less than the number."""
    codes = dict(_BUILT_IN)
    found: dict[int, Format] = {}
    for element in styles.iter():
        name = element.tag.rpartition("}")[2]
        if name == "numFmt":
            codes[element.get("numFmtId", "")] = element.get("formatCode", "")
        elif name == "cellXfs":
            for at, style in enumerate(element):
                shown = format_of(codes.get(style.get("numFmtId", ""), ""))
                if shown is not None:
                    found[at] = shown
    return found


def format_of(code: str) -> Format | None:
    r"""What a format shows of a number; None for dates, shares and the general format.

    >>> format_of('#,##0.0" bar";-0" bar"').unit, format_of(r'0\ \p\s\i').unit
    ('bar', 'psi')
    >>> format_of("yyyy-mm-dd"), format_of("General")
    (None, None)
    >>> bool(format_of('[>1000]0" psi";0" bar"').doubt)
    True
    """
    if not code or code.casefold() == "general":
        return None
    if not code.strip(" ;"):
        return Format(doubt="its number format shows nothing")
    sections = [_section(part) for part in _SECTIONS.split(code)]
    first = sections[0]
    if first is None:
        return None
    if _has_condition(code):
        shown = {part if part is None else (part.before, part.after) for part in sections}
        if len(shown) > 1 or first.doubt:
            return Format(doubt=f"its number format has a condition, {code}")
    return first


def _has_condition(code: str) -> bool:
    return re.search(r"\[[<>=]", code) is not None


def _section(code: str) -> Format | None:
    before, after, pattern, seen = "", "", "", False
    for match in _TOKEN.finditer(code):
        text = match["quoted"] or match["escaped"] or match["sign"] or ""
        if match["number"] is not None:
            if seen:
                return Format(doubt=f"its number format is {code}")
            seen = True
            pattern = "" if match["number"].casefold() == "general" else match["number"]
            if match["thousand"]:
                return Format(doubt=f"its number format shows thousands, {code}")
        elif (bare := match["bare"]) is not None:
            if _OF_LETTERS.match(bare) or bare == "/":
                return None  # a date, a share, a fraction or a power of ten
            text = bare
        if seen:
            after += text
        else:
            before += text
    if not seen:
        return Format(doubt=f"its number format shows no number, {code}") if code else None
    return Format(before, after, pattern)

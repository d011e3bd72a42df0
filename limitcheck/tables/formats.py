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
_BUILT_IN = {
    "1": "0", "2": "0.00", "3": "#,##0", "4": "#,##0.00", "9": "0%", "10": "0.00%",
    "11": "0.00E+00", "12": "# ?/?", "13": "# ??/??", "37": "#,##0", "38": "#,##0",
    "39": "#,##0.00", "40": "#,##0.00", "48": "##0.0E+0",
}  # fmt: skip
"""Formats that a workbook does not spell out, ECMA-376 part 1, 18.8.30."""
_OF_LETTERS = re.compile(r"[a-zµ°]", re.IGNORECASE)
_EXPONENT = re.compile(r"[#0]*0(?:\.(?P<decimals>0+))?E[+-]?0+", re.IGNORECASE)
_FRACTION = re.compile(r"#? ?[#?0]+/[#?0]+", re.IGNORECASE)


class Format(NamedTuple):
    """What a format writes before and after a number, and how it writes the number.

    `pattern` is empty where the number is shown as it is; `doubt` says why what is shown is not
    known.
    """

    before: str = ""
    after: str = ""
    pattern: str = ""
    doubt: str = ""
    hundredths: int = 0
    """How often % stands there, each of which shows a hundred times the number."""
    exponent: int | None = None
    """Of a power of ten: its decimals."""
    whole_only: bool = False
    """Whether any but whole numbers are shown as fractions."""
    zero: str | None = None
    """What is shown in place of zero, where that is no number."""

    @property
    def unit(self) -> str:
        """What is written after the number, where that has letters."""
        text = self.after.strip()
        return text if any(map(str.isalpha, text)) else ""

    def doubt_of(self, stored: str) -> str:
        """Why it is not known what is shown of a number; empty where it is."""
        number = Decimal(stored)
        if self.doubt:
            return self.doubt
        if self.before.strip(" +()"):
            return f'its number format writes "{self.before.strip()}" before it'
        if self.whole_only and number != number.to_integral_value():
            return "its number format shows a fraction"
        if number < 0 and self.hundredths:
            return "its number format shows a percentage below zero"
        empty = bool(self.pattern) and "0" not in self.pattern and "?" not in self.pattern
        if not number and (self.zero is not None or empty):
            return f'its number format shows "{self.zero or ""}" for zero'
        return ""

    def scaled(self, stored: str) -> Decimal:
        """The number that is shown, before it is rounded."""
        return Decimal(stored).scaleb(2 * self.hundredths)

    def number(self, stored: str) -> str:
        """The digits that are shown of a number from 0 up.

        >>> Format(pattern="0").number("279.9956"), Format(pattern="000").number("7")
        ('280', '007')
        >>> Format(pattern="0", hundredths=1).number("0.2")
        '20'
        """
        number = self.scaled(stored)
        if self.exponent is not None:
            return f"{Decimal(f'{number:.{self.exponent}E}'):f}"
        if not self.pattern:
            return f"{number:f}" if self.hundredths else stored
        whole, _, decimals = self.pattern.replace(",", "").partition(".")
        step = Decimal(1).scaleb(-len(decimals))
        digits = f"{number.quantize(step, ROUND_HALF_UP):f}"
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
    r"""What a format shows of a number; None where it is shown as it is stored.

    >>> format_of('#,##0.0" bar";-0" bar"').unit, format_of(r'0\ \p\s\i').unit
    ('bar', 'psi')
    >>> format_of("General"), format_of("0%").number("0.2")
    (None, '20')
    >>> bool(format_of('[>1000]0" psi";0" bar"').doubt), bool(format_of("yyyy-mm-dd").doubt)
    (True, True)
    """
    if not code or code.casefold() in ("general", "@"):
        return None
    if not code.strip(" ;"):
        return Format(doubt="its number format shows nothing")
    parts = _SECTIONS.split(code)
    sections = [_section(part) for part in parts]
    first = sections[0]
    if _has_condition(code):
        shown = {(part.before, part.after, part.hundredths) for part in sections}
        if len(shown) > 1 or first.doubt:
            return Format(doubt=f"its number format has a condition, {code}")
    elif len(sections) > 2 and sections[2].doubt:
        return first._replace(zero=re.sub(r"[\"\\]|[_*].|\[[^\]]*\]", "", parts[2]).strip())
    return first


def _has_condition(code: str) -> bool:
    return re.search(r"\[[<>=]", code) is not None


def _section(code: str) -> Format:
    """What one section of a format shows; with a `doubt` where that is no number."""
    plain = re.sub(r"\[[^\]]*\]|_.", "", code).strip()
    if (power := _EXPONENT.fullmatch(plain)) is not None:
        return Format(exponent=len(power["decimals"] or ""))
    if _FRACTION.fullmatch(plain):
        return Format(whole_only=True)
    before, after, pattern, seen, hundredths = "", "", "", False, 0
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
                return Format(doubt=f"its number format, {code}, is one of a date or a power")
            hundredths += bare == "%"
            text = bare
        if seen:
            after += text
        else:
            before += text
    if not seen:
        return Format(doubt=f"its number format shows no number, {code}")
    if hundredths:
        before = before.replace("%", "", hundredths)
    return Format(before, after, pattern, hundredths=hundredths)

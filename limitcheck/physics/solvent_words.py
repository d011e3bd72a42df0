"""The words of a solvent's text: names of solvents and solutes, and one way of writing them.

``plain`` turns the ways in which people write the same into the one that ``solvent_text`` reads.
It changes signs, units, names and order, and never adds a number or a solvent, but for the water of
"aqueous". A proportion with a hyphen stays as it is: "5-95" may be the range of a gradient.
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from functools import partial
from math import lcm

from .constants import SOLVENTS

OTHER_NAMES = {
    "h2o": "water", "acn": "acetonitrile", "mecn": "acetonitrile", "ch3cn": "acetonitrile",
    "meoh": "methanol", "ch3oh": "methanol", "methyl alcohol": "methanol",
    "etoh": "ethanol", "c2h5oh": "ethanol", "ethyl alcohol": "ethanol",
    "ipa": "2-propanol", "isopropanol": "2-propanol", "propan-2-ol": "2-propanol",
    "iso-propanol": "2-propanol", "isopropyl alcohol": "2-propanol",
    "2-proh": "2-propanol", "iproh": "2-propanol", "i-proh": "2-propanol", "thf": "tetrahydrofuran",
    "n-hexane": "hexane", "hexanes": "hexane", "n-heptane": "heptane",
    "ddh2o": "water", "dh2o": "water",
}  # fmt: skip
USUAL = frozenset({
    "phosphate", "acetate", "formate", "carbonate", "bicarbonate", "chloride", "sulfate",
    "perchlorate", "hydroxide", "azide", "ammonia", "phosphoric", "formic", "acetic",
    "trifluoroacetic", "perchloric", "sulfuric", "hydrochloric", "methanesulfonic",
})  # fmt: skip
LARGE = frozenset({
    "citrate", "citric", "borate", "boric", "tris", "hepes", "mops", "mes", "triethylamine",
    "triethylammonium", "diethylamine", "tetrabutylammonium", "pentanesulfonate",
    "hexanesulfonate", "heptanesulfonate", "octanesulfonate", "pentanesulfonic", "hexanesulfonic",
    "heptanesulfonic", "octanesulfonic", "heptafluorobutyric",
})  # fmt: skip
BESIDE = frozenset({
    "sodium", "potassium", "ammonium", "lithium", "monobasic", "dibasic", "hydrogen",
    "dihydrogen", "acid", "hydrochloride", "buffer", "buffered", "aqueous", "solution", "anhydrous",
})  # fmt: skip

NUMBER = r"\d+(?:\.\d+)?"
PARTS = rf"{NUMBER}(?:\s*[:/+]\s*{NUMBER})+"
SIDE = "&"
"""Between one solvent of several and what is dissolved in it alone."""
NAMES = sorted({*OTHER_NAMES, *SOLVENTS}, key=len, reverse=True)
"""Of solvents, the longest first; none has a sign of a regular expression."""
_NAMED = re.compile(rf"(?<![a-z0-9])(?<!\b[a-z]-)(?<!\b\d-)({'|'.join(NAMES)})(?![a-z0-9])")
_NAME = "<[^>]+>"  # as marked in ``plain``
_LISTED = rf"{_NAME}(?:(?:\s*[,/:;+-]\s*|\s+)(?:and\b\s*)?{_NAME})+"
_VOLUMES = {"parts": 1, "part": 1, "ml": 1, "l": 1000}
_OF_VOLUME = rf"({NUMBER}) ?(parts?|ml|l) (?:of )?({_NAME})"
_BY_VOLUME = re.compile(rf"{_OF_VOLUME}(?:\s*(?:[,/:;+]|\band\b)\s*(?:\band\b\s*)?{_OF_VOLUME})+")
_IN_UNITS = {"mg": ("0.001", "g/l"), "g": ("1", "g/l"), "mmol": ("1", "mm"), "mol": ("1", "m")}
_WEIGHED = rf"(?P<number>{NUMBER}) ?(?P<unit>mg|g|mmol|mol) (?:of )?(?P<name>[a-z][a-z0-9 -]*?)"
_LITRES = rf"(?P<volume>{NUMBER}) ?(?P<of>ml|l) (?:of )?"
_IN_A_VOLUME = (
    (re.compile(rf"{_WEIGHED} (?:in|to|per) {_LITRES}(?=<)"), "{} in "),
    (re.compile(rf"^{_LITRES}(?P<in>{_NAME})\s*(?:\+|with|and) {_WEIGHED}$"), "{} in {in}"),
)
_PERCENTS = rf"{NUMBER} ?%(?:\s*[:/]\s*{NUMBER} ?%)+"
_EACH_PERCENT = tuple(re.compile(seen) for seen in (
    rf"(?P<names>{_LISTED})\s*,?\s*(?P<open>\()?\s*(?P<parts>{_PERCENTS})(?(open)\s*\))"
    r"(?=\s*(?:$|[,;+]|with\b|containing\b))",
    rf"^\(?\s*(?P<parts>{_PERCENTS})\s*\)?\s+(?P<names>{_LISTED})",
))  # fmt: skip
SIGNS = str.maketrans("∕⁄∶：％₀₁₂₃₄₅₆₇₈₉‐‑‒–—−·=μ", "//::%0123456789------  µ")
_SPELLING = tuple((re.compile(seen), put) for seen, put in (
    # units
    (r"\bper ?cent\b|\b(?:vol|volume|wt)[.\s-]*%|% ?(?:vol|wt)\b\.?", "%"),
    (r"\bmmol(?:/l| l ?-1|/dm3| dm ?-3)(?![a-z0-9])", "mm"),
    (r"[uµ]mol(?:/l| l ?-1|/dm3| dm ?-3)(?![a-z0-9])|µm\b", "um"),
    (r"\bmol(?:/l| l ?-1|/dm3| dm ?-3)(?![a-z0-9])", "m"),
    (r"\b(?:mg/ml|g l ?-1|g/dm3)(?![a-z0-9])", "g/l"),
    (r"%(?=[a-z0-9])", "% "),
    (rf"(?<![\w.])({NUMBER})(?=(?:mm|m|um|g/l) )", r"\1 "),
    # formulas and names with brackets, signs and numbers in them
    (r"\(nh4\)2so4", "ammonium sulfate"),
    (r"\(nh4\)2hpo4", "ammonium hydrogen phosphate"),
    (r"\btris[-/ ]*hcl\b", "tris hydrochloride"),
    (r"\b(?:k2hpo4 ?/ ?kh2po4|kh2po4 ?/ ?k2hpo4)\b", "potassium phosphate"),
    (r"\b(?:na2hpo4 ?/ ?nah2po4|nah2po4 ?/ ?na2hpo4)\b", "sodium phosphate"),
    (r"\b(?:ortho|o-)-?(?=phosph)", ""),
    (r"\bsulph(?=[auo])", "sulf"),
    (r"\b(?:1-)?(pent|hex|hept|oct)ane[- ]?(?:1-)?sul(?:f|ph)on", r"\1anesulfon"),
    (r"\bphosphates\b", "phosphate"),
    (r"\b(dihydrogen|hydrogen)(?=phosphate|carbonate)", r"\1 "),
    (r"\bhydrogen carbonate\b", "bicarbonate"),
    # kinds of the same solvent
    (r"[(,]?\s*\b(?:(?:u?hplc|lc-?ms|lc/ms|lc|ms|gradient|analytical)[- ])+grade\b\s*\)?", " "),
    (r"\b(?:hplc|double[- ]distilled|bidistilled|distilled|ultra-?pure|purified|di|de-?ioni[sz]ed"
     r"|de-?minerali[sz]ed) (?=water\b|h2o\b)", ""),
    (r"\bwater for chromatography\b|\bwater, purified\b", "water"),
    # words
    (r"\baq\.?(?![a-z])", "aqueous"),
    (r"\bw/(?= )|\b(?:acidified|modified|mixed) with\b", "with"),
    (r"&", " and "),
    (r"^(?:an? )?mixture of ", ""),
    (r"\b(?:in (?:the|a) )?(?:ratio|proportions?)(?: of)?\b", " "),
    (r"\bv\s*[/:+]\s*v(?:\s*[/:+]\s*v)*\b|\bvv\b|\bvol(?:/vol)+\b|\bby vol(?:ume)?\b", " "),
    (r"\(\s*[,;]?\s*\)", " "),
    (r",\s*\)", ")"),
))  # fmt: skip
_BEFORE, _BEHIND = r"(?:^|(?<=\bin ))", r"(?=$|\s*[,;+]| with | containing )"
_WITHOUT_WATER = tuple((re.compile(seen), put) for seen, put in (
    (rf"\b(?:absolute|anhydrous|dry) (?!<water>)(?={_NAME})", ""),
    (
        rf"(?!<water>)({_NAME}),? ?\(?(?:absolute|anhydrous|dry)\)?"
        r"(?=\s*(?:$|[,;/:+)\d-]|(?:and|with|in|containing)\b))",
        r"\1",
    ),
))  # fmt: skip
_ORDER = tuple((re.compile(seen), put) for seen, put in (
    # water that is meant
    (rf"({NUMBER}) ?% aqueous ({_NAME})", r"\1 % \2 in <water>"),
    (rf"\baqueous ({NUMBER}) ?% ({_NAME})", r"\1 % \2 in <water>"),
    (rf"\baqueous ({_NAME}),? ?\(?({NUMBER}) ?%\)?", r"\2 % \1 in <water>"),
    (rf"({_NAME}),? aqueous,? \(?({NUMBER}) ?%\)?", r"\2 % \1 in <water>"),
    # solvents side by side, each with its share
    (rf"({NUMBER} ?% {_NAME}) (?={NUMBER} ?% {_NAME})", r"\1, "),
    (rf"({_NAME} {NUMBER} ?%) (?={_NAME} {NUMBER} ?%)", r"\1, "),
    (rf"({_NAME})\s*[,(]\s*({NUMBER} ?%)\)?(?=\s*(?:$|[,;+]|in |with ))", r"\1 \2"),
    (rf"{_BEFORE}({_NAME}) ({NUMBER})\s*[/:]\s*({_NAME}) ({NUMBER}){_BEHIND}", r"\1/\3 \2:\4"),
    (rf"{_BEFORE}({NUMBER}) ({_NAME})\s*[/:]\s*({NUMBER}) ({_NAME}){_BEHIND}", r"\2/\4 \1:\3"),
    # a hyphen between solvents
    (rf"({_NAME}\)?)-(?=[\w<])|\)-(?=[\w<])", r"\1/"),
    (rf"\s-(?={_NAME})", " - "),
    # what is dissolved in one of several
    (
        rf"([/:]\s*)({NUMBER} ?% [^/:+,&]*?) in ({_NAME})(?=\s*\(?{PARTS}\)?$)",
        rf"\1\3 {SIDE} \2",
    ),
    (rf"^({NUMBER} ?% [^/:+,&]*?) in ({_NAME})(?=\s*[/:]\s*{_NAME} {SIDE} )", rf"\2 {SIDE} \1"),
    (
        rf"\(\s*({NUMBER} ?(?:%|mm|um|m|g/l)\s+[a-z][^()]*?|[^()]*? {NUMBER} ?(?:%|mm|um|m))"
        r"\s*\)(?=\s*[/:]|\s-)",
        rf" {SIDE} \1",
    ),
    (rf"(?<=[a-z0-9>])\s*\(\s*({NUMBER} ?% [^()]*?)\s*\)(?=\s*\(?{PARTS}$)", rf" {SIDE} \1"),
))  # fmt: skip
_PROPORTIONED = tuple(re.compile(seen) for seen in (
    rf"(?P<names>{_LISTED})\s*,?\s*(?P<open>\()?\s*(?P<parts>{PARTS})"
    r"(?![\d.]| ?%| ?(?:mm|um|m)\b)(?(open)(?:\s*\))?)",
    rf"^\(?\s*(?P<parts>{PARTS})\s*\)?\s+(?P<names>{_LISTED})",
))  # fmt: skip
_TWO_SALTS = re.compile(rf"\s*/\s*(?={NUMBER} ?(?:mm|um|m) )")


def solvent(text: str) -> str | None:
    """The usual name of a pure solvent [-] in small letters; None for any other text.

    >>> solvent("mecn"), solvent("phosphate")
    ('acetonitrile', None)
    """
    name = OTHER_NAMES.get(text, text)
    return name if name in SOLVENTS else None


def plain(folded: str) -> str:
    """A text [-] in small letters in the one way of writing that is read.

    >>> plain("water-acetonitrile (95/5, v/v)"), plain("950 ml of water and 50 ml acetonitrile")
    ('water/acetonitrile 95:5', 'water/acetonitrile 950:50')
    >>> plain("80 % aq. methanol")
    '80 % methanol in water'
    """
    if "<" in folded or ">" in folded:
        return folded
    text = " ".join(folded.translate(SIGNS).split())
    for seen, put in _SPELLING:
        text = seen.sub(put, text)
    text = _NAMED.sub(r"<\1>", " ".join(text.split()))
    for seen, put in _WITHOUT_WATER:
        text = seen.sub(put, text)
    text = _BY_VOLUME.sub(_volumes, text)
    for pattern, put in _IN_A_VOLUME:
        text = pattern.sub(partial(_concentration, put), text)
    for pattern in _EACH_PERCENT:
        text = pattern.sub(_shares, text)
    for pattern in _PROPORTIONED:
        text = pattern.sub(_proportions, text)
    for seen, put in _ORDER:
        text = seen.sub(put, text)
    if "<" not in text:
        text = _TWO_SALTS.sub(" + ", text)
    text = text.replace("<", "").replace(">", "")
    return " ".join(text.split()).strip(" ,;.")


def _proportions(found: re.Match[str]) -> str:
    """Names and their proportion, with one sign between names and one between numbers."""
    names, parts = re.findall(_NAME, found["names"]), re.findall(NUMBER, found["parts"])
    return f"{'/'.join(names)} {':'.join(parts)}"


def _shares(found: re.Match[str]) -> str:
    """Names and a per cent of each, side by side; left as it is where one has none."""
    names, parts = re.findall(_NAME, found["names"]), re.findall(NUMBER, found["parts"])
    if len(names) != len(parts):
        return found[0]
    return ", ".join(f"{part} % {name}" for part, name in zip(parts, names, strict=True))


def _concentration(put: str, found: re.Match[str]) -> str:
    """What is weighed into a volume as its concentration; left as it is where that is zero."""
    volume = Decimal(found["volume"]) * (1 if found["of"] == "l" else Decimal("0.001"))
    if not volume:
        return found[0]
    factor, unit = _IN_UNITS[found["unit"]]
    number = round(Decimal(found["number"]) * Decimal(factor) / volume, 9)
    dissolved = f"{number.normalize():f} {unit} {found['name']}"
    return put.format(dissolved, **found.groupdict())


def _volumes(found: re.Match[str]) -> str:
    """Volumes of solvents as their proportion."""
    each = re.findall(_OF_VOLUME, found[0])
    parts = [Fraction(number) * _VOLUMES[unit] for number, unit, _ in each]
    whole = lcm(*(part.denominator for part in parts))
    return f"{'/'.join(name for *_, name in each)} {':'.join(str(whole * p) for p in parts)}"

"""The text of a solvent: water or organic solvents, several premixed, and what is dissolved in it.

Understood are a solvent ("acetonitrile"), several premixed ("water/acetonitrile 95:5"), either with
what is dissolved ("0.1 % formic acid in water"), and a buffer, which is aqueous ("20 mM phosphate,
pH 2.5"). A text that is not understood whole is refused: nothing is guessed.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from .constants import SOLVENTS
from .liquid import CannotPredict, Liquid, Solute, mixed, together
from .salts import PER_MOLAR, PER_MOLAR_LARGE, PER_PERCENT, full_name, moved

HIGHEST_PH = 14.0
MOST_MOLAR, MOST_PERCENT = 0.5, 5.0

_OTHER_NAMES = {
    "h2o": "water", "purified water": "water", "ultrapure water": "water",
    "acn": "acetonitrile", "mecn": "acetonitrile", "meoh": "methanol", "etoh": "ethanol",
    "ipa": "2-propanol", "isopropanol": "2-propanol", "propan-2-ol": "2-propanol",
    "thf": "tetrahydrofuran", "n-hexane": "hexane", "n-heptane": "heptane",
    "methyl alcohol": "methanol", "ethyl alcohol": "ethanol",
    "isopropyl alcohol": "2-propanol", "2-proh": "2-propanol", "iproh": "2-propanol",
    "hexanes": "hexane", "deionized water": "water", "deionised water": "water",
}  # fmt: skip
_USUAL = frozenset({
    "naoh", "koh", "naoac", "nh4oac", "ch3coonh4", "hcoonh4", "phosphate", "phosphates",
    "dihydrogenphosphate", "hydrogenphosphate", "acetate", "formate", "carbonate",
    "bicarbonate", "hydrogencarbonate", "fa", "chloride", "sulfate", "sulphate", "perchlorate",
    "hydroxide", "ammonia", "phosphoric", "formic", "acetic", "trifluoroacetic", "tfa",
    "perchloric", "sulfuric", "sulphuric", "hydrochloric", "kh2po4", "k2hpo4", "nah2po4",
    "na2hpo4", "h3po4", "hcooh", "nh4hco3", "nacl", "kcl", "naclo4",
})  # fmt: skip
_LARGE = frozenset({
    "citrate", "citric", "borate", "boric", "tris", "hepes", "mops", "triethylamine",
    "triethylammonium", "diethylamine", "tetrabutylammonium", "pentanesulfonate",
    "hexanesulfonate", "heptanesulfonate", "octanesulfonate", "heptafluorobutyric",
})  # fmt: skip
_BESIDE = frozenset({
    "sodium", "potassium", "ammonium", "lithium", "monosodium", "disodium", "monopotassium",
    "dipotassium", "monobasic", "dibasic", "hydrogen", "dihydrogen", "acid", "buffer",
    "buffered", "aqueous", "solution", "anhydrous",
})  # fmt: skip
_HYDRATE = re.compile(r"(?:hemi|mono|di|tri|tetra|penta|hexa|hepta|octa|nona|deca|dodeca)?hydrate")
_DIGIT = re.compile(r"\d")
_COMMA = re.compile(r"\d+,\d+")
_SIGNS = str.maketrans("∕⁄∶：％", "//::%")
_COMPRESSED = re.compile(
    r"\bsc-?\s?co[2₂]|(?<![a-z0-9])co[2₂](?![a-z0-9])|\bcarbon dioxide\b"
    r"|\b(?:super|sub|near)-?\s?critical\b|\bsf[ce]\b"
)
_UNITS = {"mmol/l": "mm", "mol/l": "m", "µmol/l": "um", "μmol/l": "um", "umol/l": "um", "μm": "um"}
_MOLAR = {"m": 1.0, "mm": 1e-3, "um": 1e-6}
_NUMBER = r"\d+(?:\.\d+)?"
_AMOUNT = re.compile(rf"(?:^|\s)({_NUMBER}) ?(%|mm|um|m|g/l)(?=\s|$)")
_PH = re.compile(
    rf",?\s*(?:\badjusted\s+)?(?:\bto\s+)?\bph\s*=?\s*(?P<ph>{_NUMBER})"
    r"(?:\s*,?\s*(?:adjusted\s+)?(?:with|by|using)\s+(?P<by>[a-z][a-z0-9 ]*?)(?=$|[,/+;]|\s+in\s))?"
)
_ASIDE = re.compile(r"\b[vwm]/[vwm]\b|\bvol/vol\b|[()\[\]]")
_BY_MASS = re.compile(r"\b[wm]/[wm]\b|\bby (?:mass|weight)\b")
_IN_BRACKETS = re.compile(rf"[(\[]\s*({_NUMBER} ?(?:%|mm|um|m)\s)")
_BETWEEN = re.compile(r"(\s*[+;]\s*|,\s+|\s+(?:with|containing|in|and|plus)\s+)")
_NAMES = r"(?P<names>[^/:]+?(?:\s*(?:/|:| - | – )\s*[^/:]+?)+)"
_PARTS = rf"(?P<parts>{_NUMBER}(?:\s*[:/]\s*{_NUMBER})+)"
_PREMIXED = (re.compile(rf"^{_NAMES}\s+{_PARTS}$"), re.compile(rf"^{_PARTS}\s+{_NAMES}$"))
_SEPARATOR = re.compile(r"\s*[/:]\s*| [-–] ")
_WHOLE = re.compile(r"^100 ?% (?=\D)|(?<=\D) 100 ?%$")
_SHARE = re.compile(rf"^({_NUMBER}) ?% (.+)$")


_WATER = Liquid((("water", 1.0),))


class NotUnderstood(Exception):
    """Why the text of a solvent is refused; as text."""


class _Part(NamedTuple):
    """One part of a solvent's text: a solvent, with its share [-] where given, or a solute."""

    liquid: Liquid | None = None
    share: float | None = None
    solute: Solute | None = None
    aqueous: bool = False
    buffer: bool = False


def pure_solvent(text: str | None) -> str | None:
    """The usual name of a pure solvent [-]; None for any other text, as of a buffer or a mixture.

    >>> pure_solvent("MeCN"), pure_solvent("0.1 % formic acid in water")
    ('acetonitrile', None)
    """
    return _solvent(" ".join(text.split()).casefold()) if text is not None else None


def compressed(folded: str) -> bool:
    """Whether a text in small letters names a compressed gas [-]: carbon dioxide, supercritical.

    >>> compressed("sc-co2"), compressed("methanol/co2 5:95"), compressed("20 mm nahco3")
    (True, True, False)
    """
    return _COMPRESSED.search(folded) is not None


def understood(folded: str) -> Liquid:
    """The liquid [-] that a text in small letters means; raises NotUnderstood.

    >>> understood("water/acetonitrile 75:25")
    Liquid(solvents=(('acetonitrile', 0.25), ('water', 0.75)), solutes=())
    """
    if comma := _COMMA.search(folded):
        raise NotUnderstood(f'"{comma[0]}": write a decimal point, {comma[0].replace(",", ".")}')
    folded = folded.translate(_SIGNS)
    for long, short in _UNITS.items():
        folded = folded.replace(long, short)
    by_mass = _BY_MASS.search(folded) is not None
    text = _ASIDE.sub(" ", _IN_BRACKETS.sub(r"+ \1", folded))
    adjusted = [found["by"] for found in _PH.finditer(text)]
    for found in _PH.finditer(text):
        if float(found["ph"]) > HIGHEST_PH:
            raise NotUnderstood(f"pH {found['ph']} is over {HIGHEST_PH:g}")
    text = " ".join(_PH.sub(" ", text).split()).strip(" ,;")
    pieces = _BETWEEN.split(text)
    parts = [_part(piece) for piece in pieces[::2]] if text else []
    base = _base(parts)
    if by_mass and len(base.solvents) > 1:
        raise NotUnderstood("its solvents are by mass: give them by volume before mixing")
    if base.solvents != _WATER.solvents:
        _dissolved_alone(parts, [word.strip() for word in pieces[1::2]])
    widths = [*base.solutes, *(part.solute for part in parts if part.solute is not None)]
    if adjusted and not widths:
        raise NotUnderstood("it gives a pH, but not what is dissolved and how much")
    for by in filter(None, adjusted):  # of about the same amount
        if unknown := _unknown(by.split()):
            raise NotUnderstood(f'"{unknown}" is not known')
        more = PER_MOLAR_LARGE / PER_MOLAR if _LARGE & set(by.split()) else 1.0
        total = more * sum(solute.half_width for solute in widths)
        widths.append(Solute(f"{by} for the pH", total, 0.0, total))
    if sum(solute.half_width for solute in widths) > PER_MOLAR * MOST_MOLAR:
        raise NotUnderstood(
            f"more is dissolved than is covered: {MOST_MOLAR:g} mol/L of common salts in all, half "
            "as much of large ions, an acid or base for the pH counted as much again"
        )
    return base._replace(solutes=together((solute, 1.0) for solute in widths))


def _base(parts: list[_Part]) -> Liquid:
    """The solvents of a text's parts, mixed."""
    bases = [part.liquid for part in parts if part.liquid is not None and part.share is None]
    shares = [(part.liquid, part.share) for part in parts if part.share is not None]
    if len(bases) > 1 or len(shares) > 1:
        raise NotUnderstood("it names several solvents, but not in which proportion")
    if not bases and any(part.aqueous for part in parts):
        bases = [_WATER]
    if not bases:
        raise NotUnderstood("it does not say in which solvent")
    for other, share in shares:
        if other is not None and share is not None:
            return _proportions([(bases[0], 1.0 - share), (other, share)])
    return bases[0]


def _dissolved_alone(parts: list[_Part], between: list[str]) -> None:
    """Refuses a buffer beside an organic solvent: mixed with it, or dissolved in it?"""
    for part, following, word in zip(parts, [*parts[1:], _Part()], [*between, "in"], strict=True):
        if part.buffer or (part.aqueous and following.liquid is not None and word != "in"):
            raise NotUnderstood("it names several solvents, but not in which proportion")


def _part(text: str) -> _Part:
    given = [found for side in _SEPARATOR.split(text) if (found := _SHARE.match(side))]
    if len(given) > 1 and len(given) == len(_SEPARATOR.split(text)):
        liquids = [_side(_part(found[2])) for found in given]
        shares = [float(found[1]) / 100 for found in given]
        if abs(sum(shares) - 1.0) > 1e-9:
            raise NotUnderstood(f"its shares come to {100 * sum(shares):g} %")
        return _Part(_proportions(list(zip(liquids, shares, strict=True))))
    for pattern in _PREMIXED:
        if found := pattern.match(text):
            names = _SEPARATOR.split(found["names"])
            parts = [float(part) for part in re.split(r"\s*[:/]\s*", found["parts"])]
            if len(names) != len(parts):
                raise NotUnderstood(f"it names {len(names)} solvents and {len(parts)} proportions")
            if not sum(parts):
                raise NotUnderstood("its proportions are zero")
            sides = [_side(_part(name)) for name in names]
            shares = [part / sum(parts) for part in parts]
            return _Part(_proportions(list(zip(sides, shares, strict=True))))
    if name := _solvent(_WHOLE.sub("", text)):
        return _Part(Liquid(((name, 1.0),)))
    if (found := _SHARE.match(text)) and (name := _solvent(found[2])):
        share = float(found[1]) / 100
        if share > 1.0:
            raise NotUnderstood(f"{found[1]} % is over 100 %")
        return _Part(Liquid(((name, 1.0),)), share)
    return _solute(text)


def _solvent(text: str) -> str | None:
    name = _OTHER_NAMES.get(text, text)
    return name if name in SOLVENTS else None


def _proportions(parts: list[tuple[Liquid, float]]) -> Liquid:
    try:
        return mixed(parts)
    except CannotPredict as error:
        raise NotUnderstood(error.message) from None


def _side(part: _Part) -> Liquid:
    if part.liquid is not None and part.share is None:
        return part.liquid
    if part.aqueous and part.solute is not None:
        return _WATER._replace(solutes=(part.solute,))
    raise NotUnderstood("it does not say in which solvent")


def _solute(text: str) -> _Part:
    """Something dissolved, with its amount and known words alone."""
    amounts = _AMOUNT.findall(text)
    named = _AMOUNT.sub(" ", text).replace("-", " ").split()
    words = [word for word in named if not _HYDRATE.fullmatch(word)]
    unknown = _unknown(words)
    if unknown and _solvent(unknown):
        raise NotUnderstood(f'"{text}" has no word between {unknown} and the rest: in, with or +')
    if unknown or not any(word in _USUAL | _LARGE for word in words):
        raise NotUnderstood(f'"{text if _DIGIT.search(unknown) else unknown or text}" is not known')
    name = " ".join(word for word in words if word not in ("buffer", "buffered", "solution"))
    if len(amounts) != 1:
        raise NotUnderstood(f"it does not say how much {name}")
    number, unit = float(amounts[0][0]), amounts[0][1]
    molar = unit in _MOLAR
    if not molar and len(words) < len(named):
        raise NotUnderstood(f"the mass of a hydrate holds water: give the {name} in mol/L")
    if molar:
        amount, most = number * _MOLAR[unit], MOST_MOLAR
        slope = PER_MOLAR_LARGE if _LARGE & set(words) else PER_MOLAR
    else:
        amount, most = number / 10 if unit == "g/l" else number, MOST_PERCENT
        slope = PER_PERCENT
    if amount > most:
        unit = "mol/L" if molar else "%"
        raise NotUnderstood(f"over {most:g} {unit} of {name} is not covered")
    buffer = bool({"buffer", "buffered", "aqueous"} & set(words))
    bound = slope * amount
    name = full_name(name.split())
    shift, in_water = moved(name, amount, molar) or (0.0, bound)
    aqueous = buffer or molar or unit == "g/l"
    return _Part(solute=Solute(name, bound, shift, in_water), aqueous=aqueous, buffer=buffer)


def _unknown(words: list[str]) -> str:
    return " ".join(word for word in words if word not in _USUAL | _LARGE | _BESIDE)

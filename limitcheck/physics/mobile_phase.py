"""The mobile phase of a method, read from the text of its solvents.

A solvent is written as water or an organic solvent ("acetonitrile"), as both premixed
("water/acetonitrile 95:5"), with what is dissolved ("0.1 % formic acid in water"), or as a buffer,
which is aqueous ("20 mM phosphate, pH 2.5"). What is dissolved counts as an error of the viscosity
of the solvents. A text that is not understood whole is refused: nothing is guessed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import NamedTuple

from .constants import MIXTURES, SOLVENTS
from .liquid import CannotPredict, Liquid, Solute
from .viscosity import has_data

# How far a solute moves ln(eta / eta_solvent), either way. Largest of 25 salts, acids and bases of
# buffers at up to 0.5 mol/L or 5 % by mass, 25 and 40 degC: 0.71 a mol/L, 0.061 a per cent
# (tests/reference/buffer_viscosity.csv); per cent by volume of an acid are within it.
PER_MOLAR, PER_PERCENT = 0.75, 0.07
# Large organic ions: tetrabutylammonium has 1.3 a mol/L (B coefficient, from memory).
PER_MOLAR_LARGE = 1.5
MOST_MOLAR, MOST_PERCENT = 0.5, 5.0

_OTHER_NAMES = {
    "h2o": "water", "purified water": "water", "ultrapure water": "water",
    "acn": "acetonitrile", "mecn": "acetonitrile", "meoh": "methanol", "etoh": "ethanol",
    "ipa": "2-propanol", "isopropanol": "2-propanol", "propan-2-ol": "2-propanol",
    "thf": "tetrahydrofuran",
}  # fmt: skip
_USUAL = frozenset({
    "phosphate", "phosphates", "dihydrogenphosphate", "hydrogenphosphate", "acetate",
    "formate", "carbonate", "bicarbonate", "hydrogencarbonate", "chloride", "sulfate",
    "sulphate", "perchlorate", "hydroxide", "ammonia", "phosphoric", "formic", "acetic",
    "trifluoroacetic", "tfa", "perchloric", "sulfuric", "sulphuric", "hydrochloric", "kh2po4",
    "k2hpo4", "nah2po4", "na2hpo4", "h3po4", "hcooh", "nh4hco3", "nacl", "kcl", "naclo4",
})  # fmt: skip
_LARGE = frozenset({
    "citrate", "citric", "borate", "boric", "tris", "hepes", "mops", "triethylamine",
    "triethylammonium", "diethylamine", "tetrabutylammonium", "pentanesulfonate",
    "hexanesulfonate", "heptanesulfonate", "octanesulfonate", "heptafluorobutyric",
})  # fmt: skip
_BESIDE = frozenset({
    "sodium", "potassium", "ammonium", "lithium", "monosodium", "disodium", "monopotassium",
    "dipotassium", "monobasic", "dibasic", "hydrogen", "dihydrogen", "acid", "buffer",
    "buffered", "aqueous", "solution",
})  # fmt: skip
_UNITS = {"mmol/l": "mm", "mol/l": "m", "µmol/l": "um", "μmol/l": "um", "umol/l": "um", "μm": "um"}
_MOLAR = {"m": 1.0, "mm": 1e-3, "um": 1e-6}
_NUMBER = r"\d+(?:\.\d+)?"
_AMOUNT = re.compile(rf"(?:^|\s)({_NUMBER}) ?(%|mm|um|m|g/l)(?=\s|$)")
_PH = re.compile(
    rf",?\s*(?:\badjusted\s+)?(?:\bto\s+)?\bph\s*=?\s*{_NUMBER}"
    r"(?:\s*,?\s*(?:adjusted\s+)?(?:with|by|using)\s+([a-z][a-z0-9 ]*?)(?=$|[,/+;]|\s+in\s))?"
)
_ASIDE = re.compile(r"\b[vwm]/[vwm]\b|\bvol/vol\b|[()\[\]]")
_IN_BRACKETS = re.compile(rf"[(\[]\s*({_NUMBER} ?(?:%|mm|um|m)\s)")
_BETWEEN = re.compile(r"\s*[+;]\s*|,\s+|\s+(?:with|containing|in|and|plus)\s+")
_PAIR = r"(?P<one>[^/:]+?)\s*(?:/|:| - | – )\s*(?P<other>[^/:]+?)"
_PARTS = rf"(?P<first>{_NUMBER})\s*[:/]\s*(?P<second>{_NUMBER})"
_PREMIXED = (re.compile(rf"^{_PAIR}\s+{_PARTS}$"), re.compile(rf"^{_PARTS}\s+{_PAIR}$"))
_SHARE = re.compile(rf"^({_NUMBER}) ?% (.+)$")
_AS_IN = '"20 mM phosphate, pH 2.5" or "water/acetonitrile 95:5 with 0.1 % formic acid"'


class _NotUnderstood(Exception):
    """Why the text of a solvent is refused."""


class _Part(NamedTuple):
    """One part of a solvent's text: a solvent, with its share [-] where given, or a solute."""

    liquid: Liquid | None = None
    share: float | None = None
    solute: Solute | None = None
    aqueous: bool = False


@lru_cache(maxsize=4096)
def liquid(solvent_a: str | None, solvent_b: str | None, percent_b: float) -> Liquid:
    """The mobile phase at a composition, percent_b [%] from 0 to 100 before mixing.

    Raises CannotPredict where a solvent is missing or its text is not understood, or there is no
    data on the mixture.

    >>> liquid("water", "acetonitrile", 18)
    Liquid(organic='acetonitrile', fraction=0.18, solutes=())
    >>> liquid("methanol", "water", 18)
    Liquid(organic='methanol', fraction=0.82, solutes=())
    >>> liquid("20 mM phosphate, pH 2.5", "methanol", 50)
    Liquid(organic='methanol', fraction=0.5, solutes=(Solute(name='phosphate', half_width=0.0075),))
    """
    if percent_b == 0.0 and solvent_b is None:
        return _read(solvent_a, "solvent_a")
    first, second = _read(solvent_a, "solvent_a"), _read(solvent_b, "solvent_b")
    return _mixed(first, (100.0 - percent_b) / 100.0, second, percent_b / 100.0)


def pure_solvent(text: str | None) -> str | None:
    """The usual name of a pure solvent; None for any other text, as of a buffer or a mixture.

    >>> pure_solvent("MeCN"), pure_solvent("0.1 % formic acid in water")
    ('acetonitrile', None)
    """
    return _solvent(" ".join(text.split()).casefold()) if text is not None else None


def predicted_as(solvent: str | None) -> str | None:
    """What a solvent is predicted as [% by volume] where its text says more; None where not.

    >>> predicted_as("20 mM phosphate, pH 2.5"), predicted_as("water")
    ('water', None)
    >>> predicted_as("acetonitrile/water 90:10")
    'acetonitrile 90 %, water 10 %'
    """
    if solvent is None or solvent.strip().casefold() in SOLVENTS:
        return None
    organic, fraction, _ = _read(solvent, "")
    if fraction in (0.0, 1.0):
        return organic
    return f"{organic} {100 * fraction:.4g} %, water {100 * (1 - fraction):.4g} %"


def _mixed(first: Liquid, rest: float, second: Liquid, share: float) -> Liquid:
    """Two liquids mixed: a share [-] of the second, the rest [-] the first."""
    before = [(solute, rest) for solute in first.solutes]
    solutes = _summed([*before, *((solute, share) for solute in second.solutes)])
    if first.organic == second.organic == "water":
        return Liquid("water", 1.0, solutes)
    one, other = _organic_fraction(first), _organic_fraction(second)
    if first.organic == "water":
        mixed = Liquid(second.organic, share * other, solutes)
    elif second.organic == "water":
        mixed = Liquid(first.organic, rest * one, solutes)
    elif first.organic == second.organic:
        mixed = Liquid(first.organic, rest * one + share * other, solutes)
    elif share in (0.0, 1.0):
        return second if share else first
    else:
        raise CannotPredict(
            f"no viscosity data for {first.organic} mixed with {second.organic}; "
            "mixtures with water are covered"
        )
    if not has_data(mixed.organic, mixed.fraction):
        raise CannotPredict(
            f"no viscosity data for {mixed.organic} mixed with water; covered are "
            + ", ".join(MIXTURES)
        )
    return mixed


def _organic_fraction(liquid: Liquid) -> float:
    return 0.0 if liquid.organic == "water" else liquid.fraction


def _summed(solutes: Iterable[tuple[Solute, float]]) -> tuple[Solute, ...]:
    """Solutes, each with the share [-] of the whole it is in; the same one twice adds up."""
    widths: dict[str, float] = {}
    for (name, width), share in solutes:
        if share:
            widths[name] = widths.get(name, 0.0) + share * width
    return tuple(Solute(*item) for item in sorted(widths.items()))


@lru_cache(maxsize=1024)
def _read(text: str | None, field: str) -> Liquid:
    """A solvent as its text says; raises CannotPredict."""
    if text is None:
        raise CannotPredict(f"no conditions.{field}")
    folded = text.strip().casefold()
    if folded in SOLVENTS:
        return Liquid(folded, 1.0)
    try:
        return _understood(folded)
    except _NotUnderstood as why:
        raise CannotPredict(
            f'no viscosity data for {field} "{text}": {why}; known are {", ".join(SOLVENTS)}, '
            f"mixed or with salts and acids as in {_AS_IN}"
        ) from None


def _understood(folded: str) -> Liquid:
    for long, short in _UNITS.items():
        folded = folded.replace(long, short)
    text = _ASIDE.sub(" ", _IN_BRACKETS.sub(r"+ \1", folded))
    adjusted = [found.group(1) for found in _PH.finditer(text)]
    text = " ".join(_PH.sub(" ", text).split()).strip(" ,;")
    parts = [_part(piece) for piece in _BETWEEN.split(text)] if text else []
    base = _base(parts)
    widths = [*base.solutes, *(part.solute for part in parts if part.solute is not None)]
    if adjusted and not widths:
        raise _NotUnderstood("it gives a pH, but not what is dissolved and how much")
    for by in filter(None, adjusted):  # of about the same amount
        if unknown := _unknown(by.split()):
            raise _NotUnderstood(f'"{unknown}" is not known')
        widths.append(Solute("for the pH", sum(solute.half_width for solute in widths)))
    return base._replace(solutes=_summed((solute, 1.0) for solute in widths))


def _base(parts: list[_Part]) -> Liquid:
    """The solvents of a text's parts, mixed."""
    bases = [part.liquid for part in parts if part.liquid is not None and part.share is None]
    shares = [(part.liquid, part.share) for part in parts if part.share is not None]
    if len(bases) > 1 or len(shares) > 1:
        raise _NotUnderstood("it names several solvents, but not in which proportion")
    if not bases and any(part.aqueous for part in parts):
        bases = [Liquid("water", 1.0)]
    if not bases:
        raise _NotUnderstood("it does not say in which solvent")
    for other, share in shares:
        if other is not None and share is not None:
            return _proportions(bases[0], other, share)
    return bases[0]


def _part(text: str) -> _Part:
    for pattern in _PREMIXED:
        if found := pattern.match(text):
            one, other = (_side(_part(found[side])) for side in ("one", "other"))
            first, second = float(found["first"]), float(found["second"])
            if first + second == 0.0:
                raise _NotUnderstood("its proportions are zero")
            return _Part(_proportions(one, other, second / (first + second)))
    if name := _solvent(text):
        return _Part(Liquid(name, 1.0))
    if (found := _SHARE.match(text)) and (name := _solvent(found[2])):
        share = float(found[1]) / 100
        if share > 1.0:
            raise _NotUnderstood(f"{found[1]} % is over 100 %")
        return _Part(Liquid(name, 1.0), share)
    return _solute(text)


def _solvent(text: str) -> str | None:
    name = _OTHER_NAMES.get(text, text)
    return name if name in SOLVENTS else None


def _proportions(one: Liquid, other: Liquid, share: float) -> Liquid:
    try:
        return _mixed(one, 1.0 - share, other, share)
    except CannotPredict as error:
        raise _NotUnderstood(error.message) from None


def _side(part: _Part) -> Liquid:
    if part.liquid is not None:
        return part.liquid
    if part.aqueous and part.solute is not None:
        return Liquid("water", 1.0, (part.solute,))
    raise _NotUnderstood("it does not say in which solvent")


def _solute(text: str) -> _Part:
    """Something dissolved, with its amount and known words alone."""
    amounts = _AMOUNT.findall(text)
    words = _AMOUNT.sub(" ", text).replace("-", " ").split()
    unknown = _unknown(words)
    if unknown or not any(word in _USUAL | _LARGE for word in words):
        raise _NotUnderstood(f'"{unknown or text}" is not known')
    name = " ".join(word for word in words if word not in ("buffer", "buffered", "solution"))
    if len(amounts) != 1:
        raise _NotUnderstood(f"it does not say how much {name}")
    number, unit = float(amounts[0][0]), amounts[0][1]
    molar = unit in _MOLAR
    if molar:
        amount, most = number * _MOLAR[unit], MOST_MOLAR
        slope = PER_MOLAR_LARGE if _LARGE & set(words) else PER_MOLAR
    else:
        amount, most = number / 10 if unit == "g/l" else number, MOST_PERCENT
        slope = PER_PERCENT
    if amount > most:
        unit = "mol/L" if molar else "%"
        raise _NotUnderstood(f"over {most:g} {unit} of {name} is not covered")
    aqueous = molar or bool({"buffer", "aqueous"} & set(words))
    return _Part(solute=Solute(name, slope * amount), aqueous=aqueous)


def _unknown(words: list[str]) -> str:
    return " ".join(word for word in words if word not in _USUAL | _LARGE | _BESIDE)


def solvents_told(*solvents: tuple[str, str | None]) -> Iterator[str]:
    """What each solvent, by its field, is predicted as [% by volume] where its text says more."""
    for field, text in solvents:
        if (base := predicted_as(text)) is not None:
            yield f'{field} "{text}" is predicted as {base}'

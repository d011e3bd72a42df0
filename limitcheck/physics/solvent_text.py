"""The text of a solvent: water or organic solvents, several premixed, and what is dissolved in it.

Understood are a solvent ("acetonitrile"), several premixed ("water/acetonitrile 95:5"), either with
what is dissolved ("0.1 % formic acid in water"), and a buffer, which is aqueous ("20 mM phosphate,
pH 2.5"). A text that is not understood whole is refused: nothing is guessed.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from .liquid import CannotPredict, Liquid, Solute, before_or_after, mixed, together
from .salts import FOR_THE_PH, PER_MOLAR, PER_MOLAR_LARGE, PER_PERCENT, full_name, moved
from .solvent_doubts import NotUnderstood, kinds_of, not_known, refuse_unclear
from .solvent_words import BESIDE, LARGE, NUMBER, SIDE, USUAL, plain, solvent

HIGHEST_PH = 14.0
MOST_MOLAR, MOST_PERCENT = 0.5, 5.0

_HYDRATE = re.compile(r"(?:hemi|mono|di|tri|tetra|penta|hexa|hepta|octa|nona|deca|dodeca)?hydrate")
_DIGIT = re.compile(r"\d")
_COMMA = re.compile(r"\d+,\d+")
_MOLAR = {"m": 1.0, "mm": 1e-3, "um": 1e-6}
_AMOUNT = re.compile(rf"(?:^|\s)({NUMBER}) ?(%|mm|um|m|g/l)(?=\s|$)")
_PH = re.compile(
    rf",?\s*(?:\badjusted\s+)?(?:\bto\s+)?\bph\s*=?\s*(?P<ph>{NUMBER})"
    r"(?:\s*,?\s*(?:adjusted\s+)?(?:with|by|using)\s+(?P<by>[a-z][a-z0-9 ]*?)"
    r"(?=$|[,/+;)\]]|\s+(?:in|with|containing)\s|\s+-\s))?"
)
_EMPTY = re.compile(r"(?<=[(\[])\s*[,;]\s*|\s*[,;]\s*(?=[)\]])|[(\[]\s*[)\]]")
_ASIDE = re.compile(r"[()\[\]]")
_IN_BRACKETS = re.compile(rf"[(\[]\s*({NUMBER} ?(?:%|mm|um|m)\s+(?=[a-z]))")
_BETWEEN = re.compile(r"(\s*[+;]\s*|(?:\s*[,;])?\s+(?:with|containing|in|and|plus)\s+|\s*,\s+)")
_NAMES = r"(?P<names>[^/:]+?(?:\s*(?:/|:| - )\s*[^/:]+?)+)"
_PARTS = rf"(?P<parts>{NUMBER}(?:\s*[:/]\s*{NUMBER})+)"
_PREMIXED = (re.compile(rf"^{_NAMES}\s+{_PARTS}$"), re.compile(rf"^{_PARTS}\s+{_NAMES}$"))
_SEPARATOR = re.compile(r"\s*[/:]\s*| - ")
_WHOLE = re.compile(r"^100 ?% (?=\D)|(?<=\D) 100 ?%$")
_SHARE = re.compile(rf"^(?:(?P<first>{NUMBER}) ?% (?P<name>.+)|(?P<of>.+) (?P<last>{NUMBER}) ?%)$")
_PROPORTION = "it names several solvents, but not in which proportion"


_WATER = Liquid((("water", 1.0),))
_SPIRIT = Liquid((("ethanol", 1.0),))
"""Ethanol with a percentage alone, as "ethanol 96 %": by volume, the rest water (common practice,
no source)."""
_MOST = 0.5
_ROUNDING = 1e-9


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
    return solvent(plain(text.casefold())) if text is not None else None


def acidities(folded: str) -> tuple[float, ...]:
    """Each pH [-] that a text in small letters gives.

    >>> acidities("20 mm phosphate, ph 2.5")
    (2.5,)
    """
    return tuple(sorted(float(found["ph"]) for found in _PH.finditer(folded)))


def understood(folded: str) -> Liquid:
    """The liquid [-] that a text in small letters means; raises NotUnderstood.

    >>> understood("water/acetonitrile 75:25")
    Liquid(solvents=(('acetonitrile', 0.25), ('water', 0.75)), solutes=())
    """
    if comma := _COMMA.search(folded):
        raise NotUnderstood(f'"{comma[0]}": write a decimal point, {comma[0].replace(",", ".")}')
    adjusted = [found["by"] for found in _PH.finditer(folded)]
    for found in _PH.finditer(folded):
        if float(found["ph"]) > HIGHEST_PH:
            raise NotUnderstood(f"pH {found['ph']} is over {HIGHEST_PH:g}")
    kinds = kinds_of(_PH.sub(" ", folded))
    kinds.refuse_solvents_by_mass()
    text = plain(_EMPTY.sub("", kinds.text))
    refuse_unclear(text)
    text = " ".join(_ASIDE.sub(" ", _IN_BRACKETS.sub(r"+ \1", text)).split()).strip(" ,;")
    pieces = _BETWEEN.split(text)
    parts = [_part(piece) for piece in pieces[::2]] if text else []
    words = [piece.strip(" ,;") for piece in pieces[1::2]]
    _two_meanings(parts, words)
    base = _base(parts)
    if len(base.solvents) > 1:
        kinds.refuse_a_mixture_by_mass()
    parts = _dissolved_alone(parts, words, base)
    widths = [*base.solutes, *(part.solute for part in parts if part.solute is not None)]
    if adjusted and not widths:
        raise NotUnderstood("it gives a pH, but not what is dissolved and how much")
    for by in filter(None, adjusted):  # of about the same amount
        if unknown := _unknown(by.split()):
            raise not_known(unknown)
        more = PER_MOLAR_LARGE / PER_MOLAR if LARGE & set(by.split()) else 1.0
        total = more * sum(solute.half_width for solute in widths)
        widths.append(Solute(f"{by}{FOR_THE_PH}", total, 0.0, total))
    if sum(solute.half_width for solute in widths) > PER_MOLAR * MOST_MOLAR:
        raise NotUnderstood(
            f"more is dissolved than is covered: {MOST_MOLAR:g} mol/L of common salts in all, half "
            "as much of large ions, an acid or base for the pH counted as much again"
        )
    return base._replace(solutes=together((solute, 1.0) for solute in widths))


def _base(parts: list[_Part]) -> Liquid:
    """The solvents of a text's parts, mixed."""
    bases = [part.liquid for part in parts if part.liquid is not None and part.share is None]
    shares = [
        (part.liquid, part.share)
        for part in parts
        if part.liquid is not None and part.share is not None
    ]
    if len(bases) > 1:
        raise NotUnderstood(_PROPORTION)
    if not bases and (
        any(part.aqueous for part in parts) or (len(shares) == 1 and shares[0][0] == _SPIRIT)
    ):
        bases = [_WATER]
    if not bases and len(shares) < 2:
        raise NotUnderstood(f"it does not say in which solvent{_advice(parts)}")
    rest = 1.0 - sum(share for _, share in shares)
    if rest < -_ROUNDING or (not bases and rest > _ROUNDING):
        raise NotUnderstood(f"its shares come to {100 * (1.0 - rest):g} %")
    whole = [(bases[0], rest)] if bases and rest > _ROUNDING else []
    return _proportions([*whole, *shares]) if shares else bases[0]


def _advice(parts: list[_Part]) -> str:
    """What to write where one solvent or solute stands alone."""
    for part in parts:
        if part.share is not None and part.liquid is not None:
            name = part.liquid.solvents[0][0]
            if name == "water":
                return ': write what the rest is, as in "60 % water, 40 % methanol"'
            return f': write "{100 * part.share:g} % {name} in water", where water is the rest'
    return ': write "in water" behind it, where that is meant'


def _two_meanings(parts: list[_Part], between: list[str]) -> None:
    """Refuses a solvent with most of the volume beside one without a share, in either order.

    "ethanol 96 %, hexane" may be spirit and hexane without a proportion.
    """
    organic = [part for part in parts if part.liquid is not None and part.liquid != _WATER]
    if all(part.share is not None for part in organic):
        return
    for part, following, word in zip(parts, [*parts[1:], _Part()], [*between, ""], strict=True):
        of_it = word == "in" and following.liquid is not None and following.share is None
        if part in organic and _MOST <= (part.share or 0.0) < 1.0 and not of_it:
            assert part.liquid is not None
            name = part.liquid.solvents[0][0]
            raise NotUnderstood(
                f"is water the rest of the {name}, or the other solvent? Write all shares"
            )


def _dissolved_alone(parts: list[_Part], between: list[str], base: Liquid) -> list[_Part]:
    """The parts; refuses a buffer beside an organic solvent: mixed with it, or dissolved in it?

    Where each organic solvent has its share, the rest is the buffer, and its concentration that
    before or after mixing.
    """
    if base.solvents == _WATER.solvents:
        return parts
    whole = any(part.liquid is not None and part.share is None for part in parts)
    given = sum(part.share or 0.0 for part in parts) > 1.0 - _ROUNDING
    found = []
    for part, following, word in zip(parts, [*parts[1:], _Part()], [*between, ""], strict=True):
        inside = following.liquid is not None and word == "in"
        beside = part.aqueous and following.liquid is not None and not inside
        if (part.buffer or beside) and whole:
            raise NotUnderstood(_PROPORTION)
        solute = part.solute
        if solute is not None and part.aqueous and not (whole or given or inside):
            solute = before_or_after(solute, dict(base.solvents).get("water", 0.0))
        found.append(part._replace(solute=solute))
    return found


def _part(text: str) -> _Part:
    sides = _SEPARATOR.split(text)
    given = [found for side in sides if (found := _share(side))]
    if len(given) > 1 and len(given) == len(sides):
        return _Part(_base([_Part(liquid, share) for liquid, share in given]))
    for pattern in _PREMIXED:
        if mix := pattern.match(text):
            parts = [float(part) for part in re.split(r"\s*[:/]\s*", mix["parts"])]
            return _Part(_premixed(_SEPARATOR.split(mix["names"]), parts))
    if name := solvent(_WHOLE.sub("", text)):
        return _Part(Liquid(((name, 1.0),)))
    if one := _share(text):
        return _Part(*one)
    if len(sides) > 1 and any(solvent(side) for side in sides):
        raise NotUnderstood(
            'its solvents have no proportion, as in "water/methanol 60:40"; what is dissolved '
            'stands as in "water with 0.1 % formic acid"'
        )
    return _solute(text)


def _share(text: str) -> tuple[Liquid, float] | None:
    """A solvent with its share [-], as "5 % methanol" or "methanol 5 %"; else None."""
    found = _SHARE.match(text)
    name = solvent(found["name"] or found["of"]) if found else None
    if found is None or name is None:
        return None
    share = float(found["first"] or found["last"]) / 100
    if share > 1.0:
        raise NotUnderstood(f"{100 * share:g} % is over 100 %")
    return Liquid(((name, 1.0),)), share


def _premixed(names: list[str], parts: list[float]) -> Liquid:
    """Solvents by their parts [-]; a little of a solute among them is dissolved in all."""
    if len(names) != len(parts):
        raise NotUnderstood(f"it names {len(names)} solvents and {len(parts)} proportions")
    if not sum(parts):
        raise NotUnderstood("its proportions are zero")
    sides: list[tuple[Liquid, float]] = []
    solutes: list[Solute] = []
    for name, part in zip(names, parts, strict=True):
        words = name.split()
        if len(names) > 2 and part and not _unknown(words) and not _DIGIT.search(name):
            solutes += filter(None, [_solute(f"{100 * part / sum(parts):.6g} % {name}").solute])
        else:
            sides.append((_side(name), part))
    whole = sum(part for _, part in sides)
    if not whole:
        raise NotUnderstood("it does not say in which solvent")
    found = _proportions([(liquid, part / whole) for liquid, part in sides])
    return found._replace(solutes=together((s, 1.0) for s in (*found.solutes, *solutes)))


def _proportions(parts: list[tuple[Liquid, float]]) -> Liquid:
    try:
        return mixed(parts)
    except CannotPredict as error:
        raise NotUnderstood(error.message) from None


def _side(text: str) -> Liquid:
    """One solvent of several, with what is dissolved in it alone."""
    own, *dissolved = text.split(f" {SIDE} ")
    part = _part(own)
    if part.liquid is not None:
        base = part.liquid if part.share is None else _base([part])
    elif part.aqueous and part.solute is not None:
        base = _WATER._replace(solutes=(part.solute,))
    else:
        raise NotUnderstood(
            f'it does not say in which solvent: write "water ({own})", where that is meant'
        )
    solutes = [solute for one in dissolved if (solute := _solute(one).solute) is not None]
    return base._replace(solutes=together((s, 1.0) for s in (*base.solutes, *solutes)))


def _solute(text: str) -> _Part:
    """Something dissolved, with its amount and known words alone."""
    amounts = _AMOUNT.findall(text)
    named = _AMOUNT.sub(" ", text).replace("-", " ").split()
    words = [word for word in named if not _HYDRATE.fullmatch(word)]
    unknown = _unknown(words)
    if unknown and solvent(unknown):
        raise NotUnderstood(f'"{text}" has no word between {unknown} and the rest: in, with or +')
    if unknown or not any(word in USUAL | LARGE for word in words):
        raise not_known(text if _DIGIT.search(unknown) else unknown or text)
    name = full_name([word for word in words if word not in ("buffer", "buffered", "solution")])
    if len(amounts) != 1:
        raise NotUnderstood(f"it does not say how much {name}")
    number, unit = float(amounts[0][0]), amounts[0][1]
    molar = unit in _MOLAR
    if not molar and len(words) < len(named):
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
    return _Part(solute=Solute(name, bound, shift, in_water), aqueous=aqueous, buffer=buffer)


def _unknown(words: list[str]) -> str:
    return " ".join(word for word in words if word not in USUAL | LARGE | BESIDE)

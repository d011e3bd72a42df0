"""The text of a solvent: water or organic solvents, several premixed, and what is dissolved in it.

Understood are a solvent ("acetonitrile"), several premixed ("water/acetonitrile 95:5"), either with
what is dissolved ("0.1 % formic acid in water"), and a buffer, which is aqueous ("20 mM phosphate,
pH 2.5"). A text that is not understood whole is refused: nothing is guessed.
"""

from __future__ import annotations

import re

from .constants import MIXTURES
from .dissolved_text import MOST_MOLAR, Part, dissolved, unknown_words
from .liquid import CannotPredict, Liquid, Solute, before_or_after, mixed, together
from .salts import FOR_THE_PH, PER_MOLAR, PER_MOLAR_LARGE, POURED, full_name, written_out
from .solvent_doubts import NotUnderstood, kinds_of, not_known, refuse_numbers, refuse_unclear
from .solvent_words import LARGE, NUMBER, SIDE, SIGNS, plain, solvent

HIGHEST_PH = 14.0

_DIGIT, _NUMBER = re.compile(r"\d"), re.compile(NUMBER)
_PH = re.compile(
    rf",?\s*(?:\badjusted\s+)?(?:\bto\s+)?\bph\s*=?\s*(?P<ph>{NUMBER})"
    r"(?:\s*,?\s*(?:adjusted\s+)?(?:with|by|using)\s+(?P<by>[a-z][a-z0-9 ]*?)"
    r"(?=$|[,/+;)\]]|\s+(?:in|with|containing)\s|\s+-\s))?"
)
_EMPTY = re.compile(r"(?<=[(\[])\s*[,;]\s*|\s*[,;]\s*(?=[)\]])|[(\[]\s*[)\]]")
_ASIDE = re.compile(r"[()\[\]]")
_IN_BRACKETS = re.compile(rf"[(\[]\s*({NUMBER} ?(?:%|mm|um|m)\s+(?=[a-z]))")
_BETWEEN = re.compile(r"(\s*[+;]\s*|(?:\s*[,;])?\s+(?:with|containing|in|and|plus)\s+|\s*,\s+)")
_PARTS = rf"{NUMBER}(?:\s*[:/]\s*{NUMBER})+"
_PREMIXED = (re.compile(rf"\s(?P<parts>{_PARTS})$"), re.compile(rf"^(?P<parts>{_PARTS})\s"))
_EACH_PERCENT = re.compile(rf"\s{NUMBER} ?%(?:\s*[:/]\s*{NUMBER} ?%)+$")
_SEPARATOR = re.compile(r"\s*[/:]\s*| - ")
_WHOLE = re.compile(r"^100 ?% (?=\D)|(?<=\D) 100 ?%$")
_PREMADE = re.compile(rf"{NUMBER} ?(?:mm|um|m|g/l) ")
_SHARE = re.compile(rf"^(?:(?P<first>{NUMBER}) ?% (?P<name>.+)|(?P<of>.+) (?P<last>{NUMBER}) ?%)$")
_SIDE_BY_SIDE = frozenset({"", "+", "and", "plus"})
_PROPORTION = "it names several solvents, but not in which proportion"


_WATER = Liquid((("water", 1.0),))
_WITH_WATER = [Liquid(((name, 1.0),)) for name in MIXTURES]
"""With a percentage alone, as "ethanol 96 %" or "70 % methanol": by volume, the rest water (common
practice, no source)."""
_MOST = 0.5
_ROUNDING = 1e-9


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
    refuse_numbers(folded.translate(SIGNS))
    adjusted = [found["by"] for found in _PH.finditer(folded)]
    for found in _PH.finditer(folded):
        if float(found["ph"]) > HIGHEST_PH:
            raise NotUnderstood(f"pH {found['ph']} is over {HIGHEST_PH:g}")
    kinds = kinds_of(_PH.sub(" ", folded))
    kinds.refuse_solvents_by_mass()
    refuse_unclear(plain(_EMPTY.sub("", kinds.text)))
    pieces = _pieces(kinds.text)
    if len(pieces) > 1 and not all(pieces):
        raise NotUnderstood("nothing stands on one side of a sign or word between two parts")
    parts = [_part(piece) for piece in pieces[::2]] if any(pieces) else []
    words = [piece.strip(" ,;") for piece in pieces[1::2]]
    _either_share(parts, words)
    _two_meanings(parts, words)
    base = _base(parts, beside=_SIDE_BY_SIDE.issuperset(words))
    if len(base.solvents) > 1:
        kinds.refuse_a_mixture_by_mass()
    parts = _dissolved_alone(parts, words, base)
    widths = [*base.solutes, *(part.solute for part in parts if part.solute is not None)]
    if adjusted and not widths:
        raise NotUnderstood("it gives a pH, but not what is dissolved and how much")
    for by in filter(None, adjusted):  # of about the same amount
        if unknown := unknown_words(by.split()):
            raise not_known(unknown)
        more = PER_MOLAR_LARGE / PER_MOLAR if LARGE & set(written_out(by.split())) else 1.0
        total = more * sum(solute.half_width for solute in widths)
        widths.append(Solute(f"{full_name(by.split())}{FOR_THE_PH}", total, 0.0, total))
    if sum(solute.half_width for solute in widths) > PER_MOLAR * MOST_MOLAR:
        raise NotUnderstood(
            f"more is dissolved than is covered: {MOST_MOLAR:g} mol/L of common salts in all, half "
            "as much of large ions, an acid or base for the pH counted as much again"
        )
    return base._replace(solutes=together((solute, 1.0) for solute in widths))


def percentage_alone(folded: str) -> tuple[str, float] | None:
    """The one solvent, with its share [-], of an understood text that does not name the rest."""
    parts = [_part(piece) for piece in _pieces(kinds_of(_PH.sub(" ", folded)).text)[::2] if piece]
    named = [part for part in parts if part.liquid is not None or part.aqueous]
    if len(named) != 1 or named[0].liquid not in _WITH_WATER or named[0].share is None:
        return None
    return named[0].liquid.solvents[0][0], named[0].share


def _pieces(text: str) -> list[str]:
    """The parts of a text, with what is between two."""
    text = plain(_EMPTY.sub("", text))
    text = " ".join(_ASIDE.sub(" ", _IN_BRACKETS.sub(r"+ \1", text)).split()).strip(" ,;")
    return _BETWEEN.split(text)


def _base(parts: list[Part], beside: bool = True) -> Liquid:
    """The solvents of a text's parts, mixed; the parts stand side by side, or one in another."""
    bases = [part.liquid for part in parts if part.liquid is not None and part.share is None]
    shares = [
        (part.liquid, part.share)
        for part in parts
        if part.liquid is not None and part.share is not None
    ]
    if len(bases) > 1:
        raise NotUnderstood(_PROPORTION)
    whose = [liquid for liquid, _ in shares]
    named, poured = sum(s for _, s in shares), sum(part.poured for part in parts)
    aqueous = any(part.aqueous for part in parts)
    all_told = poured and abs(1.0 - named - poured) < _ROUNDING
    whole = not bases and not aqueous and all_told and beside
    # "1 % TFA in 99 % methanol" may hold 1 % water, or none
    aqueous = aqueous or (not all_told and len(whose) == 1 and whose[0] in _WITH_WATER)
    if whole:
        shares = [(liquid, share / named) for liquid, share in shares]
    if not bases and aqueous and _WATER not in whose:
        bases = [_WATER]
    if bases and bases[0] in whose:
        name = bases[0].solvents[0][0]
        raise NotUnderstood(f"it gives a share of {name} in {name}: what is the rest?")
    if not bases and len(shares) < 2 and not whole:
        raise NotUnderstood(_without_rest(parts))
    rest = 1.0 - sum(share for _, share in shares)
    if rest < -_ROUNDING or (not bases and rest > _ROUNDING):
        raise NotUnderstood(f"its shares come to {100 * (1.0 - rest):g} %")
    others = [(bases[0], rest)] if bases and rest > _ROUNDING else []
    return _proportions([*others, *shares]) if shares else bases[0]


def _without_rest(parts: list[Part]) -> str:
    """What is missing, and what to write, where one solvent or solute stands alone."""
    for part in parts:
        if part.share is not None and part.liquid is not None:
            name = part.liquid.solvents[0][0]
            if name == "water":
                told = f"it has {100 * part.share:g} % water: write what the rest is"
                return f'{told}, as in "60 % water, 40 % methanol"'
            rest = "water" if part.liquid in _WITH_WATER else "ethanol"
            told = f'write what the rest is, as in "{100 * part.share:g} % {name} in {rest}"'
            return f"it does not say in which solvent: {told}"
    return 'it does not say in which solvent: write "in water" behind it, where that is meant'


def _either_share(parts: list[Part], between: list[str]) -> None:
    """Refuses a solvent in another that has the share: "hexane in ethanol 10 %" may be either's."""
    whole = None
    for part, following, word in zip(parts, parts[1:], between, strict=False):
        if part.liquid is not None and part.share is None:
            whole = part.liquid
        if word == "in" and whole is not None and following.liquid and following.share is not None:
            one, other = whole.solvents[0][0], following.liquid.solvents[0][0]
            share = f"{100 * following.share:g} %"
            if len(whole.solvents) > 1 or one == other:
                raise NotUnderstood(f"what is the {share} of? Write the share of each solvent")
            raise NotUnderstood(
                f"is the {share} {one} or {other}? Write "
                f'"{share} {one} in {other}" or "{share} {other} in {one}"'
            )


def _two_meanings(parts: list[Part], between: list[str]) -> None:
    """Refuses a solvent with most of the volume beside one without a share, in either order.

    "ethanol 96 %, hexane" may be spirit and hexane without a proportion.
    """
    organic = [part for part in parts if part.liquid and part.liquid.solvents != _WATER.solvents]
    if all(part.share is not None for part in organic):
        return
    for part, following, word in zip(parts, [*parts[1:], Part()], [*between, ""], strict=True):
        of_it = word == "in" and following.liquid is not None and following.share is None
        if part in organic and _MOST <= (part.share or 0.0) < 1.0 and not of_it:
            assert part.liquid is not None
            name = part.liquid.solvents[0][0]
            raise NotUnderstood(
                f"is water the rest of the {name}, or the other solvent? Write all shares"
            )


def _dissolved_alone(parts: list[Part], between: list[str], base: Liquid) -> list[Part]:
    """The parts; refuses a buffer beside an organic solvent: mixed with it, or dissolved in it?

    Where each organic solvent has its share, the rest is the buffer, and its concentration that
    before or after mixing.
    """
    if base.solvents == _WATER.solvents:
        return parts
    whole = any(part.liquid is not None and part.share is None for part in parts)
    given = sum(part.share or 0.0 for part in parts) > 1.0 - _ROUNDING
    found = []
    for part, following, word in zip(parts, [*parts[1:], Part()], [*between, ""], strict=True):
        inside = following.liquid is not None and word == "in"
        beside = part.aqueous and following.liquid is not None and not inside
        if (part.buffer or beside) and whole:
            raise NotUnderstood(_PROPORTION)
        solute = part.solute
        if solute is not None and part.aqueous and not (whole or given or inside):
            solute = before_or_after(solute, dict(base.solvents).get("water", 0.0))
        found.append(part._replace(solute=solute))
    return found


def _part(text: str) -> Part:
    sides = _SEPARATOR.split(text)
    if each := _EACH_PERCENT.search(text):
        names, shares = _SEPARATOR.split(text[: each.start()]), _NUMBER.findall(each[0])
        if len(names) == len(shares):
            sides = [f"{share} % {name}" for share, name in zip(shares, names, strict=True)]
    if len(sides) > 1 and any(map(_share, sides)) and all(map(_SHARE.match, sides)):
        parts = [_part(side) for side in sides]
        solutes = [(part.solute, 1.0) for part in parts if part.solute is not None]
        base = _base(parts)
        return Part(base._replace(solutes=together([*((s, 1.0) for s in base.solutes), *solutes])))
    for pattern in _PREMIXED:
        if mix := pattern.search(text):
            names = _SEPARATOR.split((text[: mix.start()] or text[mix.end() :]).strip())
            if len(names) > 1 and all(names):
                return Part(_premixed(names, [float(n) for n in _NUMBER.findall(mix["parts"])]))
    if name := solvent(_WHOLE.sub("", text)):
        return Part(Liquid(((name, 1.0),)))
    if one := _share(text):
        return Part(*one)
    if len(sides) > 1 and any(solvent(side) for side in sides):
        raise NotUnderstood(
            'its solvents have no proportion, as in "water/methanol 60:40"; what is dissolved '
            'stands as in "water with 0.1 % formic acid"'
        )
    return dissolved(text)


def _share(text: str) -> tuple[Liquid, float] | None:
    """A liquid with its share [-], as "5 % methanol", "methanol 5 %" or "90 % 10 mm phosphate"."""
    found = _SHARE.match(text)
    if found is None:
        return None
    if name := solvent(found["name"] or found["of"]):
        liquid = Liquid(((name, 1.0),))
    elif found["name"] and _PREMADE.match(found["name"]):
        liquid = _side(found["name"])
    else:
        return None
    share = float(found["first"] or found["last"]) / 100
    if share > 1.0:
        raise NotUnderstood(f"{100 * share:g} % is over 100 %")
    return liquid, share


def _premixed(names: list[str], parts: list[float]) -> Liquid:
    """Solvents by their parts [-]; a little of a solute among them is dissolved in all."""
    if len(names) != len(parts):
        raise NotUnderstood(f"it names {len(names)} solvents and {len(parts)} proportions")
    if not sum(parts):
        raise NotUnderstood("its proportions are zero")
    if "water" in names and any(map(_share, names)):
        raise NotUnderstood("it does not say in which solvent: write one proportion of all")
    sides: list[tuple[Liquid, float]] = []
    solutes: list[Solute] = []
    for name, part in zip(names, parts, strict=True):
        words = name.split()
        if part and full_name(words) in POURED:
            solutes += filter(None, [dissolved(f"{100 * part / sum(parts):.6g} % {name}").solute])
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
    own, *inside = text.split(f" {SIDE} ")
    part = _part(own)
    if part.liquid is not None:
        base = part.liquid if part.share is None else _base([part])
    elif part.aqueous and part.solute is not None:
        base = _WATER._replace(solutes=(part.solute,))
    else:
        raise NotUnderstood(
            f'it does not say in which solvent: write "water ({own})", where that is meant'
        )
    solutes = [solute for one in inside if (solute := dissolved(one).solute) is not None]
    return base._replace(solutes=together((s, 1.0) for s in (*base.solutes, *solutes)))

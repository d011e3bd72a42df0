"""What a solvent's text leaves open: by mass or by volume, a range or a proportion, a slip."""

from __future__ import annotations

import re
from collections.abc import Iterator
from difflib import get_close_matches
from typing import NamedTuple

from .salts import SHORT
from .solvent_words import BESIDE, LARGE, NAMES, NUMBER, OTHER_NAMES, SIGNS, USUAL, plain

BY_MASS = (
    "its solvents are by mass: give them by volume before mixing, each mass over its density, as "
    'in "250 mL water + 750 mL methanol"; the same numbers by volume are another liquid'
)
_W, _V = r"(?:w|wt\.?|weight|mass)", r"(?:v|vol\.?|volume)"
_WAYS = tuple((re.compile(seen), put) for seen, put in (
    (rf"\b{_W}[.\s-]*(?:%|per ?cent\b)|(?:%|\bper ?cent) ?(?:wt|mass|weight)\b\.?", "% w/w "),
    (r"\b(?:vol|volume)[.\s-]*(?:%|per ?cent\b)|(?:%|\bper ?cent) ?vol\b\.?", "% v/v "),
    (rf"\b{_W}(?: ?[/:+] ?{_W})+(?![a-z])|\bm(?:/m)+\b", "w/w"),
    (r"\b(?:by|in) (?:mass|weight|wt\b\.?)(?![a-z])", "w/w"),
    (rf"\b(?:{_W}|m) ?[/:] ?{_V}(?![a-z])", "w/v"),
    (rf"\b{_V}(?: ?[/:+] ?{_V})+(?![a-z])|\bby vol(?:ume)?\b", "v/v"),
))  # fmt: skip
_KIND = r"[ ,(\[]*(?P<kind>[wv]/[wv])[)\]]*"
_WORD = r"(?:in|with|and|plus|containing)\b"
_END = rf"(?=\s*(?:$|[,+;/:()\[\]&]|\b{_WORD}))"
_NAME = rf"(?P<name>(?!{_WORD})(?=[0-9-]*[a-z])[a-z0-9](?:(?!\b{_WORD})[a-z0-9 -])*?)"
_STATED = (
    re.compile(rf"(?P<number>{NUMBER}) ?%{_KIND} *(?:of )?{_NAME}{_END}"),
    re.compile(rf"{_NAME}[ ,(]+(?P<number>{NUMBER}) ?%{_KIND}{_END}"),
    re.compile(rf"(?P<number>{NUMBER}) ?% (?:of )?{_NAME}{_END}{_KIND}"),
)
_SOLVENT = re.compile(rf"(?<![a-z0-9])(?:{'|'.join(NAMES)})(?![a-z0-9])")
_KINDS = re.compile(r"[ ]*\b[wvm]/[wvm]\b")
_EMPTY_COMMA = re.compile(r",(?=\s*[,+;])")
_UNCLEAR = (
    (re.compile(rf"{NUMBER} ?n (?=\S)"), "normality depends on the reaction: write mol/L or mM"),
    (re.compile(rf"{NUMBER} ?ml/l\b"), "write %: 10 mL/L is 1 %"),
    (re.compile(rf"{NUMBER} ?mm?ol (?=\D)"), "an amount, in how much liquid? Write mol/L or mM"),
    (re.compile(rf"{NUMBER} ?[mu]?g (?:of )?[a-z]\w*"), "a mass, in how much liquid? Write g/L"),
    (re.compile(rf"{NUMBER} ?ml (?:of )?[a-z]\w*"), "a volume, in how much liquid? Write %"),
    (re.compile(rf"{NUMBER} ?- ?{NUMBER}(?: ?%|$)"), "a range, or a proportion? Write it as 60:40"),
    (re.compile(r"(?<![\w-])propanol\b"), "1-propanol or 2-propanol?"),
    (re.compile(r"\bn-propanol\b|(?<![\w-])n-?proh\b"), "1-propanol, of which no data are held"),
)
_WEIGHED = re.compile(rf"{NUMBER} ?[km]?g (?:of )?(?:{'|'.join(NAMES)})(?![a-z0-9])")
_KNOWN = [
    word for word in (*NAMES, *USUAL, *LARGE, *BESIDE, *SHORT) if len(word) > 4 and word.isalpha()
]
_OTHERS = frozenset({
    "pentane", "octane", "isooctane", "nitrate", "nitrite", "sulfite", "sulfide", "thiosulfate",
    "chlorate", "chlorite", "phosphonate", "phosphite", "persulfate", "sulfonic", "boronic",
    "bromide", "iodide", "fluoride", "cyanate", "butanol", "pentanol", "hexanol", "heptanol",
    "octanol", "ethane", "methane", "hexene", "heptene", "acetone", "acetyl", "lactic", "lactate",
    "propionic", "butyric", "periodic", "trimethylamine", "dimethylamine", "hydride", "hydrate",
    "trichloroacetic", "trichloroacetate", "chloroacetic", "ethanolamine", "methanal", "ethanal",
    "octanesulfonyl", "butanesulfonate", "butanesulfonic", "nonanesulfonate", "decanesulfonate",
    "ethylamine", "acetamide", "perchlorate", "tetraethylammonium", "tetramethylammonium",
    "tetrapropylammonium", "triethanolamine", "cyclohexane", "cyclopentane", "isohexane",
    "dioxane", "pyrophosphate", "permanganate", "toluene", "methylal",
})  # fmt: skip
"""Substances by their right names: none is a slip for what is known (common knowledge)."""


_NUMBERS = tuple((re.compile(seen), why) for seen, why in (
    (r"(?P<one>\d+)[, ](?P<other>000)(?!\d)", "write {one}{other}, or {one} where that is meant"),
    (r"(?P<one>\d+),(?P<other>\d+)", "write a decimal point, {one}.{other}"),
    (r"\d*\.\d*\.\d+", "which number is it?"),
    (r"(?<!\d)[.,](?P<digits>\d+)", "write 0.{digits}, where that is meant"),
    (r"(?<![\d.])0+(?P<digits>\d+)", "write {digits}, or 0.{digits} where that is meant"),
))  # fmt: skip
_COMPRESSED = re.compile(
    r"\bsc-?\s?co[2₂]|(?<![a-z0-9])co[2₂](?![a-z0-9])|\bcarbon dioxide\b"
    r"|\b(?:super|sub|near)-?\s?critical\b|\bsf[ce]\b"
)


class NotUnderstood(Exception):
    """Why the text of a solvent is refused; as text."""


class Stated(NamedTuple):
    """A per cent with what it is of: `kind` is "w/w", "w/v" or "v/v"; `last`: it stands behind."""

    number: str
    name: str
    kind: str
    last: bool


class Kinds(NamedTuple):
    """A text without its kinds of proportion, and the kinds: of one per cent, and of the rest."""

    text: str
    stated: tuple[Stated, ...]
    others: tuple[str, ...]

    @property
    def dissolved(self) -> frozenset[tuple[str, str]]:
        """The kind of each per cent that is not a solvent's, with its number."""
        found = (item for item in self.stated if not _of_solvent(item))
        return frozenset((item.kind, item.number) for item in found)

    def refuse_solvents_by_mass(self) -> None:
        """Refuses a per cent by mass of a solvent; raises NotUnderstood."""
        if any(i.kind != "v/v" and _of_solvent(i) and float(i.number) != 100 for i in self.stated):
            raise NotUnderstood(BY_MASS)

    def refuse_a_mixture_by_mass(self) -> None:
        """Refuses a kind by mass that may be that of several solvents; raises NotUnderstood."""
        kinds = {*self.others, *(item.kind for item in self.stated)}
        perhaps = any(item.last and item.kind == "w/w" for item in self.stated)
        if {"w/w", "w/v"} & {*self.others} or (perhaps and "v/v" not in kinds):
            raise NotUnderstood(BY_MASS)


def kinds_of(folded: str) -> Kinds:
    """The kinds of proportion [%] in a text in small letters.

    >>> kinds_of("water/methanol 50:50 (v/v) with 0.1 % (m/v) tfa").stated
    (Stated(number='0.1', name='tfa', kind='w/v', last=False),)
    """
    text = " ".join(folded.translate(SIGNS).split())
    for seen, put in _WAYS:
        text = seen.sub(put, text)
    text = " ".join(text.split())
    found: dict[int, Stated] = {}
    for place, pattern in enumerate(_STATED):
        for item in pattern.finditer(text):
            last = place == len(_STATED) - 1
            stated = Stated(item["number"], item["name"].strip(), item["kind"], last)
            found.setdefault(item.start("kind"), stated)
    others = [k[0].strip() for k in _KINDS.finditer(text) if k.end() - 3 not in found]
    text = _EMPTY_COMMA.sub("", _KINDS.sub("", text))
    return Kinds(text, tuple(found.values()), tuple(others))


def _of_solvent(item: Stated) -> bool:
    return _SOLVENT.search(plain(item.name)) is not None


def compressed(folded: str) -> bool:
    """Whether a text in small letters names a compressed gas [-]: carbon dioxide, supercritical.

    >>> compressed("sc-co2"), compressed("methanol/co2 5:95"), compressed("20 mm nahco3")
    (True, True, False)
    """
    return _COMPRESSED.search(folded) is not None


def refuse_numbers(folded: str) -> None:
    """Refuses a number [%] that may be tenfold another as it is written; raises NotUnderstood."""
    for pattern, why in _NUMBERS:
        if found := pattern.search(folded):
            raise NotUnderstood(f'"{found[0]}": {why.format(**found.groupdict())}')


def refuse_unclear(text: str) -> None:
    """Refuses a share [%] that has two meanings, with what to write; raises NotUnderstood."""
    if _WEIGHED.search(text):
        raise NotUnderstood(BY_MASS)
    for pattern, why in _UNCLEAR:
        if unclear := pattern.search(text):
            raise NotUnderstood(f'"{unclear[0].strip()}": {why}')


def not_known(seen: str) -> NotUnderstood:
    """That a word is not known [-], with the known name it is nearest to.

    >>> str(not_known("acetonitrle"))
    '"acetonitrle" is not known: acetonitrile?'
    """
    meant = " or ".join(dict.fromkeys(_meant(seen.split())))
    return NotUnderstood(f'"{seen}" is not known{f": {meant}?" if meant else ""}')


def _meant(words: list[str]) -> Iterator[str]:
    """The nearest known name of each word, and of all that a hyphen may have parted."""
    if words and not {*words} & {*_KNOWN}:
        words = [*words, "".join(words)]
    for word in dict.fromkeys(words):
        if len(word) > 3 and word.isalnum() and word not in _OTHERS and word not in _KNOWN:
            for near in get_close_matches(word, _KNOWN, 1, 0.82):
                yield OTHER_NAMES.get(near, near)

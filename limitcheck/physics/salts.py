"""How far what is dissolved moves the viscosity of water: salts, acids and bases of buffers."""

from __future__ import annotations

import re
from collections.abc import Container, Iterable
from typing import NamedTuple

# How far a solute moves ln(eta / eta_solvent), either way, where no more is known or the solvent
# is not water. Largest of 23 salts, acids and bases of buffers at up to 0.5 mol/L or 5 % by mass,
# 25 and 40 degC: 0.70 a mol/L, 0.061 a per cent (tests/reference/buffer_viscosity.csv); per cent by
# volume of an acid are within it.
PER_MOLAR, PER_PERCENT = 0.75, 0.07
# Large organic ions: tetrabutylammonium has 1.3 a mol/L (B coefficient, from memory).
PER_MOLAR_LARGE = 1.5


class Salt(NamedTuple):
    """ln(eta / eta_water) a mol/L [L/mol], its half-width [L/mol], and the molar mass [g/mol].

    The linear term of Jones and Dole, J. Am. Chem. Soc. 51 (1929) 2950; their root term is within
    the half-width: 0.2 % at 0.1 mol/L of sodium chloride, up to 0.5 % of a sulfate (from memory).
    """

    b: float
    half_width: float
    molar_mass: float | None = None


def _salt(b: float, molar_mass: float) -> Salt:
    return Salt(b, 0.04 + 0.15 * abs(b), molar_mass)


# The mean at 25 and 40 degC, up to 0.5 mol/L, of Laliberte, J. Chem. Eng. Data 52 (2007) 321:
# tests/reference/buffer_viscosity.csv.
SALTS = {
    "sodium dihydrogen phosphate": _salt(0.41, 119.98),
    "sodium hydrogen phosphate": _salt(0.60, 141.96),
    "sodium acetate": _salt(0.28, 82.03),
    "potassium acetate": _salt(0.245, 98.14),
    "lithium acetate": _salt(0.39, 65.99),
    "potassium formate": _salt(0.12, 84.12),
    "sodium bicarbonate": _salt(0.23, 84.01),
    "sodium carbonate": _salt(0.515, 105.99),
    "potassium carbonate": _salt(0.38, 138.21),
    "ammonium sulfate": _salt(0.24, 132.14),
    "sodium sulfate": _salt(0.415, 142.04),
    "potassium sulfate": _salt(0.27, 174.26),
    "sodium chloride": _salt(0.088, 58.44),
    "potassium chloride": _salt(0.005, 74.55),
    "ammonium chloride": _salt(0.004, 53.49),
    "phosphoric acid": _salt(0.30, 97.99),
    "acetic acid": _salt(0.14, 60.05),
    "formic acid": _salt(0.028, 46.03),
    "sulfuric acid": _salt(0.19, 98.08),
    "hydrochloric acid": _salt(0.062, 36.46),
    "ammonia": _salt(0.033, 17.03),
    "potassium hydroxide": _salt(0.125, 56.11),
    # That table and the B coefficients of the ions (Jenkins and Marcus, Chem. Rev. 95 (1995) 2695,
    # from memory) differ: 0.11 to 0.15 and 0.33.
    "potassium dihydrogen phosphate": Salt(0.22, 0.13, 136.09),
    # By the ions: ammonium acts like potassium (-0.007 both, from memory).
    "ammonium acetate": Salt(0.245, 0.10, 77.08),
    "ammonium formate": Salt(0.12, 0.10, 63.06),
    # Whichever of its salts.
    "phosphate": Salt(0.40, 0.35),
    "sodium phosphate": Salt(0.50, 0.25),
    "potassium phosphate": Salt(0.35, 0.30),
    "acetate": Salt(0.27, 0.25),
    "formate": Salt(0.12, 0.15),
}
"""Names in full, cation first. Outside 25 to 40 degC the slope with temperature goes on."""
SHORT = {
    "nacl": "sodium chloride", "kcl": "potassium chloride", "naoac": "sodium acetate",
    "nh4oac": "ammonium acetate", "ch3coonh4": "ammonium acetate",
    "nh4ac": "ammonium acetate", "ch3coona": "sodium acetate", "koac": "potassium acetate",
    "hoac": "acetic acid", "acoh": "acetic acid", "hac": "acetic acid", "ch3cooh": "acetic acid",
    "hcoonh4": "ammonium formate", "nh4hco2": "ammonium formate", "nh4cooh": "ammonium formate",
    "hcoona": "sodium formate", "hcooh": "formic acid", "fa": "formic acid",
    "hcl": "hydrochloric acid",
    "h2so4": "sulfuric acid", "na2so4": "sodium sulfate", "k2so4": "potassium sulfate",
    "na2co3": "sodium carbonate", "k2co3": "potassium carbonate", "nh4cl": "ammonium chloride",
    "nahco3": "sodium bicarbonate", "khco3": "potassium bicarbonate", "nh3": "ammonia",
    "nh4h2po4": "ammonium dihydrogen phosphate", "nh4oh": "ammonium hydroxide",
    "k2hpo4": "potassium hydrogen phosphate", "nh4hco3": "ammonium bicarbonate",
    "naoh": "sodium hydroxide", "dipotassium": "potassium",
    "kh2po4": "potassium dihydrogen phosphate", "nah2po4": "sodium dihydrogen phosphate",
    "na2hpo4": "sodium hydrogen phosphate", "h3po4": "phosphoric acid",
    "koh": "potassium hydroxide", "lioh": "lithium hydroxide", "licl": "lithium chloride",
    "hclo4": "perchloric acid", "naclo4": "sodium perchlorate",
    "tfa": "trifluoroacetic acid", "cf3cooh": "trifluoroacetic acid",
    "hfba": "heptafluorobutyric acid", "tea": "triethylamine", "dea": "diethylamine",
    "disodium": "sodium", "monosodium": "sodium", "monopotassium": "potassium",
}  # fmt: skip
"""Formulas and short names, and how each is written out."""
FOR_THE_PH = " for the pH"
"""Behind the name of what is added until the pH is reached."""
_ASIDE = ("aqueous", "anhydrous")
_AN_ACID = re.compile(r"\b([a-z]+(?<!bas)ic)\b(?! acid\b)")
_MONOBASIC, _DIBASIC = "dihydrogen phosphate", "hydrogen phosphate"


def written_out(words: Iterable[str]) -> list[str]:
    """The words of a solute [-] in small letters, its formulas and short names written out.

    >>> written_out(["kh2po4", "buffer"])
    ['potassium', 'dihydrogen', 'phosphate', 'buffer']
    """
    return [out for word in words for out in SHORT.get(word, word).split()]


def full_name(words: Iterable[str]) -> str:
    """The name of a solute by its words in small letters [-], as in ``SALTS`` where it is known.

    >>> full_name(["sodium", "phosphate", "monobasic"]), full_name(["nah2po4"])
    ('sodium dihydrogen phosphate', 'sodium dihydrogen phosphate')
    >>> full_name(["tfa"])
    'trifluoroacetic acid'
    """
    text = " ".join(word for word in written_out(words) if word not in _ASIDE)
    text = _AN_ACID.sub(r"\1 acid", text)
    for name, meant in (("monobasic", _MONOBASIC), ("dibasic", _DIBASIC)):
        if name in text.split():
            text = " ".join(text.replace(name, "").split()).replace("phosphate", meant)
    return text


_MISCIBLE = frozenset({"acetic acid", "trifluoroacetic acid", "triethylamine", "diethylamine"})
POURED = frozenset({
    "formic acid", "acetic acid", "trifluoroacetic acid", "heptafluorobutyric acid",
    "phosphoric acid", "sulfuric acid", "hydrochloric acid", "perchloric acid",
    "methanesulfonic acid", "triethylamine", "diethylamine", "ammonia", "ammonium hydroxide",
})  # fmt: skip
"""Solutes that are measured out as liquids, by volume (common practice, no source)."""
_MISCIBLE_BUT_ALKANES = frozenset({"formic acid"})
_ALKANES = frozenset({"hexane", "heptane"})


def may_separate(name: str, solvents: Container[str]) -> bool:
    """Whether a solute by its ``full_name`` [-] may come out of solvents [-].

    At the few per cent covered, liquid acids and bases mix with water and the solvents of
    ``SOLVENTS``, formic acid not with alkanes (common practice, no source).

    >>> may_separate("formic acid", ["acetonitrile"]), may_separate("phosphate", ["acetonitrile"])
    (False, True)
    """
    alone = full_name(name.removesuffix(FOR_THE_PH).split())
    if alone in _MISCIBLE_BUT_ALKANES:
        return any(alkane in solvents for alkane in _ALKANES)
    return alone not in _MISCIBLE


def moved(name: str, amount: float, molar: bool) -> tuple[float, float] | None:
    """By how much a solute moves ln(eta) of water, and the half-width [-]; None where not known.

    Its ``full_name``, its amount [mol/L] or, where not ``molar``, in per cent by mass.

    >>> [round(number, 4) for number in moved("sodium chloride", 0.1, molar=True)]
    [0.0088, 0.0053]
    """
    known = SALTS.get(name)
    if known is None:
        return None
    if not molar:
        if known.molar_mass is None:
            return None
        amount *= 10.0 / known.molar_mass
    return known.b * amount, known.half_width * amount

"""Every number and word of a solvent's text counts: what is not used makes it refused."""

from __future__ import annotations

import re

import pytest

from limitcheck.physics.liquid import CannotPredict, Liquid, viscosity_ratio_error
from limitcheck.physics.mobile_phase import liquid
from limitcheck.physics.salts import SHORT
from limitcheck.physics.solvent_text import acidities
from limitcheck.physics.solvent_words import BESIDE, LARGE, USUAL
from limitcheck.profile.names import _LONGEST_TEXT

from .test_solvent_texts import ALL

MORE = """
    20 mM phosphate, pH 2.5, adjusted with phosphoric acid | 5 % 2-propanol in hexane 95 %
    10 % methanol/90 % 10 mM phosphate | water/formic acid 99.9:0.1 | TFA 0.1 % in water 100 %
    0.1 % TFA in water 50 %, methanol 50 % | 0.1 % formic acid in 95 % water, 5 % methanol
    water/acetonitrile 95:5 (v/v) with 10 mM ammonium acetate, pH 5 with acetic acid
    94.9 % water, 5 % acetonitrile, 0.1 % TFA | 20 mM phosphate in 100 % water
    water with 99 % methanol, 1 % TFA | water/formic acid (99.9 %/0.1 %)
    20 mM phosphate/methanol 70 %:30 % | 20 mM phosphate in water | 20 mM phosphate buffer pH 7
    20 mM phosphate, pH 7, with 5 % acetonitrile | 70 % ethanol in hexane | 1 % NaCl in water
"""
WRITTEN = (text for pair in ALL for text in pair), MORE.replace("\n", "|").split("|")
TEXTS = sorted({text.strip() for texts in WRITTEN for text in texts if text.strip()})
NUMBER = re.compile(r"(?<![\w.₂₃])\d+(?:\.\d+)?(?![\d.])")
INTO = ("7", "7 %", "7 mM", "7 g/L", "7:3", "xylol")
"""What is put between two words of a text."""


def said(text: str) -> tuple[Liquid, tuple[float, ...]] | None:
    """What a text is read as; None where it is refused."""
    try:
        return liquid(text, None, 0.0), acidities(text.casefold())
    except CannotPredict:
        return None


def refusal(text: str) -> str:
    with pytest.raises(CannotPredict) as refused:
        liquid(text, None, 0.0)
    return refused.value.message


@pytest.mark.parametrize("text", TEXTS)
def test_another_number_is_another_liquid(text: str) -> None:
    read = said(text)
    assert read is not None
    for number in NUMBER.finditer(text):
        for other in ("3.7", "81"):
            changed = f"{text[: number.start()]}{other}{text[number.end() :]}"
            assert said(changed) != read, changed


@pytest.mark.parametrize("text", TEXTS)
def test_what_is_put_in_is_read_or_refused(text: str) -> None:
    read = said(text)
    for gap in (0, *(found.end() for found in re.finditer(r" |$", text))):
        for more in INTO:
            changed = f"{text[:gap]} {more} {text[gap:]}"
            assert said(changed) != read, changed


@pytest.mark.parametrize("text", TEXTS)
def test_a_word_that_is_not_known_is_refused(text: str) -> None:
    for word in re.finditer(r"[^\W\d]{2,}", text):
        changed = f"{text[: word.start()]}xylol{text[word.end() :]}"
        assert said(changed) is None, changed


def test_the_share_behind_one_solvent_in_another_is_not_guessed() -> None:
    for one, other, share in (
        ("2-propanol", "hexane", 10),
        ("methanol", "acetonitrile", 30),
        ("water", "methanol", 5),
        ("acetonitrile", "water", 60),
    ):
        ways = (f"{one} in {other} {share} %", f"{one}, in {share} % {other}",
                f"{one} with 0.1 % TFA in {other} ({share} %)")  # fmt: skip
        for text in ways:
            told = refusal(text)
            for name, rest in ((one, other), (other, one)):
                assert f'"{share} % {name} in {rest}"' in told
                meant = dict(liquid(f"{share} % {name} in {rest}", None, 0.0).solvents)
                assert meant == pytest.approx({name: share / 100, rest: 1 - share / 100})
    assert "what is the 10 % of?" in refusal("hexane/ethanol 50:50 in 2-propanol 10 %")
    both = liquid("5 % 2-propanol in hexane 95 %", None, 0.0)
    assert dict(both.solvents) == pytest.approx({"2-propanol": 0.05, "hexane": 0.95})


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("20 mM phosphate in water 80 %", "it has 80 % water: write what the rest is"),
        ("20 mM phosphate in 80 % water", "it has 80 % water: write what the rest is"),
        ("20 mM phosphate, water 80 %, methanol 10 %", "its shares come to 90 %"),
        ("80 % water in water", "it gives a share of water in water"),
        (".1 % tfa in water", '".1": write 0.1'),
        (".5 % methanol in water", '".5": write 0.5'),
        ("water with .5% TFA", '".5": write 0.5'),
        ("water/methanol .5:.5", '".5": write 0.5'),
        (",1 % tfa in water", '",1": write 0.1'),
        ("20 mM phosphate, pH .7", '".7": write 0.7'),
        ("01 % tfa in water", '"01": write 1, or 0.1 where that is meant'),
        ("0,1 % TFA in water", '"0,1": write a decimal point, 0.1'),
        ("1,000 mL water + 500 mL methanol", '"1,000": write 1000, or 1 where that is meant'),
        ("1 000 mL water + 500 mL methanol", '"1 000": write 1000, or 1 where that is meant'),
        ("1..5 % tfa in water", "which number is it?"),
        ("+ 0.1 % TFA in water", "nothing stands on one side"),
        ("70 % 20 mM buffer + 30 % methanol", '"20 mM buffer": a buffer of what?'),
        ("90 % 10 mM phosphate", "it has 90 % water: write what the rest is"),
        ("10 % methanol/80 % 10 mM phosphate", "its shares come to 90 %"),
        ("20 mM phosphate/methanol 70 %:20 %", "its shares come to 90 %"),
        ("water/formic acid/methanol 70 %:30 %", "its solvents have no proportion"),
        ("99 % water, 1 % phosphate", "it has 99 % water: write what the rest is"),
        ("1 % TFA in 99 % methanol", 'write what the rest is, as in "99 % methanol in water"'),
        ("99 % methanol with 1 % TFA", 'write what the rest is, as in "99 % methanol in water"'),
        ("water/formic acid 90:10", "over 5 % of formic acid is not covered"),
        ("methanol/acetonitrile/phosphate 50:45:5", "it does not say how much phosphate"),
        ("methanol/phosphate 95:5", "it does not say how much phosphate"),
    ],
)
def test_a_number_that_cannot_be_used_is_refused(text: str, says: str) -> None:
    assert says in refusal(text)


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("10 % methanol/90 % 10 mM phosphate", "10 mM phosphate/methanol 90:10"),
        ("10 % methanol + 90 % 10 mM phosphate, pH 3", "10 mM phosphate/methanol 90:10"),
        ("70 % 20 mM phosphate buffer + 30 % methanol", "20 mM phosphate/methanol 70:30"),
        ("70 % 20 mM phosphate in methanol", "20 mM phosphate/methanol 70:30"),
        ("water/formic acid 99.9:0.1", "0.1 % formic acid in water"),
        ("water/formic acid (99.9 %/0.1 %)", "0.1 % formic acid in water"),
        ("20 mM phosphate/methanol 70 %:30 %", "20 mM phosphate/methanol 70:30"),
        ("99.9 % water, 0.1 % formic acid", "0.1 % formic acid in water"),
        ("0.1 % formic acid/99.9 % water", "0.1 % formic acid in water"),
        ("94 % water + 5 % MeOH + 1 % TFA", "water/methanol/TFA 94:5:1"),
        ("TFA/acetonitrile 0.1:99.9", "0.1 % TFA in acetonitrile"),
    ],
)
def test_what_is_mixed_by_volume_is_read(text: str, plain: str) -> None:
    found, meant = (liquid(one, None, 0.0) for one in (text, plain))
    assert dict(found.solvents) == pytest.approx(dict(meant.solvents))
    for one, other in zip(found.solutes, meant.solutes, strict=True):
        assert one.name == other.name
        assert one[1:] == pytest.approx(other[1:])


@pytest.mark.parametrize("short", SHORT)
def test_a_formula_and_the_name_written_out_are_one_solute(short: str) -> None:
    """So the ratio of two methods with as much of it is 1, and has no width."""
    full = SHORT[short]
    assert {*full.split()} <= USUAL | LARGE | BESIDE
    if short in BESIDE or not {*full.split()} & (USUAL | LARGE):
        short, full = f"{short} phosphate", f"{full} phosphate"
    for text in ("10 mM {} in water", "1 % {} in water", "10 mM phosphate pH 3 with {}"):
        one, other = (liquid(text.format(name), None, 0.0) for name in (short, full))
        assert one == other
        assert one.solutes
        assert one.viscosity(298.15) / other.viscosity(298.15) == 1.0
        assert viscosity_ratio_error(one, 298.15, other, 298.15) == 0.0


@pytest.mark.parametrize("acid", sorted(w for w in USUAL | LARGE if w.endswith("ic")))
def test_an_acid_needs_not_be_called_one(acid: str) -> None:
    one, other = (liquid(f"10 mM {name}", None, 0.0) for name in (acid, f"{acid} acid"))
    assert one == other


@pytest.mark.parametrize(
    "piece", ["water - ", "water and ", "h2o&", "and water ", "water: ", "5w/", "5 % w/w x ", "[:"]
)
@pytest.mark.parametrize("end", ["", "5", " !", " 1:1"])
def test_a_long_text_is_refused_at_once(piece: str, end: str) -> None:
    """A pattern that reads it in two ways at each piece would never end."""
    text = (piece * _LONGEST_TEXT)[: _LONGEST_TEXT - len(end)] + end
    assert said(text) is None


@pytest.mark.parametrize(
    ("solvent_a", "solvent_b", "write"),
    [
        ("hexane", "10 % isopropanol", '"2-propanol/water 10:90" or "2-propanol/hexane 10:90"'),
        ("acetonitrile", "10 % methanol", '"methanol/acetonitrile 10:90"'),
        ("Methanol 62.5 %", "MeCN", '"methanol/acetonitrile 62.5:37.5"'),
        ("methanol", "10 % ACN with 0.1 % formic acid", '"acetonitrile/methanol 10:90"'),
    ],
)
def test_a_percentage_alone_beside_a_solvent_without_water_is_asked_about(
    solvent_a: str, solvent_b: str, write: str
) -> None:
    with pytest.raises(CannotPredict, match="per cent alone") as refused:
        liquid(solvent_a, solvent_b, 40)
    assert write in refused.value.message
    assert refused.value.at in (("conditions", "solvent_a"), ("conditions", "solvent_b"))


def test_a_percentage_alone_beside_water_is_in_water() -> None:
    for other in ("water", "20 mM phosphate, pH 2.5", "acetonitrile/water 5:95", "5 % methanol"):
        found = dict(liquid(other, "10 % methanol", 100).solvents)
        assert found == pytest.approx({"methanol": 0.1, "water": 0.9})
    # one that is not used says nothing, and one that names its water is clear
    assert dict(liquid("acetonitrile", "10 % methanol", 0).solvents) == {"acetonitrile": 1.0}
    for clear in ("methanol/water 10:90", "10 % methanol in water", "water with 10 % methanol"):
        assert dict(liquid("acetonitrile", clear, 50).solvents)["water"] == pytest.approx(0.45)

"""The same liquid in the ways in which people write it; and what is refused, with what to write."""

from __future__ import annotations

import pytest

from limitcheck.physics.blend import with_water
from limitcheck.physics.liquid import CannotPredict, Liquid
from limitcheck.physics.mobile_phase import liquid
from limitcheck.physics.solvent_text import pure_solvent

SAME = {
    "water/acetonitrile 95:5": """
        water-acetonitrile 95:5 | acetonitrile-water 5:95 | water–acetonitrile (95:5)
        water—acetonitrile 95:5 | water / acetonitrile (95 / 5) | water : acetonitrile = 95 : 5
        water/acetonitrile, 95/5 | water/acetonitrile, 95:5, v/v | water and acetonitrile 95:5
        water and acetonitrile (95:5, v/v) | water+acetonitrile 95+5
        acetonitrile + water (5 + 95, v + v) | a mixture of water and acetonitrile (95:5)
        water and acetonitrile in the ratio 95:5 | 95:5 water acetonitrile | H2O-MeCN 95:5
        acetonitrile 5 % | 5 % MeCN | acetonitrile, 5 %
        acetonitrile 5 % in water | acetonitrile (5 %) in water | acetonitrile, 5 % in water
        5 vol% acetonitrile in water | 5 vol.-% acetonitrile in water | H₂O/CH₃CN 95:5
        5 % (v/v) acetonitrile in water | 5 per cent acetonitrile in water
        95 % water, 5 % acetonitrile | 95 % water and 5 % acetonitrile | 95 water:5 acetonitrile
        water 95 % / acetonitrile 5 % | acetonitrile 5 % water 95 % | 5 % water in water/ACN 90:10
        water 95: acetonitrile 5 | 95 parts water, 5 parts acetonitrile | water, acetonitrile 5 %
        950 mL water + 50 mL acetonitrile | 0.95 L of water and 50 mL of acetonitrile
        """,
    "water/methanol 50:50": """
        50% methanol | MeOH 50 % | methanol, 50 %
        50 % aqueous methanol | aqueous methanol 50 % | aqueous methanol (50 %) | MeOH/H2O 1:1
        aqueous 50 % methanol | 50 % aq. methanol | methanol, aqueous, 50 % | MeOH/H2O 50/50 v/v
        MeOH/H2O 50/50 vv | 50:50 v/v methanol water | methanol 50 / water 50 | CH3OH-H2O 1:1
        methanol 50 % water 50 % | 50 % methanol + 50 % water | 50 % methanol 50 % water
        """,
    "ethanol/water 96:4": """
        ethanol 96 % | ethanol 96% | 96 % ethanol | ethanol (96 %) | ethanol 96 % (v/v)
        EtOH 96 vol% | 96 % aqueous ethanol | ethanol, 96 %
        """,
    "water/methanol 40:60": """
        methanol/water (60%/40%) | methanol/water 60 %:40 % | 60%/40% methanol/water
        MeOH:H2O, 60 % / 40 % | methanol 60 %, water
        """,
    "water/acetonitrile 50:50 with 0.1 % TFA": """
        water/acetonitrile 50:50 (v/v) with 0.1 % (w/v) TFA | 1 g/L TFA in water/acetonitrile 50:50
        water/acetonitrile (50:50, v/v) with 0.1 % TFA (w/v) | water/ACN 50:50 + 0.1 % (m/m) TFA
        water/acetonitrile (50%/50%) with 0.1 % TFA | 0.1 wt% TFA in water/acetonitrile 50:50
        """,
    "0.77 g/L ammonium acetate": """
        0.77 g ammonium acetate in 1 L water | 770 mg of ammonium acetate in 1000 mL of water
        1 L water + 0.77 g ammonium acetate | 0.385 g ammonium acetate in 0.5 L ultrapure water
        """,
    "10 mM ammonium acetate": "10 mmol ammonium acetate in 1 L water | 0.01 mol NH4OAc per 1 L H2O",
    "water": """
        HPLC water | water (HPLC grade) | ultrapure water | double distilled water | DI water
        deionised H2O | demineralized water | water for chromatography | ddH2O | H₂O | 100 % water
        """,
    "acetonitrile": """
        CH3CN | LC-MS grade acetonitrile | acetonitrile, HPLC-grade | 100% ACN
        acetonitrile (HPLC gradient grade)
        """,
    "ethanol": """
        absolute ethanol | ethanol, absolute | C2H5OH | anhydrous ethanol | ethanol, anhydrous
        dry ethanol | 100 % ethanol (w/w)
        """,
    "hexane/2-propanol 90:10": """
        hexane-isopropanol 90:10 | n-hexane-2-propanol 90:10 | n-hexane - i-PrOH 90:10
        hexane and isopropyl alcohol 90:10 | hexane + 10 % IPA
        """,
    "acetonitrile/methanol/water 20:30:50": """
        acetonitrile-methanol-water 20:30:50 | acetonitrile, methanol and water (20:30:50)
        acetonitrile:methanol:water 20:30:50 v/v/v | water with 20 % ACN and 30 % MeOH
        """,
    "water with 0.1 % TFA": """
        0.1 % aq. TFA | H2O+0.1%TFA | H2O w/ 0.1 % TFA | water acidified with 0.1 % TFA
        TFA (0.1 %) in water | 0.1 percent TFA in water
        """,
    "water/acetonitrile 95:5 with 0.1 % TFA": """
        0.1% TFA in H2O:ACN (95:5) | 95 % water, 5 % acetonitrile, 0.1 % TFA
        water (0.1 % TFA)/acetonitrile (0.1 % TFA) 95:5 | 0.1 % TFA in 5 % aqueous acetonitrile
        """,
    "5 mM sulfuric acid": "5 mM H2SO4 | 0.005 M H2SO4 | 5mM H2SO4 | 5 mM sulphuric acid",
    "10 mM hydrochloric acid": "0.01 M HCl | 10 mM HCl in water",
    "10 mM tris hydrochloride": "10 mM Tris HCl | 10 mM Tris-HCl pH 8.0 | 10 mM Tris/HCl, pH 8",
    "10 mM ammonium formate": "10 mM NH4HCO2 | 10 mmol·L-1 HCOONH4 | 10 mmol L-1 NH4COOH",
    "25 mM potassium phosphate": "25 mM K2HPO4/KH2PO4 | 25 mM KH2PO4/K2HPO4, pH 7",
    "20 mM KH2PO4": "20 mM potassium dihydrogen orthophosphate | 20 mmol dm-3 KH2PO4",
    "0.1 % phosphoric acid in water": "0.1 % o-phosphoric acid in water | 0.1% H3PO4 in H2O",
    "8 mM sodium carbonate + 1 mM sodium bicarbonate": "8 mM Na2CO3/1 mM NaHCO3",
    "5 mM heptanesulfonate": "5 mM heptane sulfonate | 5 mM 1-heptanesulphonate",
    "10 mM (NH4)2SO4": "10 mM ammonium sulfate | 10 mM ammonium sulphate",
    "25 mM phosphate/acetonitrile 70:30": """
        phosphate buffer (25 mM, pH 7.0)-acetonitrile (70:30, v/v)
        phosphate buffer (pH 7.0, 25 mM)/acetonitrile 70:30
        acetonitrile-phosphate buffer (25 mM; pH 3) 30:70
        25 mM phosphate (pH 3)/acetonitrile (70:30, v/v)
        """,
}
ALL = [(t, plain) for plain, texts in SAME.items() for t in texts.replace("\n", "|").split("|")]


def read(text: str) -> Liquid:
    return liquid(text, None, 0.0)


def alike(one: Liquid, other: Liquid) -> bool:
    return dict(one.solvents) == pytest.approx(dict(other.solvents)) and [
        (solute.name, pytest.approx(solute.half_width)) for solute in one.solutes
    ] == [(solute.name, solute.half_width) for solute in other.solutes]


@pytest.mark.parametrize(("text", "plain"), [(t.strip(), p) for t, p in ALL if t.strip()])
def test_one_liquid_in_many_words(text: str, plain: str) -> None:
    if text == "5 % water in water/ACN 90:10":
        plain = "water/acetonitrile 90.5:9.5"
    assert alike(read(text), read(plain))


@pytest.mark.parametrize(
    ("plain", "organic", "fraction"),
    [
        ("water/acetonitrile 95:5", "acetonitrile", 0.05),
        ("water/methanol 50:50", "methanol", 0.5),
        ("ethanol/water 96:4", "ethanol", 0.96),
        ("water with 0.1 % TFA", "water", 1.0),
        ("acetonitrile", "acetonitrile", 1.0),
    ],
)
def test_the_plain_texts_are_what_they_say(plain: str, organic: str, fraction: float) -> None:
    assert dict(read(plain).solvents) == pytest.approx(dict(with_water(organic, fraction)))


def test_a_little_among_the_proportions_is_dissolved_in_all() -> None:
    """95:5:0.1 by volume: 0.1 of 100.1 parts."""
    for text in ("water/acetonitrile/TFA (95:5:0.1, v/v/v)", "water-acetonitrile-TFA 95:5:0.1"):
        found = read(text)
        assert alike(found, read("water/acetonitrile 95:5 with 0.0999001 % TFA"))
    half = read("methanol/water/acetic acid 50:49:1")
    assert dict(half.solvents) == pytest.approx({"methanol": 50 / 99, "water": 49 / 99})
    assert [solute.name for solute in half.solutes] == ["acetic acid"]


def test_what_stands_in_brackets_behind_one_solvent_is_in_that_alone() -> None:
    one = read("water (0.1 % TFA)/acetonitrile 60:40")
    assert one.solutes[0].half_width == pytest.approx(0.6 * read("0.1 % aq. TFA").dissolved)
    assert alike(one, read("acetonitrile/0.1 % TFA in water 40:60"))
    for both in (
        "0.1 % TFA in water/0.1 % TFA in acetonitrile 50:50",
        "0.1 % TFA in water/ACN 1:1",
    ):
        assert alike(read(both), read("water/acetonitrile 50:50 with 0.1 % TFA"))
    assert read("water/acetonitrile 60:40 (0.1 % TFA)").solutes[0].half_width == pytest.approx(
        read("0.1 % aq. TFA").dissolved
    )


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("10 % hexane", 'write what the rest is, as in "10 % hexane in ethanol"'),
        ("95 % water", 'write what the rest is, as in "60 % water, 40 % methanol"'),
        ("0.1 % TFA", 'write "in water" behind it'),
        ("ethanol 96 % (w/w)", "its solvents are by mass: give them by volume"),
        ("50 wt% methanol in water", "its solvents are by mass"),
        ("water/acetonitrile 95:5 (w/v)", "its solvents are by mass"),
        ("water/acetonitrile 5 %", "its solvents have no proportion"),
        ("95 % water/acetonitrile", "its solvents have no proportion"),
        ("methanol-water", "its solvents have no proportion"),
        ("H2O/0.1 % FA", 'stands as in "water with 0.1 % formic acid"'),
        ("water/acetonitrile 5-95", '"5-95": a range, or a proportion? Write it as 60:40'),
        ("acetonitrile/water 5–95", "a range, or a proportion?"),
        ("5-95 % acetonitrile in water", "a range, or a proportion?"),
        ("hexane + ethanol 96 %", "is water the rest of the ethanol, or the other solvent?"),
        ("methanol/0.1 % formic acid 50:50", 'write "water (0.1 % formic acid)"'),
        ("water + 0.1 % TFA / acetonitrile 95:5", "it does not say in which solvent"),
        ("acetonitrile 60 %, methanol 60 %", "its shares come to 120 %"),
        ("0.005 N H2SO4", "normality depends on the reaction: write mol/L or mM"),
        ("50 mmol KH2PO4", "an amount, in how much liquid? Write mol/L or mM"),
        ("6.8 g KH2PO4 in water", '"6.8 g KH2PO4": a mass, in how much liquid? Write g/L'),
        ("6.8 g KH2PO4 in 0 L water", "a mass, in how much liquid? Write g/L"),
        ("1 g NaCl in 950 mL water + 50 mL methanol", "a mass, in how much liquid? Write g/L"),
        ("methanol/water (60%/30%)", "its shares come to 90 %"),
        ("methanol/water 60 % + 0.1 % TFA", "its solvents have no proportion"),
        ("20 mM phosphate buffer in acetonitrile", "it names several solvents, but not in which"),
        ("1 L water + 1 mL formic acid", '"1 mL formic": a volume, in how much liquid? Write %'),
        ("water with 1 mL/L formic acid", "write %: 10 mL/L is 1 %"),
        ("propanol", "1-propanol or 2-propanol?"),
        ("n-propanol", '"n-propanol": 1-propanol, of which no data are held'),
        ("water/n-PrOH 90:10", "1-propanol, of which no data are held"),
        ("denatured ethanol", "is not known"),
        ("cyclo-hexane/ethanol 90:10", '"cyclo hexane" is not known'),
        ("<water>", "is not known"),
        ("water/acetonitrile/water 95:5:", "no proportion"),
        ("20 mM Tris, 1 M NaCl", "over 0.5 mol/L of sodium chloride is not covered"),
    ],
)
def test_an_ambiguous_text_is_refused_with_what_to_write(text: str, says: str) -> None:
    with pytest.raises(CannotPredict) as refused:
        read(text)
    assert says in refused.value.message


@pytest.mark.parametrize(
    "text",
    """
        methanol 50 % w/w | 50 % w/w methanol | 50 % methanol (w/w) | 50 wt% methanol
        50 % (m/m) methanol in water | methanol/water 60:40 by weight | methanol/water 60:40 by mass
        methanol/water 60:40 (w:w) | methanol/water 60:40 wt/wt | methanol/water 60:40 (wt./wt.)
        2-propanol 5 % w/w / methanol 95 % | 70 % methanol in THF (m/v) | H₂O 70 % (m/m), ACN
        methanol/2-propanol 5 %:95 % (wt./wt.) | methanol 50 % by weight
        methanol 60 % (by wt.) | acetonitrile 10 % w/v in water
        water/methanol 60:40 w/w/w | methanol 50 mass %
        95 g water + 5 g acetonitrile | 950 g water + 50 mL acetonitrile | 1 kg of MeOH, 1 kg water
        0.1 % (w/v) TFA in water/acetonitrile 50:50 (w/w)
        water/acetonitrile 50:50 with 0.1 % TFA (w/w)
    """.replace("\n", "|").split("|"),
)
def test_solvents_by_mass_are_refused_as_such(text: str) -> None:
    if not text.strip():
        return
    with pytest.raises(CannotPredict) as refused:
        read(text)
    assert "its solvents are by mass: give them by volume before mixing" in refused.value.message
    assert "in water" not in refused.value.message.replace(text.strip(), "")


@pytest.mark.parametrize(
    "text",
    [
        f"{one}{sign}{other}"
        for spirit in ("ethanol 96 %", "96 % ethanol", "acetonitrile 80 %", "70 % 2-propanol")
        for sign in (" + ", ", ", " and ", " with ")
        for one, other in ((spirit, "methanol"), ("methanol", spirit))
    ],
)
def test_the_rest_of_a_spirit_beside_another_solvent_is_ambiguous(text: str) -> None:
    with pytest.raises(CannotPredict, match="or the other solvent"):
        read(text)


def test_where_it_is_said_what_the_rest_is_the_shares_are_read() -> None:
    for text in ("70 % ethanol in hexane", "ethanol 70 %, hexane 30 %", "ethanol/hexane 70:30"):
        assert dict(read(text).solvents) == pytest.approx({"ethanol": 0.7, "hexane": 0.3})
    for text in ("hexane + 10 % ethanol", "ethanol 10 %, hexane", "hexane, ethanol 10 %"):
        assert dict(read(text).solvents) == pytest.approx({"ethanol": 0.1, "hexane": 0.9})


@pytest.mark.parametrize(
    "text",
    [
        "20 mM phosphate buffer with 5 % acetonitrile",
        "20 mM phosphate buffer, pH 7, with 5 % acetonitrile",
        "20 mM phosphate, 5 % acetonitrile",
        "5 % acetonitrile + 20 mM phosphate buffer",
    ],
)
def test_a_buffer_with_a_share_of_organic_solvent_is_the_rest(text: str) -> None:
    """The concentration may be that before or after mixing: both are in its width."""
    found, after = read(text), read("20 mM phosphate in 5 % acetonitrile")
    before = read("20 mM phosphate/acetonitrile 95:5")
    assert dict(found.solvents) == pytest.approx({"acetonitrile": 0.05, "water": 0.95})
    assert before.shift < found.shift < after.shift
    for end in (before, after):
        assert found.shift - found.dissolved <= end.shift - end.dissolved * 0.95
        assert end.shift + end.dissolved <= found.shift + found.dissolved + 1e-12


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("acetonitrle", "acetonitrile"),
        ("water/methnol 50:50", "methanol"),
        ("20 mM phosphat, pH 3", "phosphate"),
        ("hexan/ethanol 90:10", "hexane"),
        ("20 mM amonium acetate", "ammonium"),
        ("wter", "water"),
        ("0.1 % fromic acid in water", "formic"),
        ("iso-propanl", "2-propanol"),
    ],
)
def test_a_slip_is_refused_with_the_nearest_name(typed: str, meant: str) -> None:
    with pytest.raises(CannotPredict, match=f"is not known: {meant}\\?"):
        read(typed)


@pytest.mark.parametrize("text", ["pentane", "butanol", "20 mM nitrate", "acetone", "octane"])
def test_another_substance_is_no_slip(text: str) -> None:
    with pytest.raises(CannotPredict, match="is not known; known are"):
        read(text)


def test_kinds_of_water_are_the_pure_solvent() -> None:
    for text in ("ultrapure water", "HPLC-grade water", "H₂O", "Deionized  water"):
        assert pure_solvent(text) == "water"
    assert pure_solvent("ethanol 96 %") is None

"""Drawn liquids in drawn ways of writing: read as they are or refused, never as another liquid."""

from __future__ import annotations

import re
from random import Random

import pytest

from limitcheck.physics.liquid import CannotPredict, Liquid
from limitcheck.physics.mobile_phase import liquid
from limitcheck.transfer.same_liquid import one_liquid

NAMES = {
    "water": ["water", "H2O", "HPLC water", "H₂O"],
    "acetonitrile": ["acetonitrile", "ACN", "MeCN", "dry acetonitrile"],
    "methanol": ["methanol", "MeOH", "CH3OH"],
    "ethanol": ["ethanol", "EtOH", "absolute ethanol"],
    "2-propanol": ["2-propanol", "IPA", "isopropanol", "propan-2-ol"],
}
SOLUTES = (
    ("TFA", "trifluoroacetic acid", "%", 0.07),
    ("formic acid", "formic acid", "%", 0.07),
    ("NH4OAc", "ammonium acetate", "mM", 0.75e-3),
    ("phosphate", "phosphate", "mM", 0.75e-3),
)
"""As written, the name in full, its unit, and how far one of these moves ln of a viscosity."""
BY_MASS = ("w/w", "(w/w)", "m/m", "by weight", "by mass", "(w:w)", "wt/wt", "(by wt.)", "w/v")

Shares = dict[str, float]


def solvents(draw: Random) -> tuple[str, Shares]:
    """Two or three solvents in one of the ways of writing them, and their shares."""
    names = draw.sample(list(NAMES), draw.choice([2, 2, 3]))
    first = draw.choice([5, 10, 20, 30, 50, 70, 95])
    parts = [first, 100 - first] if len(names) == 2 else draw.choice([[40, 30, 30], [70, 20, 10]])
    said = [draw.choice(NAMES[name]) for name in names]
    each = list(zip(parts, said, strict=True))
    listed = draw.choice(["/", ":", " / ", "-", " - ", ", ", " and ", "+"]).join(said)
    ways = [
        f"{listed} {':'.join(map(str, parts))}",
        f"{listed} ({'/'.join(map(str, parts))})",
        f"{':'.join(map(str, parts))} {'/'.join(said)}",
        f"{'/'.join(said)} ({'/'.join(f'{part}%' for part in parts)})",
        f"{'/'.join(said)} {':'.join(f'{part} %' for part in parts)}",
        ", ".join(f"{part} % {name}" for part, name in each),
        " + ".join(f"{10 * part} mL {name}" for part, name in each),
        " / ".join(f"{name} {part} %" for part, name in each),
        "; ".join(f"{name} ({part} %)" for part, name in each),
    ]
    if len(names) == 2:
        ways += [
            f"{parts[0]} % {said[0]} in {said[1]}",
            f"{said[1]} with {parts[0]} % {said[0]}",
            f"{said[0]}, {parts[0]} %, {said[1]}",
            f"{said[0]} {parts[0]} / {said[1]} {parts[1]}",
        ]
    shares = {name: part / 100 for name, part in zip(names, parts, strict=True)}
    return draw.choice(ways), shares


def whole(draw: Random) -> tuple[str, Shares, Shares]:
    """A text with none, one or two things dissolved; the shares, and how far each of them moves."""
    text, shares = solvents(draw)
    dissolved: Shares = {}
    for said, name, unit, moves in draw.sample(SOLUTES, draw.choice([0, 1, 1, 2])):
        amount = draw.choice([0.1, 0.5] if unit == "%" else [5, 20])
        kind = draw.choice(["", " (v/v)", " (w/v)", " w/v"]) if unit == "%" else ""
        solute = draw.choice([f"{amount} {unit}{kind} {said}", f"{said} {amount}{unit}{kind}"])
        ways = [f"{text} with {solute}", f"{text} + {solute}", f"{text}, {solute}"]
        text = draw.choice([*ways, f"{solute} in {text}"])
        dissolved[name] = amount * moves
    return text, shares, dissolved


def is_it(found: Liquid, shares: Shares, dissolved: Shares) -> bool:
    """Whether it is that liquid: a salt before or after mixing may be a third wider."""
    widths = {solute.name: solute.half_width for solute in found.solutes}
    return (
        dict(found.solvents) == pytest.approx(shares)
        and widths.keys() == dissolved.keys()
        and all(1 - 1e-9 < width / dissolved[name] < 1.4 for name, width in widths.items())
    )


def test_what_is_read_is_the_liquid_that_was_written() -> None:
    draw, read, refused = Random(7), 0, []
    for _ in range(1500):
        text, shares, dissolved = whole(draw)
        try:
            found = liquid(text, None, 0.0)
        except CannotPredict as error:
            refused.append(error.message)
            continue
        assert is_it(found, shares, dissolved), text
        read += 1
    assert read > 1350
    assert all("or the other solvent" in message for message in refused)


def test_by_mass_is_never_read_as_by_volume() -> None:
    draw = Random(8)
    for _ in range(700):
        text, _ = solvents(draw)
        kind = draw.choice(BY_MASS)
        for by_mass in (f"{text} {kind}", re.sub(r" %", f" % {kind}", text, count=1)):
            if by_mass == text:
                continue
            with pytest.raises(CannotPredict) as refused:
                liquid(by_mass, None, 0.0)
            told = refused.value.message
            assert "by mass: give" in told or "or the other solvent" in told, by_mass


def test_texts_of_two_liquids_are_never_one() -> None:
    draw = Random(9)
    drawn = [whole(draw) for _ in range(250)]
    same = 0
    for place, (text, *meant) in enumerate(drawn):
        for other, *other_meant in drawn[:place]:
            if one_liquid(text, other):
                assert meant == [pytest.approx(part) for part in other_meant], (text, other)
                same += 1
    assert same > 5

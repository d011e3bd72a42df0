"""Slips of people who fill a register, each made in one row of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from random import Random

from limitcheck.units import Pressure, plain_or_rounded

from .laboratory import Laboratory
from .registers import EXPECTED_HIGH, EXPECTED_LOW, HIGH, LOW, UNIT

FIELDS = {
    "high cutoff": HIGH,
    "low cutoff": LOW,
    "expected low": EXPECTED_LOW,
    "expected high": EXPECTED_HIGH,
}
_OTHERS = {"bar": ("psi", "MPa", "kPa"), "psi": ("bar", "MPa"), "MPa": ("bar", "psi"),
           "kPa": ("bar", "psi")}  # fmt: skip
_STEPS = {"bar": "1", "psi": "1", "MPa": "0.1", "kPa": "10"}


def _another_unit(text: str, unit: str, rng: Random) -> str | None:
    other = rng.choice(_OTHERS[unit])
    number = Pressure.of(text, unit).to(other)
    step = Fraction(_STEPS[other])
    if number < 5 * step:
        step /= 10
    return plain_or_rounded(round(number / step) * step) if number >= step else None


def _times(by: Fraction) -> Callable[[str, str, Random], str]:
    return lambda text, _, __: plain_or_rounded(Fraction(text) * by)


def _exchanged(text: str, _: str, rng: Random) -> str | None:
    places = [
        at for at in range(len(text) - 1)
        if text[at : at + 2].isdigit() and text[at] != text[at + 1]
    ]  # fmt: skip
    if not places:
        return None
    at = rng.choice(places)
    return text[:at] + text[at + 1] + text[at] + text[at + 2 :]


def _doubled(text: str, _: str, rng: Random) -> str:
    at = rng.choice([place for place, sign in enumerate(text) if sign.isdigit()])
    return text[:at] + text[at] + text[at:]


def _lost(text: str, _: str, rng: Random) -> str | None:
    digits = [place for place, sign in enumerate(text) if sign.isdigit()]
    if len(digits) < 2:
        return None
    at = rng.choice(digits)
    left = text[:at] + text[at + 1 :]
    return left if left[0] != "." and left[-1] != "." else None


OF_A_NUMBER: Mapping[str, Callable[[str, str, Random], str | None]] = {
    "another unit": _another_unit,
    "ten times": _times(Fraction(10)),
    "a tenth": _times(Fraction(1, 10)),
    "two digits exchanged": _exchanged,
    "a digit twice": _doubled,
    "a digit lost": _lost,
}
OF_A_ROW = ("low and high exchanged", "cutoff of another instrument", "unit of another instrument")
KINDS = tuple((name, kind) for kind in OF_A_NUMBER for name in FIELDS) + tuple(
    ("row", kind) for kind in OF_A_ROW
)


def slip(made: Laboratory, row: int, name: str, kind: str, rng: Random) -> dict[int, str] | None:
    """The cells of a row that a slip changes; None where it changes nothing there."""
    cells = made.rows[row]
    unit = cells[UNIT]
    if kind == "low and high exchanged":
        both = {HIGH: cells[LOW], LOW: cells[HIGH]}
        return both if all(float(cell or 0) for cell in both.values()) else None
    others = [other for other in made.rows if other[UNIT] != unit]
    if kind == "unit of another instrument":
        return {UNIT: rng.choice(others)[UNIT]} if others else None
    if kind == "cutoff of another instrument":
        column = rng.choice((HIGH, LOW))
        copied = rng.choice(others)[column] if others else ""
        return _changed(cells, column, copied)
    column = FIELDS[name]
    if not cells[column] or " " in cells[column] or float(cells[column]) == 0:
        return None
    return _changed(cells, column, OF_A_NUMBER[kind](cells[column], unit, rng))


def _changed(cells: list[str], column: int, text: str | None) -> dict[int, str] | None:
    """None where the number is the same, or none that anybody leaves standing."""
    if not text or not cells[column] or float(text) in (0.0, float(cells[column])):
        return None
    return {column: text}

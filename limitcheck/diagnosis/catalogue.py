"""What is known of each cause of a pressure: its test, how it comes, how often it is seen.

All of it is common practice, no source, unless a source is named. A test that opens the flow path
begins with the flow off and the pressure at zero.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple, TypeAlias

PRACTICE = "common practice, no source"
PREDICTED = "its pressure: ratio of two predictions; that it occurs: common practice, no source"
SIZED = "its size: hydraulic resistances in series; that it occurs: common practice, no source"
FACTORS = "exact factors of the units; that it occurs: common practice, no source"

Common: TypeAlias = Literal["often seen", "sometimes seen", "seldom seen"]
Manner: TypeAlias = Literal["suddenly", "slowly", "at-start-up", "at-an-injection", "always"]
Event: TypeAlias = Literal[
    "column change", "new batch", "new solvent", "maintenance", "new samples"
]
Family: TypeAlias = Literal[
    "restriction", "less flow", "no flow", "flow", "column", "liquid", "temperature", "display"
]

FAMILIES: dict[Family, str] = {
    "restriction": "a restriction",
    "less flow": "less flow than set",
    "no flow": "no flow through the column",
    "flow": "another flow setting",
    "column": "another column",
    "liquid": "another mobile phase",
    "temperature": "another temperature",
    "display": "the number itself",
}
"""Causes that act alike, in words."""


class Test(NamedTuple):
    """What confirms a cause: effort 1 a look, 2 minutes, 3 tools; its source."""

    effort: int
    text: str
    source: str = PRACTICE


@dataclass(frozen=True, slots=True)
class KnownCause:
    """What is known of a cause beside its pressure.

    `came` is how it usually comes, `after` which changes bring it; `swings`: the pressure swings
    with it, or does not, None where it may; `lasts` False: it does not stay for a week unseen.
    """

    family: Family
    words: str
    common: Common
    test: Test
    came: tuple[Manner, ...]
    after: tuple[Event, ...] = ()
    swings: bool | None = False
    leaks: bool = False
    lasts: bool = True
    source: str = PRACTICE


_OPEN = "flow off, zero pressure, then "
_LABEL = Test(1, "read the column's label: length, bore, particles, serial number")
_SETTING = Test(2, "read the flow setting; time the outlet into a cylinder")
_BOTTLES = Test(1, "read the labels of the bottles; see where each line ends")
_STEPS = Test(3, f"{_OPEN}step by step: limitcheck isolate")
_UNIT = Test(1, "read the unit beside the number, and in the instrument's settings")
_OVEN = Test(1, "read the oven's temperature; a second thermometer if in doubt")
_ROOM = Test(1, "read a thermometer beside the instrument; look for draught and sun")
_HEADS = Test(2, f"{_OPEN}open the purge valve and purge each head")
_AT_ONCE: tuple[Manner, ...] = ("suddenly", "at-start-up", "always")

KNOWN: dict[str, KnownCause] = {
    "inlet-frit-blocked": KnownCause(
        "restriction", "inlet frit", "often seen", _STEPS, ("slowly", "at-an-injection"),
        ("new samples", "maintenance"), source=SIZED,
    ),
    "bed-blocked": KnownCause(
        "restriction", "bed of the column", "sometimes seen", _STEPS,
        ("slowly", "at-an-injection"), ("new samples",), source=SIZED,
    ),
    "guard-column-blocked": KnownCause(
        "restriction", "guard column", "often seen", _STEPS, ("slowly", "at-an-injection"),
        ("new samples",), source=SIZED,
    ),
    "in-line-filter-blocked": KnownCause(
        "restriction", "in-line filter", "often seen", _STEPS, ("slowly",), ("maintenance",),
        source=SIZED,
    ),
    "needle-seat-blocked": KnownCause(
        "restriction", "needle seat", "sometimes seen",
        Test(2, "at low flow turn the valve to load: does the pressure fall to normal?"),
        ("at-an-injection", "suddenly"), ("new samples", "maintenance"), source=SIZED,
    ),
    "tubing-before-injector-blocked": KnownCause(
        "restriction", "tubing before the injector", "seldom seen", _STEPS,
        ("slowly", "suddenly"), ("maintenance",), source=SIZED,
    ),
    "tubing-after-injector-blocked": KnownCause(
        "restriction", "tubing after the injector", "sometimes seen", _STEPS,
        ("at-an-injection", "suddenly"), ("column change", "maintenance"), source=SIZED,
    ),
    "outlet-blocked": KnownCause(
        "restriction", "after the column", "sometimes seen",
        Test(1, "look at the waste line: kinked, plugged?"),
        ("suddenly", "slowly"), ("maintenance", "column change"), source=SIZED,
    ),
    "precipitated-buffer": KnownCause(
        "restriction", "precipitated buffer", "sometimes seen",
        Test(1, "look for crystals at the fittings; mix A and B in a vial: cloudy?"),
        ("suddenly", "at-start-up"), ("new batch", "new solvent"), source=SIZED,
    ),
    "leak": KnownCause(
        "less flow", "a leak before the column", "often seen",
        Test(1, "run a dry tissue along the fittings, tighten nothing: wet, salt?"),
        ("suddenly", "slowly"), ("maintenance", "column change"), None, leaks=True, source=SIZED,
    ),
    "air-in-pump-head": KnownCause(
        "less flow", "air in a pump head", "often seen", _HEADS,
        ("suddenly", "at-start-up"), ("new batch", "new solvent", "maintenance"), True,
        lasts=False, source=PREDICTED,
    ),
    "bubbles": KnownCause(
        "less flow", "solvent not degassed", "sometimes seen",
        Test(1, "look for bubbles in the lines to the pump; is the degasser on?"),
        ("suddenly", "at-start-up"), ("new batch", "new solvent"), True, lasts=False,
    ),
    "supply-starved": KnownCause(
        "less flow", "a blocked inlet filter", "sometimes seen",
        Test(2, f"{_OPEN}take the inlet line off the pump: does solvent run by itself?"),
        ("slowly",), ("new batch",), None,
    ),
    "check-valve": KnownCause(
        "less flow", "a check valve", "sometimes seen",
        Test(2, f"{_OPEN}purge with water, then 2-propanol, if these mix with what is in it"),
        ("suddenly", "at-start-up"), ("new solvent", "maintenance"), True,
    ),
    "worn-seal": KnownCause(
        "less flow", "a worn piston seal", "sometimes seen",
        Test(1, "look behind the pump heads: drops, crystals; read the stroke count"),
        ("slowly",), ("maintenance",), True, leaks=True,
    ),
    "no-flow": KnownCause(
        "no flow", "pump stopped, purge valve open, line off, no solvent", "often seen",
        Test(1, "look: is the pump running, the purge valve closed, solvent in the bottles?"),
        ("suddenly", "at-start-up"), ("maintenance", "column change", "new batch"), lasts=False,
        source=SIZED,
    ),
    "flow-doubled": KnownCause(
        "flow", "twice the flow", "sometimes seen", _SETTING, _AT_ONCE, source=PREDICTED
    ),
    "flow-halved": KnownCause(
        "flow", "half the flow", "sometimes seen", _SETTING, _AT_ONCE, source=PREDICTED
    ),
    "other-flow": KnownCause(
        "flow", "another flow", "sometimes seen", _SETTING, _AT_ONCE, source=SIZED
    ),
    "smaller-particles": KnownCause(
        "column", "smaller particles", "sometimes seen", _LABEL, _AT_ONCE, ("column change",),
        source=PREDICTED,
    ),
    "larger-particles": KnownCause(
        "column", "larger particles", "sometimes seen", _LABEL, _AT_ONCE, ("column change",),
        source=PREDICTED,
    ),
    "longer-column": KnownCause(
        "column", "a longer column", "sometimes seen", _LABEL, _AT_ONCE, ("column change",),
        source=PREDICTED,
    ),
    "shorter-column": KnownCause(
        "column", "a shorter column", "sometimes seen", _LABEL, _AT_ONCE, ("column change",),
        source=PREDICTED,
    ),
    "no-column": KnownCause(
        "column", "a union in place of the column", "sometimes seen",
        Test(1, "look: does a union stand in place of the column?"), _AT_ONCE,
        ("column change", "maintenance"), source=PREDICTED,
    ),
    "only-a": KnownCause(
        "liquid", "only A delivered", "sometimes seen", _BOTTLES, ("suddenly", "at-start-up"),
        ("new batch", "new solvent", "maintenance"), None, source=PREDICTED,
    ),
    "only-b": KnownCause(
        "liquid", "only B delivered", "sometimes seen", _BOTTLES, ("suddenly", "at-start-up"),
        ("new batch", "new solvent", "maintenance"), None, source=PREDICTED,
    ),
    "other-composition": KnownCause(
        "liquid", "another composition", "sometimes seen",
        Test(1, "read the composition in the method, and the labels of the bottles"), _AT_ONCE,
        ("new batch", "new solvent", "maintenance"), None, source=PREDICTED,
    ),
    "new-batch": KnownCause(
        "liquid", "a batch made up 3 % off", "sometimes seen",
        Test(1, "read how the bottle was made up; go back to the batch before, if any is left"),
        _AT_ONCE, ("new batch",), source=PREDICTED,
    ),
    "solvents-swapped": KnownCause(
        "liquid", "A and B swapped", "sometimes seen", _BOTTLES, _AT_ONCE,
        ("new batch", "new solvent", "maintenance"), source=PREDICTED,
    ),
    "heater-off": KnownCause(
        "temperature", "heater off", "sometimes seen", _OVEN, ("suddenly", "at-start-up"),
        ("column change", "maintenance"), source=PREDICTED,
    ),
    "oven-too-hot": KnownCause(
        "temperature", "oven too hot", "seldom seen", _OVEN, ("suddenly", "at-start-up"),
        ("maintenance",), source=PREDICTED,
    ),
    "other-temperature": KnownCause(
        "temperature", "another column temperature", "sometimes seen", _OVEN,
        _AT_ONCE, ("maintenance",), source=PREDICTED,
    ),
    "room-colder": KnownCause(
        "temperature", "a colder room", "sometimes seen", _ROOM, ("slowly", "at-start-up"),
        source=PREDICTED,
    ),
    "room-warmer": KnownCause(
        "temperature", "a warmer room", "sometimes seen", _ROOM, ("slowly", "at-start-up"),
        source=PREDICTED,
    ),
    "transducer-off": KnownCause(
        "display", "the transducer is off", "seldom seen",
        Test(1, "flow off: does the display fall to zero, as it should?"),
        ("slowly", "suddenly", "always"), ("maintenance",),
    ),
    "number-misread": KnownCause(
        "display", "the number was misread", "sometimes seen",
        Test(1, "read the number again, with the unit beside it"), _AT_ONCE,
    ),
}  # fmt: skip
"""By the name of the cause."""

_DISPLAY = KnownCause(
    "display", "a display in another unit", "sometimes seen", _UNIT,
    ("suddenly", "at-start-up", "always"), ("maintenance",), source=FACTORS,
)  # fmt: skip
_SOLVENT = KnownCause(
    "liquid", "another solvent in the bottle", "sometimes seen", _BOTTLES, _AT_ONCE,
    ("new batch", "new solvent"), source=PREDICTED,
)  # fmt: skip
DISPLAY_IN, SOLVENT_A_IS, SOLVENT_B_IS = "display-in-", "solvent-a-is-", "solvent-b-is-"
"""What the names of the other causes begin with: a unit, or a solvent, follows."""


def known(name: str) -> KnownCause:
    """What is known of a cause by its name; raises KeyError for a name that is none.

    >>> known("display-in-psi").family, known("solvent-a-is-methanol").family
    ('display', 'liquid')
    """
    if name.startswith(DISPLAY_IN):
        return _DISPLAY
    if name.startswith((SOLVENT_A_IS, SOLVENT_B_IS)):
        return _SOLVENT
    return KNOWN[name]


def words(name: str) -> str:
    """A cause in few words, by its name.

    >>> words("display-in-psi"), words("solvent-a-is-methanol"), words("worn-seal")
    ('display in psi', 'methanol as A', 'a worn piston seal')
    """
    for prefix, letter in ((SOLVENT_A_IS, "A"), (SOLVENT_B_IS, "B")):
        if name.startswith(prefix):
            return f"{name.removeprefix(prefix)} as {letter}"
    if name.startswith(DISPLAY_IN):
        return f"display in {name.removeprefix(DISPLAY_IN)}"
    return KNOWN[name].words

"""How far a pressure swings within a minute: more than usual or not, and what makes it swing.

Only the swing that the profile states can say what is usual of a pump. What is said of pumps in
general is common practice, no source, and no verdict.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from ..errors import Refused, cut
from ..physics.strokes import Strokes, strokes
from ..profile.model import Profile
from ..units import Pressure
from ..units.printing import short
from .catalogue import KNOWN, PRACTICE, Test

IN_GENERAL = "Common practice, no source: a pump in good order swings by 1 to 3 %."
TWO_PUMPS = (
    "Where two pumps mix A and B, each has its own share of the flow, and so a longer period."
)
_ALIKE = 0.2  # of a period: as near as a watch and a display tell (assumed, no source)
_LONGEST = 3600.0  # s
_SECONDS = re.compile(r"([0-9]{1,6}(?:\.[0-9]{1,6})?) ?s?")

Verdict = Literal["more than expected", "within expected", "unknown"]
Speed = Literal["once a stroke", "once a cycle", "slower", "faster", "unknown"]
SPEED: dict[Speed, str] = {
    "once a stroke": "once a stroke",
    "once a cycle": "once a cycle, as when one head differs",
    "slower": "slower than the pump",
    "faster": "faster than the strokes, so time it again or check stroke_volume",
}
"""How a period compares with the pump's, in words."""


@dataclass(frozen=True, slots=True)
class SwingCause:
    """A cause of a swing, with its test.

    `for_it`: whether the period speaks for it, None where it says nothing. It never speaks against
    one: a slow display can show any period.
    """

    name: str
    words: str
    test: Test
    source: str
    for_it: bool | None


@dataclass(frozen=True, slots=True)
class Swing:
    """A swing seen, highest minus lowest, beside the one expected.

    `strokes` are the pump's periods, or `no_strokes` why they are not known; `period` [s] the one
    seen, and `speed` how both compare.
    """

    seen: Pressure
    expected: Pressure | None
    verdict: Verdict
    why_unknown: str
    strokes: Strokes | None
    no_strokes: str
    period: float | None
    speed: Speed
    causes: tuple[SwingCause, ...]

    @property
    def large(self) -> bool | None:
        """Whether it is more than usual; None where that can't be told."""
        return None if self.verdict == "unknown" else self.verdict == "more than expected"


# By effort; those after the pump head in the order of the flow.
_CAUSES: dict[str, tuple[str, Test, tuple[Speed, ...]]] = {
    "bubbles": ("degasser, or solvent not degassed", KNOWN["bubbles"].test, ("slower",)),
    "leak": ("a leak", KNOWN["leak"].test, ("once a cycle", "once a stroke")),
    "worn-seal": ("a worn piston seal", KNOWN["worn-seal"].test, ("once a cycle",)),
    "pump-pulse": (
        "the pulse of the pump itself, or its damper",
        Test(1, "count the swings in a minute, and the strokes beside them"),
        ("once a stroke",),
    ),
    "oven-cycling": (
        "oven or room switching on and off",
        Test(1, "read the oven's temperature beside the pressure for ten minutes"),
        ("slower",),
    ),
    "air-in-pump-head": ("air in a pump head", KNOWN["air-in-pump-head"].test, ("once a cycle",)),
    "check-valve": ("a check valve", KNOWN["check-valve"].test, ("once a cycle",)),
    "mixing": (
        "mixing or proportioning of A and B",
        Test(2, "run A and B premixed from one bottle: does the swing go?"),
        ("slower",),
    ),
}


def judge_swing(
    profile: Profile,
    seen: Pressure,
    expected: Pressure | None,
    period: float | None,
    *,
    elsewhere: bool = False,
) -> Swing:
    """A swing beside the one expected; `period` [s] where it was timed.

    `elsewhere`: the expected one holds at other conditions, and decides nothing here.
    """
    why = "" if expected is not None else "no [expected] swing is stated"
    if expected is not None and elsewhere:
        expected, why = None, "the [expected] swing holds at the method's own conditions"
    found = strokes(profile)
    known, missing = (None, found) if isinstance(found, str) else (found, "")
    speed = "unknown" if known is None or period is None else _speed(known, period)
    verdict: Verdict = "unknown" if seen.value else "within expected"
    if expected is not None:
        verdict = "more than expected" if seen > expected else "within expected"
    return Swing(
        seen, expected, verdict, why, known, missing, period, speed,
        tuple(_causes(profile, speed)) if verdict != "within expected" else (),
    )  # fmt: skip


def _speed(pump: Strokes, period: float) -> Speed:
    if _alike(period, pump.stroke):
        return "once a stroke"
    if pump.cycle is not None and _alike(period, pump.cycle):
        return "once a cycle"
    slowest = pump.cycle if pump.cycle is not None else pump.stroke
    return "slower" if period > slowest else "faster"


def _alike(one: float, other: float) -> bool:
    return abs(one - other) <= _ALIKE * other


def _causes(profile: Profile, speed: Speed) -> Iterator[SwingCause]:
    """The causes in the order their tests cost; first those the period speaks for."""
    conditions = profile.conditions
    mixed = conditions is not None and conditions.solvent_b is not None
    found = []
    for name, (words, test, speeds) in _CAUSES.items():
        if name == "mixing" and not mixed:
            continue
        for_it = speed in speeds if speed not in ("unknown", "faster") else None
        found.append(SwingCause(name, words, test, PRACTICE, for_it))
    yield from sorted(found, key=lambda cause: (not cause.for_it, cause.test.effort))


def period_words(swing: Swing) -> str:
    """The period seen beside the pump's, with what it can and can't say."""
    if swing.strokes is None:
        seen = "" if swing.period is None else f"{short(swing.period, 3)} s can't be compared: "
        return f"{seen}the period of the pump is not known, {swing.no_strokes}"
    stroke, cycle = swing.strokes
    pump = f"one stroke takes {short(stroke, 3)} s"
    if cycle is None:
        pump += " (heads not known)"
    elif cycle != stroke:
        pump += f", all heads in turn {short(cycle, 3)} s"
    alias = (
        f"a display renewed less often than every {short(stroke / 2, 2)} s can show a slower "
        "swing than there is"
    )
    if swing.period is None:
        return f"at this flow {pump}; {alias}"
    return f"{short(swing.period, 3)} s seen, {pump}: {SPEED[swing.speed]}; but {alias}"


def checked_swing(seen: Pressure, reading: Pressure) -> Pressure:
    """The swing, as it can be beside the reading; raises Refused."""
    if seen.value < 0 or seen.value > 2 * reading.value:
        raise Refused(
            f"swing: {seen} beside {reading} would take the pressure below zero",
            "give the highest minus the lowest pressure of a minute, with its unit if it differs",
        )
    return seen


def seconds(text: str, what: str) -> float:
    """The seconds in a text as "1.2" or "1.2 s" [s]; raises Refused."""
    found = _SECONDS.fullmatch(text.strip())
    period = float(found[1]) if found is not None else 0.0
    if not 0 < period <= _LONGEST:
        raise Refused(
            f'{what}: "{cut(text)}" is no time from one highest pressure to the next',
            "write seconds, as 1.2, above 0 and up to an hour",
        )
    return period

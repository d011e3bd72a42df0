"""Where a margin is far too wide: the units in which the same numbers would be usual.

Nothing contradicts the numbers as typed, so this is said as a possibility only.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from ..findings import Confidence, KeyPath, Suggestion
from ..meant import Group, MeantNumber
from ..meant.evidence import EXPECTED, HIGH, LOW, NEAR_UNIT
from ..meant.relations import FAR_FROM_PREDICTION
from ..units import TRADE_UNITS, Pressure
from .bench import change_text
from .subject import Subject
from .which_number import meant, places, rival_data

FAR_TOO_WIDE = 6
"""Units are at least this factor apart, bar and kgf/cm2 apart."""
LOW_SHARE = (Fraction(3, 10), Fraction(85, 100))
"""Low cutoffs that follow the method, as a share of the expected minimum (common practice)."""
WEAK_LOW = (Pressure.of(5, "bar").value, Pressure.of(20, "bar").value)
"""Low cutoffs that many laboratories set whatever the method (common practice)."""
HIGH_SHARE = (Fraction(105, 100), Fraction(16, 10))
"""High cutoffs that follow the method, as a share of the expected maximum (common practice)."""


@dataclass(frozen=True, slots=True)
class Hint:
    """What to add to a finding: its confidence is then only possible."""

    text: str = ""
    suggestions: tuple[Suggestion, ...] = ()
    doubts: tuple[KeyPath, ...] = ()
    data: dict[str, Any] = field(default_factory=dict)

    @property
    def confidence(self) -> Confidence:
        """Certain without a hint: the margin is what it is."""
        return Confidence.POSSIBLE if self.text else Confidence.CERTAIN


def usual_low(subject: Subject) -> Hint:
    """The units in which the low cutoff would follow the method, else be a usual weak one."""
    expected = subject.expected.low.value
    follows = (expected * LOW_SHARE[0], expected * LOW_SHARE[1])
    weak = (WEAK_LOW[0], min(WEAK_LOW[1], expected * LOW_SHARE[1]))
    for least, most in (follows, weak):
        hint = _hint(
            subject, [c for c, p in _in_other_units(subject, LOW) if least <= p.value <= most]
        )
        if hint.text:
            return hint
    return Hint()


def usual_high(subject: Subject) -> Hint:
    """The units in which high cutoff and expected band would go together."""
    high, band = subject.high.value, subject.expected.high
    if high <= FAR_TOO_WIDE * band.value:
        return Hint()
    found = []
    if not subject.evidence.declared.untouched:
        found = [
            change
            for change, pressure in _in_other_units(subject, HIGH)
            if _follows(pressure.value, band.value)
        ]
    found += [
        change
        for change, pressure in _in_other_units(subject, EXPECTED)
        if _follows(high, pressure.value) and _as_predicted(subject, pressure)
    ]
    return _hint(subject, found)


def _follows(high: Fraction, expected: Fraction) -> bool:
    return HIGH_SHARE[0] * expected <= high <= HIGH_SHARE[1] * expected


def _as_predicted(subject: Subject, band: Pressure) -> bool:
    predicted = subject.evidence.declared.predicted
    if predicted is None:
        return True
    most = FAR_FROM_PREDICTION * predicted.central + predicted.left_out
    return predicted.central / FAR_FROM_PREDICTION <= float(band.to("bar")) <= most


def _in_other_units(subject: Subject, group: Group) -> Iterator[tuple[MeantNumber, Pressure]]:
    """A number (of the band, its maximum) in each unit but its own and the one near it."""
    typed = subject.expected.high if group == EXPECTED else None
    number = typed or (subject.high if group == HIGH else subject.low)
    if number is None or group == subject.converted:
        return
    for unit in TRADE_UNITS:
        if unit not in (number.unit, NEAR_UNIT.get(number.unit)):
            yield MeantNumber(group, "unit", unit), Pressure.of(number.number, unit)


def _hint(subject: Subject, changes: list[MeantNumber]) -> Hint:
    """Said where the search for what was meant has said nothing: it knows more."""
    if not changes or subject.meant.pressures is not None:
        return Hint()
    named = " or ".join(change_text(subject.profile, change) for change in changes)
    first, *others = changes
    return Hint(
        f" With {named} it would be usual: that unit may have been meant.",
        tuple(meant(subject, first)),
        tuple(places(others)),
        {"rivals": [rival_data((change,)) for change in others]} if others else {},
    )

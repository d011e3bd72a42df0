"""A gradient as steps, and the dwell volume that delays it: what to change is what helps."""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import accumulate

from hypothesis import given
from hypothesis import strategies as st

from limitcheck.transfer.comparison import compare
from limitcheck.transfer.programme import programme
from limitcheck.transfer.ruling import Pair, Ruling

from .changed import changed

POINTS = st.lists(st.tuples(st.integers(0, 40), st.integers(0, 100)), min_size=2, max_size=6).map(
    lambda points: [(Fraction(m), Fraction(b)) for m, b in sorted(points)]
)


@given(POINTS)
def test_the_steps_make_up_the_programme(points: list[tuple[Fraction, Fraction]]) -> None:
    for merged in (False, True):
        found = programme(points, merged=merged)
        assert found.hold + sum(step.minutes for step in found.steps) == points[-1][0]
        assert found.start == points[0][1]
        at = found.start
        for step in found.steps:
            assert step.start == at
            at = step.end
        assert at == points[-1][1]


@given(POINTS, st.data())
def test_a_point_on_a_line_changes_nothing(
    points: list[tuple[Fraction, Fraction]], data: st.DataObject
) -> None:
    index = data.draw(st.integers(0, len(points) - 2))
    (sooner, before), (later, after) = points[index], points[index + 1]
    middle = ((sooner + later) / 2, (before + after) / 2)
    more = [*points[: index + 1], middle, *points[index + 1 :]]
    assert programme(more, merged=True) == programme(points, merged=True)


def dwell(volume: str, hold: str, injected: str = "0") -> Ruling:
    """The ruling on a dwell volume in mL for 1.0 mL, under a first hold in minutes for 2 min."""
    start = float(hold)
    points = [(0, 5), (start, 5), (start + 10, 60), (start + 13, 90), (start + 16, 90)]
    receiving = {
        "instrument.id": "HM-LC-07",
        "instrument.dwell_volume": f"{volume} mL",
        "conditions.gradient": [{"minute": m, "percent_b": b} for m, b in points],
        "conditions.injection_minute": float(injected),
    }
    sides = changed("gradient", {}), changed("gradient", receiving)
    rulings = compare(Pair(*(side.profile for side in sides)))
    return next(item for item in rulings if item.field == "instrument: dwell_volume")


@given(st.integers(1, 60))
def test_the_change_that_is_named_puts_it_right(tenths: int) -> None:
    """1.0 mL and a hold of 2 min on the sending side, at 1 mL/min on both."""
    volume = f"{tenths / 10}"
    found = dwell(volume, "2")
    if tenths == 10:
        assert found.ruling == "same"
        return
    assert found.ruling == "not allowed"
    held = re.search(r"make the first hold ([\d.]+) min", found.rule)
    injected = re.search(r"inject ([\d.]+) min later", found.rule)
    if held:
        assert float(held[1]) == round(3 - tenths / 10, 4)
        assert dwell(volume, held[1]).ruling == "allowed"
    else:
        assert injected
        assert tenths > 30
        assert dwell(volume, "0", injected[1]).ruling == "allowed"


# ---- what reaches the column, worked out in another way

MINUTES, PERCENT = [0, 2, 12, 15, 18], [5, 5, 60, 90, 90]
"""The gradient of the base, at 1.0 mL/min and with 1.0 mL of dwell volume."""


@given(
    st.lists(st.sampled_from([-0.5, -0.02, 0, 0, 0, 0, 0.02, 0.1, 0.4, 2]), min_size=4, max_size=4),
    st.lists(st.sampled_from([-5, 0, 0, 0, 0, 0, 0, 30]), min_size=5, max_size=5),
    st.sampled_from([0.4, 0.96, 1.0, 1.0, 1.04, 1.5, 2.2]),
    st.sampled_from([0, 0, 0.5, 1.2]),
)
def test_an_accepted_gradient_reaches_the_column_as_before(
    longer: list[float], more: list[float], volume: float, injected: float
) -> None:
    """On the same column at the same flow: percent B at the inlet, by minutes since injection."""
    steps = [2.0, 10.0, 3.0, 3.0]
    lengths = [step + by for step, by in zip(steps, longer, strict=True)]
    minutes = [0.0, *accumulate(lengths)]
    percents = [min(100, max(0, b + by)) for b, by in zip(PERCENT, more, strict=True)]
    points = [
        {"minute": round(m, 4), "percent_b": b} for m, b in zip(minutes, percents, strict=True)
    ]
    receiving = {
        "instrument.id": "HM-LC-07",
        "instrument.dwell_volume": f"{volume} mL",
        "conditions.gradient": points,
        "conditions.injection_minute": injected,
    }
    sides = changed("gradient", {}), changed("gradient", receiving)
    rulings = compare(Pair(*(side.profile for side in sides)))
    words = {item.ruling for item in rulings if "gradient" in item.field or "dwell" in item.field}
    if words & {"not allowed", "cannot decide"}:
        return
    slack = 0.05 + sum(max(0.02, 0.02 * step) for step in steps)
    for tenth in range(220):
        at = tenth / 10
        now = inlet(at, minutes, percents, volume - injected)
        near = [inlet(at + by, MINUTES, PERCENT, 1.0) for by in (-slack, 0, slack)]
        assert min(near) - 0.01 <= now <= max(near) + 0.01, at


def inlet(at: float, minutes: list[float], percents: list[float], delay: float) -> float:
    """Percent B at the column some minutes after injection, at 1 mL/min."""
    time = at - delay
    if time <= minutes[0]:
        return percents[0]
    for index in range(1, len(minutes)):
        if time <= minutes[index] and minutes[index] > minutes[index - 1]:
            share = (time - minutes[index - 1]) / (minutes[index] - minutes[index - 1])
            return percents[index - 1] + share * (percents[index] - percents[index - 1])
    return percents[-1]

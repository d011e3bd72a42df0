"""`propose --write` leaves a text for which it proposes nothing else, whatever was mistaken."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from limitcheck.checking.corrections import NotFixed
from limitcheck.checking.proposed import NAMES, Proposed, written
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import load_bytes
from limitcheck.profile.text import UnreadableProfile
from limitcheck.profile.write import dump_profile
from limitcheck.units import Pressure, plain_or_rounded, round_down
from tests.detection.generator import generate
from tests.detection.measure import KINDS, slip_of
from tests.profiles_for_tests import text

TODAY = date(2026, 11, 25)
STEPS = {"bar": "1", "psi": "1", "MPa": "0.1"}
SEED = 3


def proposed(content: str) -> Proposed:
    return Proposed(load_bytes(content.encode(), "a.toml"), DEFAULT_POLICY, TODAY)


def once(content: str) -> str:
    """The text after `propose --write`."""
    try:
        after = written(proposed(content))
    except NotFixed:
        return content
    return content if after is None or after.written is None else after.written.fix.after


def holds(content: str) -> None:
    """Written twice is written once; and what is written is what was shown to come at last."""
    after = once(content)
    assert once(after) == after
    if after != content:
        shown, now = proposed(content).cutoffs, proposed(after)
        for name in NAMES:
            typed, item = now.typed(name), shown.number(name)
            if item is not None:
                assert typed == Pressure.of(item.then or item.enter, item.unit)


def number(bar: int, unit: str, step: str) -> str:
    """A pressure as it is typed in a unit."""
    return plain_or_rounded(round_down(Pressure.of(bar, "bar").to(unit), Fraction(step)))


@st.composite
def slipped(draw: st.DrawFn) -> str:
    """A profile in one unit with cutoffs that were typed in another, or in the right one."""
    unit = draw(st.sampled_from(sorted(STEPS)))
    step = STEPS[unit]
    band_high = draw(st.integers(40, 380))
    band_low = draw(st.integers(20, band_high))
    true = {
        "high": draw(st.integers(band_high, 3 * band_high)),
        "low": draw(st.integers(1, band_low)),
    }
    slips = draw(st.sampled_from([("high",), ("low",), ("high", "low"), ()]))
    typed = {name: draw(st.sampled_from(sorted(STEPS))) if name in slips else unit for name in true}
    rating = draw(st.integers(band_high, 700))
    rated = draw(st.sampled_from(["bar", "psi", "MPa"]))
    pump = f'"{number(rating, rated, "0.1")} {rated}"'
    derated = draw(st.sampled_from([None, 1, Fraction(4, 5), Fraction(1, 2)]))
    if derated is not None:
        less = number(int(rating * derated), rated, "0.1")
        pump += f'\nrating_at_flow = [{{flow = "1 mL/min", rating = "{less} {rated}"}}]'
    content = text(
        unit=f'"{unit}"',
        step=step,
        **{name: number(bar, typed[name], STEPS[typed[name]]) for name, bar in true.items()},
        expected_low=number(band_low, unit, step),
        expected_high=number(band_high, unit, step),
        pump=pump,
        column=f'"{draw(st.integers(rating, 900))} bar"',
    )
    return content + '\n[conditions]\nflow = "1 mL/min"\n'


@settings(max_examples=150, deadline=None)
@given(slipped())
def test_writing_twice_is_writing_once(content: str) -> None:
    try:
        proposed(content)
    except UnreadableProfile:
        assume(False)
    holds(content)


@pytest.mark.parametrize("kind", KINDS)
def test_writing_twice_is_writing_once_whatever_was_mistaken(kind: str) -> None:
    for index in range(8):
        slip = slip_of(kind, SEED, generate(SEED, index))
        if slip is not None:
            holds(dump_profile(slip.document))

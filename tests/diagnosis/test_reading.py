"""One reading: position, cutoffs, causes and their order.

The pressures of the causes come from tests of the faults; here each fault's own pressure must be
explained by that fault.
"""

from __future__ import annotations

import re
from fractions import Fraction

import pytest

from limitcheck.diagnosis.catalogue import known
from limitcheck.diagnosis.causes import Cause, bell
from limitcheck.diagnosis.reading import Reading, read
from limitcheck.physics.constants import SOLVENTS
from limitcheck.physics.faults import Faults
from limitcheck.physics.predict import CannotPredict, Change, predict
from limitcheck.units import Pressure
from tests.profiles_for_tests import WITH_GEOMETRY, with_geometry

PROFILE = with_geometry().profile
GRADIENT = WITH_GEOMETRY.replace(
    "percent_b = 18",
    "gradient = [{minute = 0, percent_b = 5}, {minute = 10, percent_b = 60}, "
    "{minute = 20, percent_b = 60}]",
)


def take(text: str, at: Change | None = None, of: str = WITH_GEOMETRY) -> Reading:
    return read(with_geometry(of).profile, Pressure.parse(text), at, in_doubt=False)


def band(reading: Reading) -> tuple[float, float]:
    """The normal band, in bar."""
    assert reading.normal is not None
    return reading.normal.low / 1e5, reading.normal.high / 1e5


def fitting(reading: Reading) -> list[str]:
    return [cause.name for cause in reading.causes if cause.fit == "fits"]


def best(reading: Reading) -> list[str]:
    return [cause.name for cause in reading.causes if cause.alike]


NORMAL_TOO = [
    "larger-particles", "new-batch", "only-a", "room-colder", "room-warmer", "smaller-particles",
    "solvent-b-is-water",
]  # fmt: skip


def test_normal() -> None:
    reading = take("160 bar")
    assert (reading.position, reading.off_by) == ("normal", 0)
    assert set(best(reading)) <= {"room-colder", "room-warmer", "new-batch"}
    assert sorted(fitting(reading)) == NORMAL_TOO


@pytest.mark.parametrize(
    ("text", "position", "off", "share"),
    [
        ("206.4 bar", "above normal", 34.4, 0.2),
        ("116 bar", "below normal", -29, -0.2),
        ("3000 psi", "above normal", 206.843 - 172, 0.2026),
    ],
)
def test_how_far_off(text: str, position: str, off: float, share: float) -> None:
    reading = take(text)
    assert reading.position == position
    assert reading.off_by / 1e5 == pytest.approx(off, abs=0.01)
    assert reading.off_share == pytest.approx(share, abs=1e-4)


SPECIFIC = [e.name for e in Faults(PROFILE).effects if not e.name.endswith("blocked")]


@pytest.mark.parametrize("name", [name for name in SPECIFIC if name != "leak"])
def test_each_fault_explains_its_own_pressure(name: str) -> None:
    effect = next(e for e in Faults(PROFILE).effects if e.name == name)
    middle = (effect.low * effect.high) ** 0.5
    reading = read(PROFILE, Pressure.of(Fraction(f"{middle / 1e5:.4g}"), "bar"), in_doubt=False)
    cause = next(c for c in reading.causes if c.name == name)
    assert cause.fit == "fits"
    # within normal, or less likely than narrower causes because their own band is wide
    assert cause.alike or name in ("only-a", "air-in-pump-head", "no-column")
    assert cause.low <= middle <= cause.high


def numbers(cause: Cause) -> list[float]:
    """The numbers in a description, in order."""
    return [float(number) for number in re.findall(r"\d+(?:\.\d+)?", cause.description)]


def test_a_blockage_is_sized_from_both_ends_of_the_band() -> None:
    """A bed of which half is closed has twice the pressure over it; 145 to 172 bar are normal."""
    budget = predict(PROFILE).budget
    share = next(s.central for s in budget if s.name == "column") / sum(s.central for s in budget)
    reading = take("280 bar")
    bed = next(c for c in reading.causes if c.name == "bed-blocked")
    closed = [1 - share / (share + 280 / end - 1) for end in (172, 145)]
    assert numbers(bed) == [round(100 * part) for part in closed]
    frit = next(c for c in reading.causes if c.name == "inlet-frit-blocked")
    assert numbers(frit) == pytest.approx([280 - 172, 280 - 145], rel=0.05)
    halved = with_geometry(WITH_GEOMETRY.replace("high = 172", "high = 145.01")).profile
    doubled = Pressure.of(Fraction(f"{145 * (1 + share):.4f}"), "bar")
    bed = next(c for c in read(halved, doubled, in_doubt=False).causes if c.name == "bed-blocked")
    assert bed.description.startswith("about 50 % of the cross-section of the bed")


def test_blockages_can_not_be_told_apart() -> None:
    reading = take("286 bar")
    blocked = {name for name in best(reading) if name.endswith("blocked")}
    assert len(blocked) == 6
    cause = next(c for c in reading.causes if c.name == "bed-blocked")
    assert blocked - {"bed-blocked"} <= set(reading.confused_with(cause))


def test_the_order_is_fit_then_how_common_then_the_cheapest_test() -> None:
    found = take("286 bar").ranking
    orders = [(ranked.points, ranked.cause.known.test.effort) for ranked in found]
    assert orders == sorted(orders)
    assert found[0].cause.known.common == "often seen"
    assert found[0].cause.alike


def test_a_leak_is_sized() -> None:
    """110 of 145 bar leave out 24 %, 110 of 172 bar 36 %."""
    leak = next(c for c in take("110 bar").causes if c.name == "leak")
    assert numbers(leak) == [24, 36]


def test_another_flow_and_composition_are_worked_out() -> None:
    """110 / 172 and 110 / 145 of the flow; compositions of the band's ends by prediction."""
    reading = take("110 bar")
    flow = next(c for c in reading.causes if c.name == "other-flow")
    assert numbers(flow)[:2] == [0.64, 0.759]
    composition = next(c for c in reading.causes if c.name == "other-composition")
    low, high = numbers(composition)[:2]
    for percent, within in ((low, True), (high, True), (low - 1, False), (high + 1, False)):
        changed = predict(PROFILE, Change(percent_b=percent)).central / predict(PROFILE).central
        assert (145 * changed <= 110 <= 172 * changed) == within


@pytest.mark.parametrize(
    ("text", "unit"), [("2300 bar", "psi"), ("16 bar", "MPa"), ("15800 bar", "kPa")]
)
def test_a_display_in_another_unit(text: str, unit: str) -> None:
    reading = take(text)
    assert best(reading) == [f"display-in-{unit}"]
    assert f"the display shows {unit}" in reading.causes[0].description


def test_no_pump_makes_it() -> None:
    reading = take("900 bar")
    assert not any(name.endswith("blocked") for name in fitting(reading))
    assert best(reading) == ["number-misread"]
    assert reading.first_act == "Stop the flow."
    assert reading.cutoffs[0] == (
        "900 bar is above what these hold: the pump 400 bar, the injector 400 bar and 1 more. "
        "Test at a lower flow only."
    )


def test_a_blockage_may_pass_the_pumps_rating() -> None:
    assert "bed-blocked" in fitting(take("450 bar"))


@pytest.mark.parametrize(("text", "said"), [("233 bar", True), ("231 bar", False)])
def test_a_restriction_behind_the_cell_may_break_it(text: str, said: bool) -> None:
    """The cell holds 60 bar: 172 bar are normal at most, what is more it would see."""
    told = [line for line in take(text).cutoffs if "behind the detector cell" in line]
    assert told == (
        ["A restriction behind the detector cell would be over what that holds, 60 bar."]
        if said
        else []
    )


@pytest.mark.parametrize(
    ("text", "unit", "fit"),
    [
        ("16.3 bar", "MPa", "fits"),  # 163 bar
        ("28 bar", "MPa", "near"),  # 280 bar: in MPa, and high as well
        ("4100 bar", "psi", "near"),  # 282.7 bar
        ("160 psi", "bar", "fits"),  # the number is in the unit of the display
    ],
)
def test_the_unit_of_a_reading_far_off_is_doubted(text: str, unit: str, fit: str) -> None:
    """Exact factors: 10 bar a megapascal, 14.5038 psi a bar (pound and inch of 1959)."""
    causes = {cause.name: cause for cause in take(text).causes}
    assert causes[f"display-in-{unit}"].fit == fit


def test_a_reading_near_normal_is_not_doubted() -> None:
    names = [cause.name for cause in take("210 bar").causes]
    assert not any(name.startswith("display-in") for name in names)


@pytest.mark.parametrize("letter", ["a", "b"])
def test_a_mistaken_solvent_is_the_prediction_with_that_solvent(letter: str) -> None:
    """The ratio is that of two predictions, the second with the other solvent in the profile."""
    own = {"a": "water", "b": "acetonitrile"}[letter]
    other = {"a": "acetonitrile", "b": "methanol"}[letter]
    changed = WITH_GEOMETRY.replace(f'solvent_{letter} = "{own}"', f'solvent_{letter} = "{other}"')
    ratio = predict(with_geometry(changed).profile).central / predict(PROFILE).central
    cause = next(c for c in take("286 bar").causes if c.name == f"solvent-{letter}-is-{other}")
    assert cause.ratio is not None
    assert cause.ratio.central == pytest.approx(ratio, rel=1e-6)
    assert cause.low == pytest.approx(145e5 * cause.ratio.low)
    assert cause.high == pytest.approx(172e5 * cause.ratio.high)


def test_every_known_solvent_is_a_cause_or_is_said_to_be_missing() -> None:
    reading = take("286 bar")
    told = {c.name for c in reading.causes} | {missing.name for missing in reading.not_computed}
    for solvent in SOLVENTS:
        assert (f"solvent-a-is-{solvent}" in told) == (solvent != "water")
        assert (f"solvent-b-is-{solvent}" in told) == (solvent != "acetonitrile")
    assert "solvents-swapped" in told


@pytest.mark.parametrize(
    ("solvent", "said"),
    [
        ("20 mM phosphate, pH 2.5", True),
        ("10 mM ammonium acetate", True),
        ("0.1 % formic acid in water", False),
        ("water", False),
    ],
)
def test_only_a_buffer_precipitates(solvent: str, said: bool) -> None:
    text = WITH_GEOMETRY.replace('solvent_a = "water"', f'solvent_a = "{solvent}"')
    assert ("precipitated-buffer" in fitting(take("286 bar", of=text))) == said


@pytest.mark.parametrize(
    ("part", "name"),
    [("filter", "in-line-filter-blocked"), ("guard column", "guard-column-blocked")],
)
def test_only_parts_of_the_flow_path_are_blocked(part: str, name: str) -> None:
    before = '[[flow_path]]\npart = "column"'
    text = WITH_GEOMETRY.replace(before, f'[[flow_path]]\npart = "{part}"\n{before}')
    assert name not in fitting(take("286 bar"))
    assert name in fitting(take("286 bar", of=text))


def test_the_temperature_that_explains_a_reading() -> None:
    cause = next(c for c in take("206 bar").causes if c.name == "other-temperature")
    low, high = numbers(cause)[:2]
    for celsius, within in ((low, True), (high, True), (low - 1, False), (high + 1, False)):
        at = Change(temperature=celsius + 273.15)
        changed = predict(PROFILE, at).central / predict(PROFILE).central
        assert (145 * changed <= 206 <= 172 * changed) == within


def test_a_room_moves_what_is_outside_the_oven() -> None:
    """Where no oven is named the column may follow the room, or not: that is not worked out."""
    text = WITH_GEOMETRY.replace('temperature = "35 degC"\n', "")
    cause = next(c for c in take("286 bar").causes if c.name == "room-colder")
    assert cause.ratio is not None
    assert 1 < cause.ratio.central < 1.03
    untold = take("286 bar", of=text)
    assert "room-colder" not in [c.name for c in untold.causes]
    assert {"room-colder", "room-warmer"} <= {item.name for item in untold.not_computed}


def test_most_of_the_flow_is_seldom_lost() -> None:
    """A leak of nine tenths of the flow is no leak that is looked for."""
    by_name = {cause.name: cause for cause in take("20 bar").causes}
    assert by_name["leak"].common == "seldom seen"
    assert next(c for c in take("110 bar").causes if c.name == "leak").common == "often seen"


def test_zero() -> None:
    assert best(take("0 bar")) == ["no-flow"]


@pytest.mark.parametrize(
    ("text", "cutoffs", "told"),
    [
        (
            "200 bar",
            "high = 260\nlow = 30",
            ["60 bar below the high cutoff, 260 bar.", "170 bar above the low cutoff, 30 bar."],
        ),
        (
            "260 bar",
            "high = 260\nlow = 0",
            [
                "A restriction behind the detector cell would be over what that holds, 60 bar.",
                "At or above the high cutoff, 260 bar: the pump should have stopped.",
                "The low cutoff is off.",
            ],
        ),
        (
            "20 bar",
            "low = 30",
            [
                "No high cutoff is set: nothing stops the pump.",
                "At or below the low cutoff, 30 bar: the pump should have stopped.",
            ],
        ),
    ],
)
def test_cutoffs(text: str, cutoffs: str, told: list[str]) -> None:
    assert (
        list(take(text, of=WITH_GEOMETRY.replace("high = 260\nlow = 30", cutoffs)).cutoffs) == told
    )


def test_half_the_flow_halves_the_band() -> None:
    """At one temperature and composition a laminar path's pressure is in proportion to flow."""
    reading = take("80 bar", Change(flow=0.5e-6 / 60))
    assert band(reading) == pytest.approx((145 / 2, 172 / 2), rel=0.01)
    assert reading.position == "normal"


def test_another_temperature_moves_the_band_by_the_ratio_of_predictions() -> None:
    at = Change(temperature=318.15)
    ratio = predict(PROFILE, at).central / predict(PROFILE).central
    assert band(take("150 bar", at))[1] == pytest.approx(
        172 * ratio, rel=5e-3
    )  # printed to three digits


def test_gradient() -> None:
    reading = take("150 bar", of=GRADIENT)
    assert band(reading) == pytest.approx((145, 172))
    one = take("150 bar", Change(percent_b=60), of=GRADIENT)
    # 60 % is the lowest point of this run, and both ends speak of it
    assert band(one)[0] < 145 < band(one)[1] < 1.06 * 145
    half = take("150 bar", Change(flow=0.5e-6 / 60), of=GRADIENT)
    # viscosity rises with pressure, so it is a little less than half
    assert band(half) == pytest.approx((145 / 2, 172 / 2), rel=0.02)
    above = take("230 bar", of=GRADIENT)
    bed = next(c for c in above.causes if c.name == "bed-blocked")
    assert "at least" in bed.description
    assert "or more" in next(
        c.description for c in take("100 bar", of=GRADIENT).causes if c.name == "leak"
    )


def test_other_conditions_that_can_not_be_worked_out() -> None:
    with pytest.raises(CannotPredict, match="belongs in the profile"):
        take("150 bar", Change(column_length=0.25))
    bare = (
        WITH_GEOMETRY[: WITH_GEOMETRY.index("[conditions]")]
        + WITH_GEOMETRY[WITH_GEOMETRY.index("[[flow_path]]") :]
    )
    with pytest.raises(CannotPredict):
        take("150 bar", Change(flow=1e-8), of=bare)


def test_without_any_normal_pressure() -> None:
    bare = (
        WITH_GEOMETRY[: WITH_GEOMETRY.index("[expected]")]
        + WITH_GEOMETRY[WITH_GEOMETRY.index("[[flow_path]]") :]
    )
    reading = take("150 bar", of=bare)
    assert reading.position == "unknown"
    assert reading.no_normal is not None
    assert reading.cutoffs


def test_bell() -> None:
    """Four standard deviations wide, and one when integrated over ln(pressure)."""
    import math

    distance, _ = bell(120, 100, 144)
    assert distance == pytest.approx(0, abs=1e-9)
    assert bell(144, 100, 144)[0] == pytest.approx(2)
    steps = [100 * math.exp(i / 1000) for i in range(-2000, 2400)]
    assert sum(bell(p, 100, 144)[1] for p in steps) / 1000 == pytest.approx(1, abs=1e-3)
    assert bell(0, 100, 144) == (math.inf, 0)


def test_every_fault_is_in_the_catalogue() -> None:
    for effect in Faults(PROFILE).effects:
        assert known(effect.name).test.text


def test_at_other_conditions_a_reading_is_judged_as_surely_as_the_ratio() -> None:
    """Another organic solvent: the band moves by a ratio that is wide, and so does the verdict."""
    other = WITH_GEOMETRY.replace('"acetonitrile"', '"acetonitrile/methanol 50:50"')
    at = Change(percent_b=70.0)
    inside = take("150 bar", at, other)
    assert inside.moved is not None
    low, high = band(inside)
    ratio = inside.moved.highest.ratio
    assert ratio.high / ratio.central > 1.1
    for bar, position in (
        (0.5 * (low + high), "normal"),
        (1.03 * high, "unknown"),
        (0.97 * low, "unknown"),
        (1.05 * high * ratio.high / ratio.central, "above normal"),
        (0.95 * low * ratio.low / ratio.central, "below normal"),
    ):
        reading = take(f"{bar:.3f} bar", at, other)
        assert reading.position == position
        assert reading.good == (position == "normal")
        assert position != "unknown" or not reading.causes
    assert take("150 bar").moved is None


def test_two_solvents_that_separate_are_said_not_to_be_known_together() -> None:
    """Pure B, or a trace of it: the method's own pair was never mixed half and half."""
    text = WITH_GEOMETRY.replace('"water"', '"hexane"').replace('"acetonitrile"', '"methanol"')
    for share in ("100", "0.5"):
        profile = with_geometry(re.sub(r"percent_b = \d+", f"percent_b = {share}", text)).profile
        found = read(profile, Pressure.parse("300 bar"), in_doubt=False)
        missing = [item.reason for item in found.not_computed]
        assert "how viscous methanol and hexane are together is not known" in missing

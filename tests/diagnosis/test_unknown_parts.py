"""Parts of which nobody knows what they take: none is named from a computed number."""

from __future__ import annotations

import pytest

from limitcheck.diagnosis.isolation import Isolation, isolate
from limitcheck.diagnosis.reading import read
from limitcheck.physics.faults import Faults
from limitcheck.physics.left_out import FEW, NO_TUBING
from limitcheck.physics.liquid import CannotPredict
from limitcheck.profile.load import load_bytes
from limitcheck.profile.model import Profile
from limitcheck.units import Pressure

METHOD = """\
format = 1
[method]
id = "KB-TEA-014"
[instrument]
id = "KB-LC-03"
pressure_unit = "bar"
display_step = 1
[cutoffs]
high = 300
low = 20
[conditions]
flow = "1.0 mL/min"
temperature = "35 degC"
ambient = "21 degC"
solvent_a = "water"
solvent_b = "acetonitrile"
percent_b = 18
"""
BAND = """\
[expected]
low = 140
high = 160
basis = "measured"
"""
PATH = """\
[[flow_path]]
part = "pump"
rating = "400 bar"
[[flow_path]]
part = "injector"
{tubing}
[[flow_path]]
part = "column"
length = "150 mm"
bore = "4.6 mm"
particle_size = "5 um"
rating = "400 bar"
[[flow_path]]
part = "detector cell"
"""
TUBING = """\
[[flow_path]]
part = "tubing"
length = "500 mm"
bore = "0.17 mm"
"""
RESTRICTOR = """\
[[flow_path]]
part = "restrictor"
label = "back pressure"
"""


def profile(*, band: str = "", tubing: str = TUBING, behind: str = "") -> Profile:
    text = METHOD + band + PATH.format(tubing=tubing) + behind
    return load_bytes(text.encode(), "kestrel.toml").profile


def bar(number: float) -> Pressure:
    return Pressure.of(str(number), "bar")


def found(
    of: Profile, readings: dict[str, float], normal: dict[str, float] | None = None
) -> Isolation:
    twice = {name + again: bar(v) for name, v in readings.items() for again in ("", "-again")}
    good_days = {name: bar(value) for name, value in (normal or {}).items()}
    return isolate(of, twice, normal=good_days, in_doubt=False)


@pytest.mark.parametrize("normal", [None, {"all": 150}])
@pytest.mark.parametrize("outlet", [40, 60, 80, 100])
def test_a_restrictor_of_unknown_resistance_is_not_named(
    outlet: float, normal: dict[str, float] | None
) -> None:
    """Whatever its drop is: it may be what the restrictor takes on every day."""
    of = profile(band=BAND, behind=RESTRICTOR)
    answer = found(of, {"all": 230, "column-outlet": outlet}, normal)
    assert not any("restrictor" in part for excess in answer.named for part in excess.parts)
    behind = next(excess for excess in answer.excesses if excess.before == "all")
    assert (behind.normal, behind.excess) == (None, None)
    assert answer.verdict == "undecided"
    assert "can't be told" in answer.message
    assert "--normal column-outlet=..." in answer.message


def test_it_is_named_beside_readings_of_a_good_day() -> None:
    of = profile(band=BAND, behind=RESTRICTOR)
    normal = {"all": 150, "column-outlet": 65, "column-inlet": 8}
    readings = {"all": 230, "column-outlet": 65, "column-inlet": 8}
    answer = found(of, readings, normal)
    assert answer.verdict == "found"
    assert any("restrictor" in part for part in answer.named[0].parts)


def test_without_a_band_nothing_is_computed_beside_it() -> None:
    of = profile(behind=RESTRICTOR)
    answer = found(of, {"all": 230, "column-outlet": 60})
    assert (answer.verdict, answer.named) == ("unjudged", ())
    assert answer.no_normal is not None
    assert "no resistance_at" in answer.no_normal
    assert read(of, bar(230), in_doubt=False).position == "unknown"
    with pytest.raises(CannotPredict, match="no resistance_at"):
        _ = Faults(of).normal


@pytest.mark.parametrize(("tubing", "allowed"), [(TUBING, FEW), ("", NO_TUBING)])
def test_parts_left_out_may_add_their_allowance_everywhere(tubing: str, allowed: float) -> None:
    """As `check` counts them: reading, isolate and faults go by the same upper end."""
    of = profile(tubing=tubing)
    faults = Faults(of)
    normal = faults.normal
    assert normal.left_out == allowed
    assert normal.high == pytest.approx(faults.prediction.high + allowed)
    within, beyond = (normal.high - 1e5) / 1e5, (normal.high + 1e5) / 1e5
    for pressure, position in ((within, "unknown"), (beyond, "above normal")):
        assert read(of, bar(round(pressure, 3)), in_doubt=False).position == position
        told = isolate(of, {"all": bar(round(pressure, 3))}, in_doubt=False).message
        assert ("is above normal" in told) == (position == "above normal")
        assert f"{allowed / 1e5:.0f} bar of it for parts without a known resistance" in told


def test_an_excess_within_that_allowance_names_no_part() -> None:
    of = profile(tubing="")
    inlet = 25  # of the tubing that is not listed
    answer = found(of, {"all": 90, "column-outlet": 90, "column-inlet": inlet})
    assert answer.named == ()
    assert answer.verdict != "found"


@pytest.mark.parametrize("band", [BAND, ""])
def test_without_any_tubing_listed_no_step_is_normally_at_zero(band: str) -> None:
    """The lines are there, though no profile lists them: what they take is not the pump's."""
    made = load_bytes((METHOD + band + PATH.format(tubing="")).encode(), "a.toml").profile
    inlet = next(
        step for step in isolate(made, {}, in_doubt=False).plan if step.name == "column-inlet"
    )
    assert inlet.high is not None
    assert inlet.high >= NO_TUBING
    read_ = {"all": "200 bar", "all-again": "200 bar"}
    read_ |= {"column-inlet": "45 bar", "column-inlet-again": "45 bar"}
    found = isolate(
        made, {step: Pressure.parse(text) for step, text in read_.items()}, in_doubt=False
    )
    assert not any("pump" in part for excess in found.named for part in excess.parts)


@pytest.mark.parametrize("band", [BAND, ""])
@pytest.mark.parametrize("step", ["valve-inlet", "column-inlet"])
def test_lines_from_the_pump_that_are_not_listed_are_not_the_pump(step: str, band: str) -> None:
    """A pressure read there is of the pump or of these lines: only its own outlet tells."""
    path = PATH.format(tubing="")
    if step == "column-inlet":
        path = path.replace('[[flow_path]]\npart = "injector"\n', "")
    made = load_bytes((METHOD + band + path).encode(), "a.toml").profile
    plan = {planned.name: planned for planned in isolate(made, {}, in_doubt=False).plan}
    assert plan[step].high
    assert plan["pump-outlet"].high == 0
    read_ = {"all": "380 bar", step: "200 bar"}
    read_ |= {f"{name}-again": text for name, text in read_.items()}
    given = {name: Pressure.parse(text) for name, text in read_.items()}
    found = isolate(made, given, in_doubt=False)
    named = {part for excess in found.named for part in excess.parts}
    assert named != {"pump"}
    assert "tubing (from the pump, not listed)" in plan[step].parts
    read_ |= {"pump-outlet": "200 bar", "pump-outlet-again": "200 bar"}
    given = {name: Pressure.parse(text) for name, text in read_.items()}
    found = isolate(made, given, in_doubt=False)
    named = {part for excess in found.named for part in excess.parts}
    assert "tubing (from the pump, not listed)" not in named


def test_a_part_over_the_allowance_is_not_hidden_by_one_within_it() -> None:
    """The loop takes 159 bar; the injector behind it nothing."""
    text = METHOD.replace("high = 300", "high = 500") + PATH.format(tubing="")
    made = load_bytes(text.replace('"400 bar"', '"1300 bar"').encode(), "a.toml").profile
    first = {"all": 450, "column-inlet": 360, "valve-load": 1, "valve-inlet": 1}
    again = {f"{name}-again": bar for name, bar in first.items()}
    found = isolate(
        made,
        {n: Pressure.parse(f"{bar} bar") for n, bar in {**first, **again}.items()},
        in_doubt=False,
    )
    assert "over injector" not in found.message
    assert "loop" in found.message

"""The ratio of two instruments' pressures, against the physics run over its own tolerances."""

from __future__ import annotations

from math import exp, log, pi
from random import Random

import pytest

from limitcheck.physics.drops import drops
from limitcheck.physics.flow_path import FLOW_ERROR, first_column, scaled
from limitcheck.physics.liquid import CannotPredict
from limitcheck.physics.other_instrument import COLUMN_ERROR, PressureRatio, pressure_ratio
from limitcheck.physics.resistance import FULLY_POROUS, bed_resistance
from limitcheck.physics.system import System, system
from limitcheck.physics.tube import tube_resistance
from limitcheck.profile.model import Profile
from limitcheck.transfer.normal_pressure import scaled_band
from limitcheck.transfer.reach import probabilities
from tests.profiles_for_tests import WITH_GEOMETRY, with_geometry

from .friction import MODELS, friction_models
from .profiles import PUMP, column, conditions, profile

PACKING_CONSTANT_LOW, PACKING_CONSTANT, PACKING_CONSTANT_HIGH = FULLY_POROUS.constant
POROSITY, POROSITY_ERROR = FULLY_POROUS.porosity, FULLY_POROUS.porosity_error
PARTICLE_ERROR = FULLY_POROUS.size_error
HERE = with_geometry().profile
KB, HM = 'id = "KB-LC-03"', 'id = "HM-LC-07"'
COLUMN = 'part = "column"\n'


def there(*changes: tuple[str, str]) -> Profile:
    text = WITH_GEOMETRY.replace(KB, HM)
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return with_geometry(text).profile


def width(found: PressureRatio) -> float:
    return log(found.highest.high / found.highest.low) / 2


def test_the_same_profile_has_a_ratio_of_one_and_no_doubt() -> None:
    own = HERE.model_copy(update={"method": HERE.method.model_copy(update={"site": "Kestrel Bay"})})
    found = pressure_ratio(own, own)
    for interval in (found.lowest, found.highest):
        assert interval == pytest.approx((1.0, 1.0, 1.0), abs=1e-12)


def test_one_instrument_id_is_one_instrument_within_a_site_that_both_name() -> None:
    sites = (("Kestrel Bay", "Harrow Mill"), ("Kestrel Bay", None), (None, None))
    for names in sites:
        one, other = (
            HERE.model_copy(update={"method": HERE.method.model_copy(update={"site": site})})
            for site in names
        )
        ratio = pressure_ratio(one, other).highest
        assert ratio.low < 0.95 < 1.05 < ratio.high


def test_another_instrument_with_equal_parts_has_another_column_oven_and_pump() -> None:
    found = pressure_ratio(HERE, there())
    assert found.highest.central == 1.0
    assert found.highest.low < 1 / (1 + COLUMN_ERROR) * 1.02
    assert found.highest.high > 1 + COLUMN_ERROR * 0.9
    assert [item.why for item in found.rests_on][:2] == ["columns", "tubes and measured parts"]


def test_the_same_column_carried_over_is_surer() -> None:
    serial = (COLUMN, COLUMN + 'serial = "C-117"\n')
    carried = with_geometry(WITH_GEOMETRY.replace(*serial)).profile
    found = pressure_ratio(carried, there(serial))
    assert width(found) < 0.8 * width(pressure_ratio(HERE, there()))
    another = (COLUMN, COLUMN + 'serial = "C-118"\n')
    assert width(pressure_ratio(carried, there(another))) == pytest.approx(
        width(pressure_ratio(HERE, there()))
    )


def test_other_particles_are_less_sure_than_another_length() -> None:
    longer = pressure_ratio(HERE, there(('length = "150 mm"', 'length = "250 mm"')))
    coarser = pressure_ratio(HERE, there(('particle_size = "3 um"', 'particle_size = "5 um"')))
    assert longer.highest.central == pytest.approx(250 / 150, rel=0.05)
    assert coarser.highest.central == pytest.approx(9 / 25, rel=0.2)  # other parts stay
    assert width(coarser) > 2 * width(longer)


def test_a_buffer_on_both_sides_cancels_and_another_does_not() -> None:
    buffer = ('"water"', '"50 mM phosphate, pH 2.5"')
    here = with_geometry(WITH_GEOMETRY.replace(*buffer)).profile
    assert width(pressure_ratio(here, there(buffer))) == pytest.approx(
        width(pressure_ratio(HERE, there())), rel=2e-3
    )
    assert width(pressure_ratio(here, there())) > width(pressure_ratio(HERE, there()))


def test_a_certificate_stands_for_its_own_column() -> None:
    certified = (
        COLUMN,
        COLUMN + 'certificate = {pressure = "120 bar", flow = "1 mL/min", solvent_a = "water", '
        'temperature = "25 degC"}\n',
    )
    here = with_geometry(WITH_GEOMETRY.replace(*certified)).profile
    both = pressure_ratio(here, there(certified))
    assert both.highest.central == pytest.approx(1.0)
    one = pressure_ratio(here, there())  # like with like: both beds by Kozeny-Carman
    assert one == pressure_ratio(HERE, there())


def test_what_cannot_be_compared() -> None:
    restrictor = ('[[flow_path]]\npart = "detector cell"', '[[flow_path]]\npart = "restrictor"')
    with pytest.raises(CannotPredict, match="restrictor: no resistance_at"):
        pressure_ratio(HERE, there(restrictor))
    with pytest.raises(CannotPredict, match="no viscosity data"):
        pressure_ratio(HERE, there(('"water"', '"dichloromethane"')))


SIDES = {
    "narrow tubing": (('"0.17 mm"', '"0.12 mm"'),),
    "wider bore, flow kept": (('"4.6 mm"', '"6.0 mm"'),),
    "a longer, warmer column": (('"150 mm"', '"250 mm"'), ('"35 degC"', '"45 degC"')),
    "other particles": (('"3 um"', '"5 um"'),),
}


def draws(receiving: Profile, seed: int, count: int = 1500) -> list[float]:
    """Ratios by the physics, each tolerance drawn evenly between its bounds.

    Shared: the constant of the packing. Apart: one column against the other, or porosity and
    particle size of each where the particles differ, every tube, 1 K of each oven, 1 % of each
    pump, and a third to three times for injector and cell.
    """
    rng = Random(seed)
    first, second = system(HERE), system(receiving)
    sizes = {first_column(profile)[1].particle_size for profile in (HERE, receiving)}
    low, high = log(PACKING_CONSTANT_LOW), log(PACKING_CONSTANT_HIGH)
    found = []
    for _ in range(count):
        constant = exp(rng.uniform(low, high)) / PACKING_CONSTANT
        if len(sizes) == 1:
            one, other = 1.0, exp(rng.uniform(-COLUMN_ERROR, COLUMN_ERROR))
        else:
            one, other = bed(rng), bed(rng)
        before = pressure(first, rng, constant * one)
        found.append(pressure(second, rng, constant * other) / before)
    return found


def bed(rng: Random) -> float:
    """A bed of its own porosity and particle size against the one assumed."""
    porosity = POROSITY + rng.uniform(-POROSITY_ERROR, POROSITY_ERROR)
    assumed, own = (bed_resistance(0.1, 4.6e-3, 3e-6, e) for e in (POROSITY, porosity))
    return own / assumed * exp(2.0 * rng.uniform(-PARTICLE_ERROR, PARTICLE_ERROR))


def pressure(ready: System, rng: Random, column: float) -> float:
    factors = {
        segment.place: column if segment.heated else exp(rng.uniform(-1, 1) * segment.above)
        for segment in ready.path.segments
    }
    state = ready.state._replace(
        hot=ready.state.hot + rng.uniform(-1, 1),
        flow=ready.state.flow * exp(rng.uniform(-FLOW_ERROR, FLOW_ERROR)),
    )
    return sum(drop.pressure for drop in drops(scaled(ready.path.segments, factors), state))


@pytest.mark.parametrize("name", SIDES)
def test_the_interval_covers_what_the_physics_gives_over_its_tolerances(name: str) -> None:
    """The stated coverage is 92 % (bounds read as rectangular, JCGM 100:2008, 4.3.7)."""
    receiving = there(*SIDES[name])
    low, _, high = pressure_ratio(HERE, receiving).highest
    found = sorted(draws(receiving, seed=15))
    inside = sum(low <= ratio <= high for ratio in found) / len(found)
    assert inside > 0.90
    # and it is not idle: the middle 92 % of the draws fill more than half of it
    middle = found[int(0.96 * len(found))] / found[int(0.04 * len(found))]
    assert log(middle) > 0.5 * log(high / low)


@pytest.mark.parametrize("name", SIDES)
@pytest.mark.parametrize("quantile", [0.1, 0.3, 0.5, 0.7, 0.9])
@pytest.mark.parametrize("low", [False, True])
def test_the_probability_of_reaching_a_limit(name: str, quantile: float, low: bool) -> None:
    """Of the band, and of one run: a pressure even over the sender's band, times a drawn ratio."""
    receiving = there(*SIDES[name])
    scaled_there = scaled_band(HERE, receiving)
    assert HERE.expected is not None
    first, last = float(HERE.expected.low), float(HERE.expected.high)
    ratios = sorted(draws(receiving, seed=16))
    end = first if low else last
    limit = end * ratios[int(quantile * len(ratios))]
    band, run = probabilities(scaled_there, limit, low=low, gradient=False)
    drawn_band = sum((end * r < limit) if low else (end * r > limit) for r in ratios) / len(ratios)
    rng = Random(17)
    runs = [ratio * rng.uniform(first, last) for ratio in ratios]
    drawn_run = sum((p < limit) if low else (p > limit) for p in runs) / len(runs)
    # apart: parts without a resistance take from none to 10 bar, so the middle moves a little
    assert band == pytest.approx(drawn_band, abs=0.1)
    assert run == pytest.approx(drawn_run, abs=0.1)
    assert run <= band + 1e-9
    assert probabilities(scaled_there, limit, low=low, gradient=True) == (band, band)


def test_an_oven_that_only_one_side_states_is_no_difference() -> None:
    plain = pressure_ratio(HERE, there())
    known = there(('pressure_unit = "bar"', 'pressure_unit = "bar"\noven = "forced air"'))
    assert pressure_ratio(HERE, known).highest.central == plain.highest.central == 1.0


WIDE = '{part = "tubing", length = "5 m", bore = "0.5 mm"}'
LARGE = column(bore='"50 mm"', length='"250 mm"', particle_size='"15 um"')


@pytest.mark.parametrize("same", [True, False])
@pytest.mark.parametrize("model", MODELS)
def test_tubes_that_both_sides_have_hold_any_transition(model: str, same: bool) -> None:
    """Water at 20 degC, 1.0016 mPa s and 998.2 kg/m3 (IAPWS, from memory), in 0.5 mm."""
    friction = friction_models()[model]

    def at(number: float) -> Profile:
        flow = number * pi * 0.5e-3 * 1.0016e-3 / (4 * 998.2) * 6e7
        own = conditions(
            flow=f'"{flow:.4f} mL/min"',
            solvent_b="",
            percent_b="",
            temperature='"20 degC"',
            ambient='"20 degC"',
        )
        return profile(PUMP, WIDE, LARGE, conditions=own)

    def true(number: float, made: Profile) -> float:
        ready = system(made)
        _, bed = drops(ready.path.segments, ready.state)
        laminar = tube_resistance(5.0, 0.5e-3) * 1.0016e-3 * ready.state.flow
        return laminar * number / 64 * friction(number) + bed.pressure

    for first in (1200, 2200, 2640, 3500, 4100, 8000):
        for second in (1200, 2200, 2640, 3500, 4100, 8000):
            sending, receiving = at(first), at(second)
            if not same:
                there = receiving.instrument.model_copy(update={"id": "HM-PREP-2"})
                receiving = receiving.model_copy(update={"instrument": there})
            found = pressure_ratio(sending, receiving).highest
            ratio = true(second, receiving) / true(first, sending)
            assert found.low * 0.975 < ratio < found.high * 1.025, (first, second)

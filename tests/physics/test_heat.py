"""Heat of friction and compression in a bed, against an integration and a reference library."""

from __future__ import annotations

from math import exp

import pytest

from limitcheck.physics.blend import with_water
from limitcheck.physics.constants import SOLVENTS
from limitcheck.physics.density import DENSITIES
from limitcheck.physics.heat import (
    FILM,
    ORGANIC_COMPRESSION,
    THERMAL,
    WATER_COMPRESSION,
    compression,
    heat_capacity,
    heat_drop,
    heat_kept,
    warming,
)
from limitcheck.physics.predict import predict
from limitcheck.physics.system import Change
from limitcheck.physics.viscosity import viscosity

from .profiles import PUMP, column, conditions, profile

ML_MIN = 1e-6 / 60

LIQUIDS = [
    ("water", 1.0, 298.15),
    ("acetonitrile", 0.5, 313.15),
    ("acetonitrile", 1.0, 303.15),
    ("methanol", 0.5, 303.15),
    ("methanol", 1.0, 298.15),
]


@pytest.mark.parametrize(("organic", "fraction", "kelvin"), LIQUIDS)
@pytest.mark.parametrize("bar", [50, 200, 400, 1000])
def test_the_drop_in_a_bed_that_keeps_its_heat_is_integrated(
    organic: str, fraction: float, kelvin: float, bar: int
) -> None:
    """dP/dz = -K eta(T), dT = k dP, in 4000 slices with the viscosity itself, not its slope."""
    isothermal, slices = bar * 1e5, 4000
    kelvin_a_pascal = warming(with_water(organic, fraction), kelvin)[0]
    start = viscosity(with_water(organic, fraction), kelvin)
    drop = 0.0
    for _ in range(slices):
        warm = kelvin + kelvin_a_pascal * drop
        drop += isothermal / slices * viscosity(with_water(organic, fraction), warm) / start
    assert isothermal * exp(
        -heat_drop(with_water(organic, fraction), kelvin, isothermal)
    ) == pytest.approx(drop, rel=0.012)


@pytest.mark.parametrize(
    ("organic", "kelvin", "capacity", "expansion", "density"),
    [
        ("water", 298.15, 4181.0, 2.574e-4, 997.1),
        ("methanol", 298.15, 2534.4, 1.192e-3, 786.4),
        ("methanol", 333.15, 2787.6, 1.311e-3, 752.9),
        ("ethanol", 298.15, 2434.3, 1.095e-3, 785.2),
        ("ethanol", 333.15, 2743.3, 1.228e-3, 754.2),
    ],
)
def test_warming_is_that_of_the_reference_library(
    organic: str, kelvin: float, capacity: float, expansion: float, density: float
) -> None:
    """CoolProp 8.0.0 at 2 bar: heat capacity, expansion, density."""
    theirs = (1 - expansion * kelvin) / (density * capacity)
    assert warming(with_water(organic, 1.0), kelvin)[0] == pytest.approx(theirs, rel=0.06)


@pytest.mark.parametrize(
    ("organic", "pascal", "ratio"),
    [
        ("water", 4e7, 1.01733),
        ("water", 1e8, 1.04095),
        ("methanol", 4e7, 1.04168),
        ("methanol", 1e8, 1.08675),
        ("ethanol", 4e7, 1.03840),
        ("ethanol", 1e8, 1.07991),
    ],
)
def test_compression_is_that_of_the_reference_library(
    organic: str, pascal: float, ratio: float
) -> None:
    """CoolProp 8.0.0 at 25 degC: density over that at 1 bar."""
    pure = with_water(organic, 1.0), 298.15
    assert exp(compression(*pure, pascal)) == pytest.approx(ratio, rel=0.007)
    assert compression(*pure, 3e8) == compression(*pure, 1e8)


@pytest.mark.parametrize(
    ("organic", "celsius", "found"),
    [
        ("methanol", 5, (0.0199, 0.0441, 0.0757)),
        ("methanol", 60, (0.0280, 0.0597, 0.0988)),
        ("methanol", 80, (0.0323, 0.0675, 0.1098)),
        ("ethanol", 5, (0.0184, 0.0407, 0.0699)),
        ("ethanol", 80, (0.0300, 0.0627, 0.1022)),
        ("hexane", 5, (0.0247, 0.0531, 0.0882)),
        ("hexane", 60, (0.0392, 0.0789, 0.1239)),
        ("heptane", 25, (0.0254, 0.0544, 0.0900)),
        ("heptane", 80, (0.0389, 0.0785, 0.1233)),
        ("water", 5, (0.0096, 0.0230, 0.0432)),
        ("water", 80, (0.0090, 0.0215, 0.0404)),
    ],
)
def test_compression_holds_its_stated_error_away_from_25_degc(
    organic: str, celsius: int, found: tuple[float, ...]
) -> None:
    """CoolProp 8.0.0: ln of the density at 200, 500 and 1000 bar over that at none."""
    for pascal, value in zip((2e7, 5e7, 1e8), found, strict=True):
        here = compression(with_water(organic, 1.0), celsius + 273.15, pascal)
        assert here == pytest.approx(value, rel=0.20)


@pytest.mark.parametrize(
    ("solvent", "molar", "mass"),
    [
        ("acetonitrile", 91.5, 41.052),
        ("methanol", 81.1, 32.042),
        ("2-propanol", 156.5, 60.095),
        ("tetrahydrofuran", 124.0, 72.106),
        ("hexane", 195.6, 86.175),
        ("heptane", 224.7, 100.202),
    ],
)
def test_heat_capacities_are_those_of_a_handbook(solvent: str, molar: float, mass: float) -> None:
    """J/(mol K) of the liquid at 25 degC: CRC Handbook, as held in chemicals 1.5.2."""
    assert THERMAL[solvent].capacity == pytest.approx(1e3 * molar / mass, rel=0.015)


def test_there_are_figures_for_every_solvent() -> None:
    assert THERMAL.keys() == DENSITIES.keys() == SOLVENTS.keys()
    assert all(min(pair) > 0 for pair in (WATER_COMPRESSION, ORGANIC_COMPRESSION))


SMALL = column(length='"100 mm"', bore='"2.1 mm"', particle_size='"1.7 um"')


def test_at_ultra_high_pressure_heat_and_compression_are_in_the_interval_and_said() -> None:
    fast = conditions(flow='"0.6 mL/min"')
    found = predict(profile(PUMP, SMALL, conditions=fast))
    assert found.central > 700e5
    told = [reason for reason in found.reasons if "heat of friction" in reason]
    assert len(told) == 1
    slow = predict(profile(PUMP, SMALL, conditions=fast), Change(flow=0.1 * ML_MIN))
    assert not [reason for reason in slow.reasons if "heat of friction" in reason]
    assert found.low / found.central < slow.low / slow.central
    assert found.high / found.central > slow.high / slow.central


def test_a_certificate_at_the_same_pressure_has_the_heat_in_it() -> None:
    fast = conditions(flow='"0.6 mL/min"')
    own = predict(profile(PUMP, SMALL, conditions=fast)).central / 1e5
    same = (
        f'{{pressure = "{own:.0f} bar", flow = "0.6 mL/min", temperature = "35 degC", '
        'solvent_a = "water", solvent_b = "acetonitrile", percent_b = 18}'
    )
    found = predict(profile(PUMP, column(length="", certificate=same), conditions=fast))
    assert found.low / found.central == pytest.approx(exp(-0.1), abs=0.01)
    low = same.replace(f"{own:.0f} bar", f"{own / 6:.0f} bar").replace("0.6 mL", "0.1 mL")
    other = predict(profile(PUMP, column(length="", certificate=low), conditions=fast))
    assert other.central == pytest.approx(found.central, rel=0.07)  # viscosity rises with pressure
    assert other.low < 0.98 * found.low


@pytest.mark.parametrize("oven", FILM)
@pytest.mark.parametrize("bar", [200, 1000])
def test_the_heat_that_stays_is_integrated(oven: str, bar: int) -> None:
    """C dT = k C dP - g (T - T0) dz in 2000 slices, g through bed, wall and film, by the textbook.

    Bird, Stewart and Lightfoot, Transport Phenomena, sections 10.2 and 10.6; half acetonitrile
    through 100 x 2.1 mm at 0.5 mL/min.
    """
    length, bore, kelvin = 0.1, 2.1e-3, 313.15
    half = with_water("acetonitrile", 0.5)
    liquid = half, kelvin
    capacity = 0.5e-6 / 60 * heat_capacity(*liquid)
    a_pascal, isothermal, slices = warming(*liquid)[0], bar * 1e5, 2000
    start = viscosity(*liquid)
    drops = []
    for film in FILM[oven]:
        loss = 1 / (1 / (8 * 3.14159 * 0.5) + 1 / (film * 3.14159 * (bore + 4e-3)))
        warm = drop = 0.0
        for _ in range(slices):
            step = isothermal / slices * viscosity(half, kelvin + warm) / start
            drop += step
            warm += a_pascal * step - loss * warm * length / slices / capacity
        drops.append(drop)
    least, most = heat_kept(oven, length, bore, capacity)
    full = heat_drop(*liquid, isothermal)
    for kept, drop in ((most, drops[0]), (least, drops[1])):
        assert isothermal * exp(-kept * full) == pytest.approx(drop, rel=0.02)


def test_an_oven_narrows_the_interval_and_is_said() -> None:
    fast = conditions(flow='"0.6 mL/min"')
    slow = (
        '{pressure = "100 bar", flow = "0.08 mL/min", temperature = "35 degC", '
        'solvent_a = "water", solvent_b = "acetonitrile", percent_b = 18}'
    )
    part = column(length='"100 mm"', bore='"2.1 mm"', certificate=slow)
    made = profile(PUMP, part, conditions=fast)
    unknown = predict(made)
    for oven in FILM:
        instrument = made.instrument.model_copy(update={"oven": oven})
        known = predict(made.model_copy(update={"instrument": instrument}))
        assert unknown.low < known.central < unknown.high
        assert known.high / known.low < unknown.high / unknown.low
        told = [reason for reason in known.reasons if "heat of friction" in reason]
        assert len(told) == 1
        assert f"{oven} around it keeps" in told[0]


@pytest.mark.parametrize("flow", ["0.2", "0.4", "0.6", "0.7"])
def test_without_an_oven_the_interval_spans_every_oven(flow: str) -> None:
    made = profile(PUMP, SMALL, conditions=conditions(flow=f'"{flow} mL/min"'))
    unknown = predict(made)
    ends = []
    for oven in FILM:
        instrument = made.instrument.model_copy(update={"oven": oven})
        known = predict(made.model_copy(update={"instrument": instrument}))
        ends.append(known.central)
        assert unknown.low < known.central < unknown.high
        assert known.high / known.low <= unknown.high / unknown.low
    assert min(ends) < unknown.central < max(ends)

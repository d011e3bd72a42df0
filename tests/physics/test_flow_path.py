"""Parts as resistances: columns, certificates, tubes, measured parts, and what is refused."""

from __future__ import annotations

from math import exp, log

import pytest

from limitcheck.physics.blend import with_water
from limitcheck.physics.drops import drops, tube_flows
from limitcheck.physics.liquid import CannotPredict, Liquid, viscosity_ratio_error
from limitcheck.physics.mobile_phase import liquid
from limitcheck.physics.predict import predict
from limitcheck.physics.resistance import bed_resistance
from limitcheck.physics.system import Change, system
from limitcheck.physics.tube import tube_resistance
from limitcheck.physics.uncertainty import of_bound
from limitcheck.physics.usual import frit_resistance
from limitcheck.physics.viscosity import pressure_rise, viscosity
from tests.physics.profiles import CELL, COLUMN, GRADIENT, PUMP, column, conditions, profile

ML_MIN = 1e-6 / 60
CERTIFICATE = (
    '{pressure = "88 bar", flow = "1.0 mL/min", temperature = "25 degC", '
    'solvent_b = "acetonitrile", percent_b = 60}'
)


def test_resistances_are_those_of_the_correlations() -> None:
    path = system(profile()).path
    assert [segment.name for segment in path.segments] == [
        "tubing (first)",
        "injector",
        "tubing (second)",
        "column",
        "detector cell",
    ]
    first, injector, second, bed, cell = path.segments
    assert first.resistance == tube_resistance(0.6, 0.17e-3)
    assert second.resistance == tube_resistance(0.3, 0.12e-3)
    frits = 2 * frit_resistance(2e-6, 4.6e-3)
    assert bed.resistance == pytest.approx(bed_resistance(0.15, 4.6e-3, 5e-6) + frits)
    assert injector.resistance == tube_resistance(0.3, 0.17e-3)
    assert cell.resistance == tube_resistance(0.3, 0.12e-3)
    assert [segment.heated for segment in path.segments] == [False, False, False, True, False]
    assert path.left_out == ()


def test_columns_are_warm_and_tubes_at_ambient() -> None:
    """By hand: R eta F at 35 and 21 degC with the rise of viscosity under pressure."""
    ready = system(profile())
    found = drops(ready.path.segments, ready.state)
    mixed = ready.state.liquid
    outlet = 0.0
    for segment, drop in reversed(list(zip(ready.path.segments, found, strict=True))):
        kelvin = 308.15 if segment.heated else 294.15
        mean = outlet + drop.pressure / 2
        eta = mixed.viscosity(kelvin) * exp(mixed.rise(kelvin).exponent(mean))
        warm = mixed.eased(kelvin, drop.pressure, outlet)[0] / 2 if segment.heated else 0.0
        by_hand = segment.resistance * eta * ML_MIN * exp(-warm)
        assert drop.pressure == pytest.approx(by_hand, rel=1e-3 if warm else 1e-6)
        outlet += drop.pressure


def test_rise_under_pressure_against_the_exact_integral() -> None:
    """ln eta = a p: the drop with an open outlet is -ln(1 - a dP0) / a (Barus)."""
    methanol = conditions(solvent_a='"methanol"', solvent_b="", percent_b="", flow='"5 mL/min"')
    ready = system(profile(PUMP, COLUMN, conditions=methanol))
    at_zero = (
        ready.path.segments[0].resistance
        * viscosity(with_water("methanol", 1.0), 308.15)
        * 5
        * ML_MIN
    )
    kept = drops(ready.path.segments, ready.state)[0]
    found = kept.pressure * exp(kept.heat / of_bound(1.0))  # none of the heat kept
    slope = pressure_rise(with_water("methanol", 1.0), 308.15).exponent(found / 2) / (found / 2)
    assert found > 1.04 * at_zero
    assert found == pytest.approx(-log(1 - slope * at_zero) / slope, rel=3e-3)


def test_certificate_gives_its_own_pressure_back_at_its_own_conditions() -> None:
    same = conditions(temperature='"25 degC"', percent_b="60")
    found = predict(profile(PUMP, column(certificate=CERTIFICATE), conditions=same))
    assert found.central == pytest.approx(88e5, rel=1e-6)
    assert found.high / found.low < 1.25


def test_certificate_is_far_narrower_than_the_bed_model() -> None:
    certified = predict(profile(PUMP, column(certificate=CERTIFICATE)))
    assumed = predict(profile(PUMP, COLUMN))
    assert certified.high / certified.low < 1.3
    assert assumed.high / assumed.low > 1.7


def test_superficially_porous_particles_have_the_same_space_between_them() -> None:
    """0.37 to 0.43 of the bed, less well known: Gritti and Guiochon (from memory)."""
    shell, full = (
        predict(profile(PUMP, column(particle='"superficially porous"'))),
        predict(profile(PUMP, COLUMN)),
    )
    assert shell.central == full.central
    assert shell.low < full.low < full.high < shell.high
    assert any("porosity 0.40 +/- 0.03" in reason for reason in shell.reasons)


def test_irregular_particles_take_more_and_are_less_sure() -> None:
    found = predict(profile(PUMP, column(particle='"irregular"')))
    spheres = predict(profile(PUMP, COLUMN))
    assert found.central / spheres.central == pytest.approx(1.47, abs=0.02)
    assert found.high / found.low > spheres.high / spheres.low
    assert any("sphericity" in reason for reason in found.reasons)


def test_monolith_by_certificate_or_permeability_or_usual_ones() -> None:
    certified, permeable, usual = (
        predict(profile(PUMP, column(particle='"monolith"', particle_size="", **more)))
        for more in ({"certificate": CERTIFICATE}, {"permeability": '"0.08 um2"'}, {})
    )
    widths = [found.high / found.low for found in (certified, permeable, usual)]
    assert widths == sorted(widths)
    assert widths[2] > 5
    assert permeable.central == pytest.approx(usual.central * 5.4 / 8, rel=0.01)
    assert any("no certificate or permeability" in reason for reason in usual.reasons)
    assert any("velocity in the empty tube" in reason for reason in permeable.reasons)
    with pytest.raises(CannotPredict, match="give length and bore, or a certificate"):
        predict(profile(PUMP, column(particle='"monolith"', bore="")))
    with pytest.raises(CannotPredict, match="no particle size"):
        predict(profile(PUMP, column(particle='"monolith"')), Change(particle_size=3e-6))


def test_permeability_of_a_packed_column_outranks_its_particles() -> None:
    """0.01 um2 by hand: Darcy's law, R = L / (K A)."""
    ready = system(profile(PUMP, column(permeability='"1e-14 m2"')))
    area = 3.14159265 * 4.6e-3**2 / 4
    assert ready.path.segments[0].resistance == pytest.approx(0.15 / (1e-14 * area))
    assert exp(ready.path.segments[0].above) > 1 / 0.65  # stated by another velocity


def test_guard_column_adds_its_bed() -> None:
    guard = column(part='"guard column"', length='"15 mm"')
    with_guard = predict(profile(PUMP, guard, COLUMN)).central
    assert with_guard == pytest.approx(1.1 * predict(profile(PUMP, COLUMN)).central, rel=3e-3)


def test_certificate_of_a_gradient_method_needs_its_composition() -> None:
    bare = '{pressure = "88 bar", flow = "1.0 mL/min"}'
    found = predict(profile(PUMP, column(certificate=bare), conditions=GRADIENT))
    assert any("not used" in reason for reason in found.reasons)
    isocratic = predict(profile(PUMP, column(certificate=bare)))
    assert isocratic.central == pytest.approx(88e5, rel=1e-6)


def test_measured_part_scales_with_flow_and_viscosity() -> None:
    cell = (
        '{part = "detector cell", resistance_at = {pressure = "5 bar", flow = "1.0 mL/min", '
        'temperature = "25 degC", solvent_a = "water", percent_b = 0}}'
    )
    found = predict(profile(PUMP, COLUMN, cell), Change(flow=2 * ML_MIN))
    share = next(share for share in found.budget if share.name == "detector cell")
    ratio = viscosity(with_water("acetonitrile", 0.18), 294.15) / viscosity(
        with_water("water", 0.0), 298.15
    )
    assert share.central == pytest.approx(2 * 5e5 * ratio, rel=0.005)


@pytest.mark.parametrize(
    "part",
    [
        '{part = "filter", resistance_at = {pressure = "5 bar", flow = "1.0 mL/min", '
        'solvent_b = "acetonitrile"}}',
        '{part = "tubing", resistance_at = {pressure = "5 bar", flow = "1.0 mL/min", '
        'solvent_a = "mercury", percent_b = 0}}',
    ],
)
def test_measured_part_that_cannot_be_used_is_left_out_and_said(part: str) -> None:
    found = predict(profile(PUMP, part, COLUMN))
    assert len(found.left_out) == 1
    assert any("is not used" in reason for reason in found.reasons)
    assert found.central == predict(profile(PUMP, COLUMN)).central


@pytest.mark.parametrize("kelvin", ["1e-9 K", "1e9 K"])
def test_certificate_at_an_absurd_temperature(kelvin: str) -> None:
    absurd = f'{{pressure = "88 bar", flow = "1.0 mL/min", temperature = "{kelvin}"}}'
    with pytest.raises(CannotPredict, match="no viscosity data at"):
        predict(profile(PUMP, column(length="", certificate=absurd)))


def test_unusable_certificate_without_geometry_says_why() -> None:
    unusable = '{pressure = "88 bar", flow = "1.0 mL/min", solvent_b = "acetonitrile"}'
    with pytest.raises(CannotPredict, match="solvent_b without percent_b"):
        predict(profile(PUMP, column(length="", certificate=unusable)))


def test_reynolds_number_is_checked() -> None:
    tube = '{part = "tubing", length = "1 m", bore = "0.13 mm"}'
    fast = conditions(flow='"20 mL/min"')
    ready = system(profile(PUMP, tube, column(bore='"50 mm"'), conditions=fast))
    assert [(s.name, f.regime) for s, f in tube_flows(ready.path.segments, ready.state)] == [
        ("tubing", "in transition")
    ]
    found = predict(profile(PUMP, tube, column(bore='"50 mm"'), conditions=fast))
    assert not found.extrapolated
    assert any("Reynolds" in reason for reason in found.reasons)


@pytest.mark.parametrize(
    ("fields", "reason"),
    [
        ({"flow": ""}, "no conditions.flow"),
        ({"temperature": "", "ambient": ""}, "no conditions.temperature"),
        ({"solvent_a": ""}, "no conditions.solvent_a"),
        ({"solvent_a": '"mercury"'}, 'no viscosity data for solvent_a "mercury"'),
        ({"solvent_a": '"hexane"'}, "acetonitrile and hexane do not mix"),
        ({"solvent_b": '"heptane"'}, "heptane and water do not mix"),
        ({"percent_b": ""}, "neither percent_b nor gradient"),
        ({"temperature": '"150 degC"'}, "no viscosity data at 150 degC"),
        ({"flow": '"1e30 mL/min"'}, "more than 10 million bar"),
    ],
)
def test_what_is_missing_is_named(fields: dict[str, str], reason: str) -> None:
    with pytest.raises(CannotPredict, match=reason):
        predict(profile(conditions=conditions(**fields)))


def test_column_without_geometry() -> None:
    with pytest.raises(CannotPredict, match="no column geometry"):
        predict(profile(PUMP, column(length=""), CELL))


@pytest.mark.parametrize(
    ("change", "field", "reason"),
    [
        (Change(column_length=0.25), "length", "no column length"),
        (Change(particle_size=3e-6), "particle_size", "no particle size"),
    ],
)
def test_nothing_to_change_from(change: Change, field: str, reason: str) -> None:
    certified = column(certificate=CERTIFICATE, **{field: ""})
    with pytest.raises(CannotPredict, match=reason):
        predict(profile(PUMP, certified), change)


@pytest.mark.parametrize("size", ["1e-30 mm", "1e30 m"])
def test_absurd_sizes_are_no_crash(size: str) -> None:
    tube = f'{{part = "tubing", length = "{size}", bore = "{size}"}}'
    bed = column(length=f'"{size}"', bore=f'"{size}"', particle_size=f'"{size}"')
    for parts in ((PUMP, tube, COLUMN), (PUMP, bed)):
        if size.startswith("1e-"):
            with pytest.raises(CannotPredict, match="10 million bar"):
                predict(profile(*parts))
        else:
            assert predict(profile(*parts)).central < 1e8


def test_liquids() -> None:
    assert liquid("Water", None, 0) == Liquid(with_water("water", 1.0))
    assert liquid("water", "methanol", 0) == Liquid(with_water("water", 1.0))
    assert liquid("acetonitrile", "water", 100) == Liquid(with_water("water", 1.0))
    assert liquid("acetonitrile", "acetonitrile", 40) == Liquid(with_water("acetonitrile", 1.0))
    assert liquid("methanol", "acetonitrile", 0) == Liquid(with_water("methanol", 1.0))
    assert liquid("methanol", "acetonitrile", 100) == Liquid(with_water("acetonitrile", 1.0))
    assert liquid("water", "tetrahydrofuran", 100) == Liquid(with_water("tetrahydrofuran", 1.0))


def test_ratio_error_cancels_where_nothing_changes() -> None:
    half = Liquid(with_water("methanol", 0.5))
    assert viscosity_ratio_error(half, 300, half, 300) == 0
    near = viscosity_ratio_error(half, 300, half, 301)
    far = viscosity_ratio_error(half, 300, half, 315)
    assert 0 < near < far
    acetonitrile = Liquid(with_water("acetonitrile", 0.5))
    assert viscosity_ratio_error(half, 300, acetonitrile, 300) > near
    water = Liquid(with_water("water", 1.0))
    assert viscosity_ratio_error(Liquid(with_water("water", 1.0)), 300, water, 300) == 0

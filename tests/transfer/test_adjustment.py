"""The formulas of the harmonised chapter on chromatography, against its printed examples.

The printed examples (Ph. Eur. 2.2.46, USP <621>) are from memory; the arithmetic is not.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from limitcheck.physics.other_instrument import pressure_ratio
from limitcheck.policy import AdjustmentLimits
from limitcheck.transfer.adjustment import (
    CHAPTER,
    OWN_TOLERANCES,
    ColumnSize,
    column_sizes,
    scaled_flow,
    scaled_injection,
    source_of,
    time_scale,
)
from limitcheck.transfer.comparison import compare
from limitcheck.transfer.ruling import Pair
from limitcheck.units import Flow, Length, Volume
from tests.reference.rows import rows

from .changed import changed


def size(length: str, bore: str, particle: str) -> ColumnSize:
    return ColumnSize(Length.parse(length), Length.parse(bore), Length.parse(particle))


OLD, NEW = size("150 mm", "4.6 mm", "5 um"), size("100 mm", "2.1 mm", "3 um")


def test_the_printed_example_of_a_gradient() -> None:
    """150 x 4.6 mm, 5 um, 2.0 mL/min to 100 x 2.1 mm, 3 um: L/dp 30.0 to 33.3, 0.695 mL/min
    (printed 0.7), a factor of 0.4: 3/13/16 min become 1.2/5.2/6.4 min."""
    assert (OLD.length_over_particle, round(NEW.length_over_particle)) == (30_000, 33_333)
    flow = Flow.parse("2.0 mL/min")
    new_flow = scaled_flow(flow, OLD, NEW)
    assert round(new_flow.to("mL/min"), 3) == Fraction("0.695")
    assert round(new_flow.to("mL/min"), 1) == Fraction("0.7")
    factor = time_scale(flow, new_flow, OLD, NEW)
    assert round(factor, 1) == Fraction("0.4")
    assert [round(float(t * factor), 1) for t in (3, 13, 16)] == [1.2, 5.2, 6.4]


SENT = {
    "column.length": "150 mm",
    "column.bore": "4.6 mm",
    "column.particle_size": "5 um",
    "conditions.flow": "2.0 mL/min",
    "conditions.gradient": [
        {"minute": 0, "percent_b": 30},
        {"minute": 3, "percent_b": 30},
        {"minute": 13, "percent_b": 70},
        {"minute": 16, "percent_b": 30},
    ],
}
GOT = {
    "column.length": "100 mm",
    "column.bore": "2.1 mm",
    "column.particle_size": "3 um",
    "conditions.flow": "0.7 mL/min",
    "conditions.injection_volume": "2.8 uL",
    "instrument.dwell_volume": "0.14 mL",
    "conditions.gradient": [
        {"minute": 0, "percent_b": 30},
        {"minute": 1.2, "percent_b": 30},
        {"minute": 5.2, "percent_b": 70},
        {"minute": 6.4, "percent_b": 30},
    ],
}


def test_the_printed_example_as_two_profiles() -> None:
    """The same, typed as it is printed, is allowed field by field. Its dwell volumes are not in
    the chapter: 0.14 mL at 0.7 mL/min is 0.4 of 1.0 mL at 2.0 mL/min."""
    pair = Pair(changed("gradient", SENT).profile, changed("gradient", GOT).profile)
    found = {item.field: item.ruling for item in compare(pair)}
    expected = {
        "column: length": "allowed",
        "column: bore": "allowed",
        "column: particle_size": "allowed",
        "conditions: flow": "allowed",
        "conditions: injection_volume": "allowed",
        "conditions: gradient, first hold": "allowed",
        "conditions: gradient, step 1": "allowed",
        "conditions: gradient, step 2": "allowed",
        "instrument: dwell_volume": "allowed",
    }
    assert {field: found[field] for field in expected} == expected


def test_injection_goes_with_the_volume_of_the_column() -> None:
    scaled = scaled_injection(Volume.parse("20 uL"), OLD, size("150 mm", "2.3 mm", "5 um"))
    assert scaled == Volume.parse("5 uL")


@pytest.mark.parametrize("row", rows("pharmacopoeia_relative_table"), ids=lambda row: row["L_mm"])
def test_relative_values_of_the_older_table(row: dict[str, str]) -> None:
    """The relative-values table of the older USP <621>, from memory, printed to a few digits."""
    new = size(f"{row['L_mm']} mm", f"{row['dc_mm']} mm", f"{row['dp_um']} um")
    flow = scaled_flow(Flow.parse("1 mL/min"), OLD, new).to("mL/min")
    assert float(flow) == pytest.approx(float(row["rel_flow_printed"]), abs=0.05)
    over = float(new.length_over_particle)
    assert over == pytest.approx(float(row["L_over_dp_printed"]), abs=50)
    alone = {"tubing.length": "1 mm", "tubing.bore": "1 mm", "conditions.percent_b": 0}
    first, second = (
        {f"column.{name}": str(length) for name, length in column._asdict().items()}
        for column in (OLD, new)
    )
    second["conditions.flow"] = f"{float(flow):.6f} mL/min"
    sides = (changed("isocratic", alone | side).profile for side in (first, second))
    ratio = pressure_ratio(*sides).highest.central
    assert ratio == pytest.approx(float(row["rel_pressure_printed"]), rel=0.06)


def test_a_monolith_has_no_particles_and_two_columns_no_size() -> None:
    monolith = {"column.particle": "monolith", "column.particle_size": ""}
    pair = Pair(changed("isocratic", monolith).profile, changed("isocratic", monolith).profile)
    assert column_sizes(pair) is not None
    found = {item.field: item.ruling for item in compare(pair)}
    assert (found["column: length"], found["conditions: flow"]) == ("same", "same")
    two = changed("isocratic", {"column 2": {"part": "column"}}).profile
    assert column_sizes(Pair(two, two)) is None


def test_the_source_is_the_chapter_but_for_what_a_site_states_and_for_our_own_tolerances() -> None:
    edition = AdjustmentLimits(edition="HM-SOP-114")
    assert source_of(AdjustmentLimits(), "ph") == source_of(edition, "ph") == CHAPTER
    stated = edition._replace(stated=frozenset({"ph", "gradient_step"}))
    assert source_of(stated, "ph") == "HM-SOP-114"
    assert source_of(stated, "ph", "buffer_salts") == f"HM-SOP-114; {CHAPTER}"
    assert source_of(stated._replace(edition=None), "ph") == "the site's policy"
    for name in OWN_TOLERANCES:
        assert "common practice" in source_of(edition, name)

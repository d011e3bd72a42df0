"""What a method may adjust when the column changes, after the pharmacopoeias.

The printed examples of the pharmacopoeias are from memory; the arithmetic is not.
"""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest

from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import ProfileFile, load_bytes
from limitcheck.transfer import transfer
from limitcheck.transfer.adjustment import (
    ColumnSize,
    column_change,
    scaled_flow,
    scaled_injection,
    scaled_minute,
)
from limitcheck.transfer.came_across import predicted_ratio
from limitcheck.units import Flow, Length, Volume
from tests.profiles_for_tests import profile_file
from tests.reference.rows import rows

TODAY = date(2026, 11, 25)


def against(sending: ProfileFile, receiving: ProfileFile) -> str:
    found = transfer(sending, receiving, (DEFAULT_POLICY, DEFAULT_POLICY), TODAY)
    return " | ".join(reason.text for reason in found.reasons if reason.blocking)


def size(length: str, bore: str, particle: str) -> ColumnSize:
    return ColumnSize(Length.parse(length), Length.parse(bore), Length.parse(particle))


OLD, NEW = size("150 mm", "4.6 mm", "5 um"), size("100 mm", "2.1 mm", "3 um")


def test_the_printed_example_of_a_gradient() -> None:
    """Ph. Eur. 2.2.46 / USP <621>, printed example (from memory): 150 x 4.6 mm, 5 um, 2.0 mL/min
    to 100 x 2.1 mm, 3 um: 0.695 mL/min; 3/13/16 min become 1.2/5.2/6.4 min."""
    assert (OLD.length_over_particle, round(NEW.length_over_particle)) == (30_000, 33_333)
    flow = Flow.parse("2.0 mL/min")
    new_flow = scaled_flow(flow, OLD, NEW)
    assert round(new_flow.to("mL/min"), 3) == Fraction("0.695")
    times = [scaled_minute(Fraction(t), flow, new_flow, OLD, NEW) for t in (3, 13, 16)]
    assert [round(float(time), 1) for time in times] == [1.2, 5.2, 6.4]


COLUMN = '"450 bar"\nlength = "150 mm"\nbore = "4.6 mm"\nparticle_size = "5 um"'


def test_a_band_is_not_called_right_for_another_column() -> None:
    """Half the length and half the particle size is twice the pressure (Kozeny-Carman)."""
    small = COLUMN.replace("150 mm", "75 mm").replace("5 um", "2.5 um")
    sides = profile_file(column=COLUMN), profile_file(column=small)
    found = transfer(*sides, (DEFAULT_POLICY, DEFAULT_POLICY), TODAY)
    assert found.expected is not None
    assert found.expected.verdict == "not comparable"
    reasons = [reason.text for reason in found.reasons]
    assert "another column: 75 mm x 4.6 mm, 2.5 um for 150 mm x 4.6 mm, 5 um" in reasons
    assert any("no ratio can be predicted: measure it" in reason for reason in reasons)


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
    first = column_profile(OLD, "1 mL/min")
    second = column_profile(new, f"{float(flow):.6f} mL/min")
    ratio, reason = predicted_ratio(first.profile, second.profile)
    assert reason is None
    assert ratio == pytest.approx(float(row["rel_pressure_printed"]), rel=0.06)


def column_profile(
    column: ColumnSize, flow: str, programme: str = "", temperature: str = "30 degC"
) -> ProfileFile:
    """A profile of nothing but a pump and a column, in water."""
    text = f"""format = 1
[method]
id = "KB-TEA-014"
[instrument]
id = "KB-LC-03"
pressure_unit = "bar"
[conditions]
flow = "{flow}"
temperature = "{temperature}"
solvent_a = "water"
injection_volume = "20 uL"
{programme}
[[flow_path]]
part = "pump"
rating = "400 bar"
[[flow_path]]
part = "column"
length = "{column.length}"
bore = "{column.bore}"
particle_size = "{column.particle_size}"
"""
    return load_bytes(text.encode(), "column.toml")


def adjusted(first: ProfileFile, second: ProfileFile) -> dict[str, bool | None]:
    change = column_change(first.profile, second.profile)
    assert change is not None
    assert "check the edition in force" in change.source
    return {item.what: item.kept for item in change.adjustments}


@pytest.mark.parametrize(
    ("column", "flow", "temperature", "kept"),
    [
        (NEW, "0.7 mL/min", "40 degC", (True, True, True)),
        (NEW, "1.043 mL/min", "20 degC", (True, False, True)),  # 0.6948 + 50 % = 1.0422
        (NEW, "1.042 mL/min", "40.1 degC", (True, True, False)),
        (size("150 mm", "4.6 mm", "3 um"), "3.33 mL/min", "30 degC", (False, True, True)),  # +67 %
        (size("250 mm", "4.6 mm", "10 um"), "1 mL/min", "30 degC", (True, True, True)),  # -17 %
        (size("100 mm", "4.6 mm", "5 um"), "2 mL/min", "30 degC", (False, True, True)),  # -33 %
    ],
)
def test_what_an_isocratic_method_may_adjust(
    column: ColumnSize, flow: str, temperature: str, kept: tuple[bool, bool, bool]
) -> None:
    first = column_profile(OLD, "2.0 mL/min")
    second = column_profile(column, flow, temperature=temperature)
    found = adjusted(first, second)
    assert tuple(found[what] for what in ("L/dp", "flow", "column temperature")) == kept
    assert found["injection volume"] is None
    reasons = against(first, second)
    assert ("is outside" in reasons) == (False in kept)


def gradient(*minutes: str) -> str:
    points = ", ".join(f"{{minute = {m}, percent_b = {i * 20}}}" for i, m in enumerate(minutes))
    return f'solvent_b = "acetonitrile"\ngradient = [{points}]'


@pytest.mark.parametrize(
    ("minutes", "temperature", "kept"),
    [
        (("0", "1.2", "5.2", "6.4"), "35 degC", (True, True)),
        (("0", "3", "13", "16"), "30 degC", (False, True)),
        (("0", "1.2", "6.4"), "36 degC", (False, False)),
    ],
)
def test_what_a_gradient_method_may_adjust(
    minutes: tuple[str, ...], temperature: str, kept: tuple[bool, bool]
) -> None:
    first = column_profile(OLD, "2.0 mL/min", gradient("0", "3", "13", "16"))
    second = column_profile(NEW, "0.695 mL/min", gradient(*minutes), temperature)
    found = adjusted(first, second)
    assert (found["gradient times"], found["column temperature"]) == kept
    assert found["flow"] is None  # the times follow the flow
    change = column_change(first.profile, second.profile)
    assert change is not None
    assert (change.rules, "from memory" in change.source) == ("gradient", True)


def test_a_gradient_does_not_become_isocratic() -> None:
    first = column_profile(OLD, "2.0 mL/min", gradient("0", "3"))
    second = column_profile(NEW, "0.695 mL/min")
    assert "isocratic elution, not gradient" in against(first, second)
    assert adjusted(first, second)["gradient times"] is False


def test_a_column_without_sizes_is_not_judged() -> None:
    assert column_change(profile_file().profile, profile_file().profile) is None

"""The expected band on another instrument: scaled in one place, compared end by end."""

from __future__ import annotations

from datetime import date
from math import hypot, log
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from limitcheck.checking.file import check_file
from limitcheck.checking.proposed import NAMES, Proposed
from limitcheck.physics.liquid import CannotPredict
from limitcheck.physics.predict import predict
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.instruments import load_instrument
from limitcheck.profile.load import ProfileFile, load_bytes
from limitcheck.transfer import transfer
from limitcheck.transfer.fit import fit
from limitcheck.transfer.new_profile import NoSafeLimits, new_profile
from limitcheck.transfer.normal_pressure import expecting_there, scaled_band
from limitcheck.transfer.ruling import Ruling
from tests.profiles_for_tests import WITH_GEOMETRY, with_geometry

TODAY = date(2026, 11, 25)
KB, HM = 'id = "KB-LC-03"', 'id = "HM-LC-07"'
BAND = "low = 145\nhigh = 172"
HERE = with_geometry()


def there(*changes: tuple[str, str], text: str = WITH_GEOMETRY) -> ProfileFile:
    text = text.replace(KB, HM)
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return with_geometry(text)


def rulings(sending: ProfileFile, receiving: ProfileFile) -> dict[str, Ruling]:
    found = transfer(sending, receiving, (DEFAULT_POLICY, DEFAULT_POLICY), TODAY)
    return {item.field: item for item in found.rulings}


def test_a_band_on_the_same_hardware_keeps_its_numbers() -> None:
    at_a_site = WITH_GEOMETRY.replace(
        'id = "KB-TEA-014"', 'id = "KB-TEA-014"\nsite = "Kestrel Bay"'
    )
    here = with_geometry(at_a_site).profile
    scaled = scaled_band(here, here)
    assert here.expected is not None
    assert scaled.low.central == here.expected.low
    assert scaled.high.central == here.expected.high
    unknown = with_geometry(at_a_site.replace('"water"', '"dichloromethane"')).profile
    assert scaled_band(unknown, unknown).high.central == scaled.high.central


def test_each_end_is_compared_with_its_own_interval() -> None:
    """Middles 1.4 apart once agreed; a band 1.4 times too high is outside by what it says."""
    found = rulings(HERE, there((BAND, "low = 145\nhigh = 241")))
    assert found["expected low"].ruling == "allowed"
    assert "within the interval" in found["expected low"].rule
    assert found["expected high"].ruling == "cannot decide"
    assert "above the interval: measure it" in found["expected high"].rule


def test_a_gap_is_said_in_bar_and_in_the_instruments_unit() -> None:
    psi = (
        ('pressure_unit = "bar"', 'pressure_unit = "psi"'),
        (BAND, 'low = "2100 psi"\nhigh = "4000 psi"'),
    )
    rule = rulings(HERE, there(*psi, ("high = 260", "high = 5000"), ("low = 30", "low = 435")))
    high = rule["expected high"].rule
    off = scaled_band(HERE.profile, there(*psi).profile).high.high
    assert f"{float(4000 - off.to('psi')):.0f} psi (" in high
    assert " bar) above the interval" in high


def test_a_band_outside_its_interval_that_was_measured_points_at_the_hardware() -> None:
    measured = there((BAND, 'low = 200\nhigh = 240\nbasis = "measured"'))
    found = rulings(HERE, measured)
    assert found["expected high"].ruling == "cannot decide"
    assert "check the column and the flow path" in found["expected high"].rule


def test_an_unknown_mobile_phase_is_never_the_same_hardware() -> None:
    unknown = WITH_GEOMETRY.replace('"water"', '"dichloromethane"')
    here = with_geometry(unknown)
    found = rulings(here, there(text=unknown))
    for end in ("expected low", "expected high"):
        assert found[end].ruling == "cannot decide"
        assert 'no viscosity data for solvent_a "dichloromethane"' in found[end].rule
    for limit in ("high cutoff", "low cutoff", "weakest rating, pump"):
        assert found[f"{limit}: normal runs"].ruling == "cannot decide"
    measured = there((BAND, 'low = 140\nhigh = 175\nbasis = "measured"'), text=unknown)
    found = rulings(here, measured)
    assert found["expected high"].ruling == "information"
    assert found["high cutoff: normal runs"].ruling == "allowed"


def test_a_buffered_mobile_phase_is_compared() -> None:
    buffered = WITH_GEOMETRY.replace('"water"', '"20 mM phosphate, pH 2.5"')
    sides = with_geometry(buffered), there(text=buffered)
    ratio = scaled_band(*(side.profile for side in sides)).ratio
    (told,) = ratio.predicted_as
    assert told.startswith('solvent_a "20 mM phosphate, pH 2.5" is predicted as water, 0.8 % more')
    found = rulings(*sides)
    assert found["expected high"].ruling == "allowed"
    assert found["high cutoff: normal runs"].ruling == "allowed"


def test_a_band_that_was_not_measured_here_is_a_condition() -> None:
    for basis in ("", 'basis = "declared"\n', 'basis = "predicted"\n'):
        sides = HERE, there((f"{BAND}\n", f"{BAND}\n{basis}"))
        found = transfer(*sides, (DEFAULT_POLICY, DEFAULT_POLICY), TODAY)
        assert found.conditions == (
            "measure the pressure on the first run on HM-LC-07, then write it to the receiving "
            "profile: limitcheck baseline LOG --profile PROFILE --write",
        )
    as_sent = there((BAND, f'{BAND}\nbasis = "measured"'))
    found = transfer(HERE, as_sent, (DEFAULT_POLICY, DEFAULT_POLICY), TODAY)
    assert len(found.conditions) == 1
    rule = {item.field: item for item in found.rulings}["expected basis"].rule
    assert rule == "the band is the sender's, not yet measured on HM-LC-07"
    measured = there((BAND, 'low = 140\nhigh = 175\nbasis = "measured"'))
    found = transfer(HERE, measured, (DEFAULT_POLICY, DEFAULT_POLICY), TODAY)
    assert found.conditions == ()


def test_numbers_copied_without_converting_them() -> None:
    copied = there(
        ('pressure_unit = "bar"', 'pressure_unit = "psi"'),
        ("high = 260", "high = 3600"),
        ("low = 30", "low = 435"),
    )
    found = rulings(HERE, copied)
    assert found["expected low"].ruling == found["expected high"].ruling == "not allowed"
    assert "the number was copied without converting it" in found["expected high"].rule


@st.composite
def pairs(draw: st.DrawFn) -> tuple[str, str]:
    """A method, and the description of an instrument with other parts in another unit."""
    low = draw(st.integers(40, 250))
    method = WITH_GEOMETRY.replace(BAND, f"low = {low}\nhigh = {low + draw(st.integers(1, 120))}")
    method = method.replace('"water"', draw(st.sampled_from(('"water"', '"20 mM phosphate"'))))
    if margin := draw(st.sampled_from(("", "15 %", "40 %"))):
        method = method.replace("[cutoffs]", f'[margins]\nhigh = "{margin}"\n[cutoffs]')
    unit, step = draw(
        st.sampled_from(
            [
                ("bar", "1"),
                ("bar", "5"),
                ("psi", "1"),
                ("psi", "50"),
                ("MPa", "0.1"),
                ("kPa", "100"),
            ]
        )
    )
    other = WITH_GEOMETRY.replace(KB, HM).replace(BAND, "low = 10\nhigh = 11")
    other = other.replace('pressure_unit = "bar"', f'pressure_unit = "{unit}"')
    other = other.replace("display_step = 1", f"display_step = {step}")
    bore = draw(st.sampled_from(["0.10", "0.12", "0.17", "0.25"]))
    other = other.replace('bore = "0.17 mm"', f'bore = "{bore} mm"')
    other = other.replace('"400 bar"', f'"{draw(st.sampled_from([250, 400, 600]))} bar"')
    return method, other


# A display step of 5 bar takes the low end, 44.9 bar (40.1 to 50.5), to 40 bar.
COARSE = (
    WITH_GEOMETRY.replace(BAND, "low = 49\nhigh = 50"),
    WITH_GEOMETRY.replace(KB, HM)
    .replace(BAND, "low = 10\nhigh = 11")
    .replace("display_step = 1", "display_step = 5")
    .replace('bore = "0.17 mm"', 'bore = "0.25 mm"')
    .replace('"400 bar"', '"250 bar"'),
)


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(pairs())
@example(COARSE)
def test_one_question_has_one_answer(tmp_path: Path, pair: tuple[str, str]) -> None:
    """`fit`, `transfer --new`, `propose` on what it wrote, and the record say the same numbers."""
    method, description = load_bytes(pair[0].encode(), "kestrel-bay.toml"), tmp_path / "hm.toml"
    description.write_text(pair[1].replace("[expected]", "[expected] "), encoding="utf-8")
    instrument = load_instrument(str(description))
    ((cell,),) = fit([method], [(instrument, DEFAULT_POLICY)], TODAY).rows
    offered = [item.enter for item in cell.pair]
    try:
        content = new_profile(method, instrument, DEFAULT_POLICY, TODAY, None, "new.toml")
    except NoSafeLimits:
        assert not offered
        return
    new = load_bytes(content, "harrow-mill.toml")
    written = [getattr(new.profile.cutoffs, name) for name in NAMES]
    if offered:
        assert [cutoff.number for cutoff in written] == offered
    proposed = Proposed(new, DEFAULT_POLICY, TODAY).cutoffs
    for name, cutoff in zip(NAMES, written, strict=True):
        if (item := proposed.number(name)) is None and cutoff is not None:
            assert "may stop them" in (proposed.reason(name) or "")  # the file alone knows less
        else:
            assert (item and item.enter) == (cutoff and cutoff.number)
    found = transfer(method, new, (DEFAULT_POLICY, DEFAULT_POLICY), TODAY)
    open_there = {r.limit.name for r in found.normal.reaches if r.outcome == "not decided"}
    if "high cutoff" in open_there:
        undecided = {item.check for item in check_file(new, DEFAULT_POLICY, TODAY).undecided}
        assert "high-cutoff-below-expected" in undecided
    assert found.normal.scaled is not None
    assert new.profile.expected is not None
    ends = zip((found.normal.scaled.low, found.normal.scaled.high), ("low", "high"), strict=True)
    for end, name in ends:
        band, unit = getattr(new.profile.expected, name), instrument.instrument.pressure_unit
        assert abs(band.to(unit) - end.central.to(unit)) <= instrument.instrument.step
        assert {item.field: item for item in found.rulings}[f"expected {name}"].ruling in (
            "same",
            "allowed",
        ), (band, str(end))


def test_nothing_is_proposed_where_the_pressure_cannot_be_predicted(tmp_path: Path) -> None:
    unknown = with_geometry(WITH_GEOMETRY.replace('"water"', '"dichloromethane"'))
    description = tmp_path / "hm.toml"
    description.write_text(WITH_GEOMETRY.replace(KB, HM), encoding="utf-8")
    instrument = load_instrument(str(description))
    ((cell,),) = fit([unknown], [(instrument, DEFAULT_POLICY)], TODAY).rows
    assert cell.pair == []
    assert 'no viscosity data for solvent_a "dichloromethane"' in (cell.there.reason or "")
    with pytest.raises(NoSafeLimits, match="its pressure there cannot be predicted"):
        new_profile(unknown, instrument, DEFAULT_POLICY, TODAY, None, "new.toml")
    with pytest.raises(CannotPredict, match="states no expected pressure"):
        scaled_band(
            there((f"{BAND}\n", ""), ("[expected]   # from the first month\n", "")).profile,
            HERE.profile,
        )


def test_a_band_written_there_is_rounded_outwards_to_the_display() -> None:
    """The low end down and the high end up, each by less than a step."""
    receiving = there(("display_step = 1", "display_step = 5"), ('"1.0 mL/min"', '"0.87 mL/min"'))
    scaled = scaled_band(HERE.profile, receiving.profile)
    band = expecting_there(HERE.profile, receiving.profile).expected
    assert band is not None
    assert (band.low.value % 500_000, band.high.value % 500_000) == (0, 0)
    low, high = float(scaled.low.central), float(scaled.high.central)
    assert low - 5e5 < float(band.low) < low
    assert high < float(band.high) < high + 5e5


def test_a_ratio_of_a_band_that_is_only_predicted_has_the_prediction_in_its_width() -> None:
    sending = HERE.profile
    assert sending.expected is not None
    guessed = sending.model_copy(
        update={"expected": sending.expected.moved({"basis": "predicted"})}
    )
    at = predict(guessed)
    sure, unsure = (scaled_band(one, there().profile).ratio for one in (sending, guessed))
    for end, one, other in (
        (at.lowest, sure.lowest, unsure.lowest),
        (at.highest, sure.highest, unsure.highest),
    ):
        assert other.central == pytest.approx(one.central)
        down, up = log(one.central / one.low), log(one.high / one.central)
        assert log(other.central / other.low) == pytest.approx(
            hypot(down, log(end.central / end.low))
        )
        assert log(other.high / other.central) == pytest.approx(
            hypot(up, log(end.high / end.central))
        )
    assert unsure.rests_on[0].why == "the sender's band is only predicted"

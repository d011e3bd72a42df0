"""Methods on instruments: what fits, and why not."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.instruments import DescribedInstrument, load_instrument, on_instrument
from limitcheck.profile.load import ProfileFile, load, load_bytes
from limitcheck.transfer.fit import Cell, fit
from tests.profiles_for_tests import WITH_GEOMETRY, profile_file, with_geometry

EXAMPLES = Path(__file__).parents[2] / "examples" / "transfer"


KESTREL = EXAMPLES / "kestrel-bay.toml"


INSTRUMENTS = [
    str(EXAMPLES / "instruments" / f"{name}.toml") for name in ("kb-lc-05", "hm-lc-07", "hm-lc-11")
]


def cells(method: str | Path | None, *instruments: str) -> tuple[Cell, ...]:
    file = load(method) if method is not None else profile_file()
    systems = [load_instrument(path) for path in instruments]
    return row(file, systems)


def row(file: ProfileFile, systems: list[DescribedInstrument]) -> tuple[Cell, ...]:
    there = [(system, DEFAULT_POLICY) for system in systems]
    (found,) = fit([file], there, date(2026, 11, 25)).rows
    return found


def test_the_columns_of_the_method_between_the_parts_of_the_instrument() -> None:
    profile = on_instrument(load(KESTREL).profile, load_instrument(INSTRUMENTS[1]))
    assert [str(part.rating) for part in profile.flow_path] == [
        "400 bar",
        "7000 psi",
        "7000 psi",
        "7000 psi",
        "600 bar",
        "6000 psi",
    ]
    assert profile.instrument.id == "HM-LC-07"
    assert profile.cutoffs.high is None


def test_guard_columns_come_along() -> None:
    guard = '[[flow_path]]\npart = "guard column"\nrating = "250 bar"\n\n[[flow_path]]\n'
    text = profile_file().text.replace('[[flow_path]]\npart = "column"', f'{guard}part = "column"')
    profile = on_instrument(
        load_bytes(text.encode(), "a.toml").profile, load_instrument(INSTRUMENTS[0])
    )
    assert [part.part for part in profile.flow_path][4:] == [
        "guard column",
        "column",
        "detector cell",
    ]


def test_each_pair_is_in_the_unit_of_its_instrument() -> None:
    found = cells(KESTREL, *INSTRUMENTS)
    pairs = [(high.enter, low.enter) for high, low in (cell.pair for cell in found)]
    assert [cell.pair[0].unit for cell in found] == ["bar", "psi", "MPa"]
    # 320 bar + 25 %; 400 bar - 10 % = 5221.36 psi; 320 bar x 1.077 = 34.5 MPa, + 25 %.
    assert [high for high, _ in pairs] == ["400", "5221", "43.1"]
    # 250 bar x 1.0037 = 3639 psi and x 1.077 = 26.9 MPa, each rounded down, - 50 %.
    assert [low for _, low in pairs] == ["125", "1820", "13.5"]


def test_the_band_is_scaled_by_prediction_where_there_is_one() -> None:
    own, _, narrow = cells(KESTREL, *INSTRUMENTS)
    assert own.there.ratio is not None
    assert tuple(own.there.ratio) == (1.0, 1.0, 1.0)
    # Tubing of 0.13 mm in place of 0.17 mm, 500 mm for 600: more pressure (Hagen-Poiseuille).
    assert narrow.there.ratio is not None
    assert 1.01 < narrow.there.ratio.central < 1.1
    assert narrow.there.ratio.low < 1.0 < narrow.there.ratio.high
    (unknown,) = cells(None, INSTRUMENTS[0])
    assert (unknown.there.ratio, unknown.pair) == (None, [])
    assert unknown.there.reason == "its pressure there cannot be predicted (no conditions.flow)"


def test_why_a_method_does_not_fit(tmp_path: Path) -> None:
    weak = tmp_path / "weak.toml"
    text = Path(INSTRUMENTS[0]).read_text(encoding="utf-8")
    weak.write_text(text.replace("600 bar", "350 bar", 1), encoding="utf-8")
    (cell,) = cells(KESTREL, str(weak))
    assert cell.there.reason == (
        "the largest value within the margins, 315 bar, is not 10 % above the expected high 320 bar"
    )
    derated = text.replace(
        '"600 bar"', '"600 bar"\nrating_at_flow = [{flow = "1 mL/min", rating = "600 bar"}]', 1
    )
    weak.write_text(derated, encoding="utf-8")
    (cell,) = cells(KESTREL, str(weak))
    assert cell.there.reason == "the pump has no rating at 1.2 mL/min, only for less"
    weak.write_text(text.replace("display_step = 1", "display_step = 360", 1), encoding="utf-8")
    (cell,) = cells(KESTREL, str(weak))
    assert "the display step 360 bar is too coarse" in (cell.there.reason or "")


def test_a_band_in_a_mistaken_unit_is_offered_nowhere() -> None:
    """120 to 200 bar, typed as 1740 to 2900: no number may rest on that."""
    text = WITH_GEOMETRY.replace("low = 145", 'low = "1740 bar"')
    file = with_geometry(text.replace("high = 172", 'high = "2900 bar"'))
    systems = [load_instrument(path) for path in INSTRUMENTS]
    found = row(file, systems)
    assert not any(cell.pair for cell in found)
    assert all(
        "was mistaken, probably expected.high" in (cell.there.reason or "") for cell in found
    )

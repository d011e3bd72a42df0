"""Methods on instruments: what fits, and why not."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.instruments import load_instrument, on_instrument
from limitcheck.profile.load import load, load_bytes
from limitcheck.transfer.fit import Cell, fit
from tests.profiles_for_tests import profile_file

EXAMPLES = Path(__file__).parents[2] / "examples" / "transfer"


KESTREL = EXAMPLES / "kestrel-bay.toml"


INSTRUMENTS = [
    str(EXAMPLES / "instruments" / f"{name}.toml") for name in ("kb-lc-05", "hm-lc-07", "hm-lc-11")
]


def cells(method: str | Path | None, *instruments: str) -> tuple[Cell, ...]:
    file = load(method) if method is not None else profile_file()
    systems = [load_instrument(path) for path in instruments]
    (row,) = fit([(file, DEFAULT_POLICY)], systems, date(2026, 11, 25)).rows
    return row


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
    # 320 bar + 25 %; 400 bar - 10 % = 5221.36 psi; 320 bar x 1.033 + 25 % = 41.3 MPa.
    assert [high for high, _ in pairs] == ["400", "5221", "40"]
    assert [low for _, low in pairs] == ["125", "1813", "12.5"]


def test_the_band_is_scaled_by_prediction_where_there_is_one() -> None:
    own, _, narrow = cells(KESTREL, *INSTRUMENTS)
    assert own.ratio == pytest.approx(1)
    # Tubing of 0.13 mm in place of 0.17 mm, 500 mm for 600: more pressure (Hagen-Poiseuille).
    assert narrow.ratio is not None
    assert 1.01 < narrow.ratio < 1.1
    (unscaled,) = cells(None, INSTRUMENTS[0])
    assert unscaled.ratio is None
    assert [item.enter for item in unscaled.pair or ()] == ["250", "60"]  # as on its own


def test_why_a_method_does_not_fit(tmp_path: Path) -> None:
    weak = tmp_path / "weak.toml"
    text = Path(INSTRUMENTS[0]).read_text(encoding="utf-8")
    weak.write_text(text.replace("600 bar", "350 bar", 1), encoding="utf-8")
    (cell,) = cells(KESTREL, str(weak))
    assert cell.reason == (
        "the largest safe value, 315 bar, is not 10 % above the expected high 320 bar"
    )
    derated = text.replace(
        '"600 bar"', '"600 bar"\nrating_at_flow = [{flow = "1 mL/min", rating = "600 bar"}]', 1
    )
    weak.write_text(derated, encoding="utf-8")
    (cell,) = cells(KESTREL, str(weak))
    assert cell.reason == "the method is beyond what is stated for the pump"
    weak.write_text(text.replace("display_step = 1", "display_step = 360", 1), encoding="utf-8")
    (cell,) = cells(KESTREL, str(weak))
    assert "the display step 360 bar is too coarse" in (cell.reason or "")


def test_a_band_in_a_mistaken_unit_is_offered_nowhere() -> None:
    """120 to 200 bar, typed as 1740 to 2900: no number may rest on that."""
    file = profile_file(expected_low='"1740 bar"', expected_high='"2900 bar"')
    systems = [load_instrument(path) for path in INSTRUMENTS]
    (row,) = fit([(file, DEFAULT_POLICY)], systems, date(2026, 11, 25)).rows
    assert not any(cell.pair for cell in row)
    assert all("was mistaken, probably expected.high" in cell.reason for cell in row)

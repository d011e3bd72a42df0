"""A receiving profile made from the sender and the instrument."""

from __future__ import annotations

from pathlib import Path

import pytest

from limitcheck.cli.app import run
from limitcheck.physics.other_instrument import pressure_ratio
from limitcheck.profile.load import load
from tests.profiles_for_tests import WITH_GEOMETRY

EXAMPLES = Path(__file__).parents[2] / "examples" / "transfer"


def test_a_new_profile_in_steps_of_a_tenth(tmp_path: Path) -> None:
    new, sending, there = (tmp_path / f"{name}.toml" for name in ("new", "sending", "there"))
    sending.write_text(WITH_GEOMETRY.replace("high = 172", "high = 201"), encoding="utf-8")
    parts = WITH_GEOMETRY.replace('id = "KB-LC-03"', 'id = "HM-LC-11"')
    parts = parts.replace('"bar"\ndisplay_step = 1', '"MPa"\ndisplay_step = 0.1')
    there.write_text(parts.replace("= 260", "= 26").replace("= 30", "= 3"), encoding="utf-8")
    run(["transfer", str(sending), "--new", str(new), "--instrument", str(there)])
    text = new.read_text(encoding="utf-8")
    assert "high = 25.1\n" in text  # 251.25 bar, down
    assert 'high = "201 bar"\n' in text  # equal parts: the numbers stay
    assert load(new).profile.method.site is None


def test_a_band_that_other_tubing_moves_is_scaled(tmp_path: Path) -> None:
    narrow, new = tmp_path / "narrow.toml", tmp_path / "new.toml"
    text = (EXAMPLES / "instruments/hm-lc-11.toml").read_text(encoding="utf-8")
    narrow.write_text(text.replace("0.13 mm", "0.09 mm"), encoding="utf-8")
    sending = EXAMPLES / "kestrel-bay.toml"
    assert run(["transfer", str(sending), "--new", str(new), "--instrument", str(narrow)]) != 2
    first, second = load(sending).profile, load(new).profile
    ratio = pressure_ratio(first, second).highest.central
    assert ratio > 1.1
    assert second.expected is not None
    assert second.expected.basis == "predicted"
    assert float(second.expected.high) == pytest.approx(320e5 * ratio, abs=1e5)
    assert second.expected.high.unit == "MPa"


def test_no_new_profile_without_safe_limits(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    new, sending = tmp_path / "new.toml", tmp_path / "sending.toml"
    weak = WITH_GEOMETRY.replace('"3 um"\nrating = "400 bar"', '"3 um"\nrating = "200 bar"')
    sending.write_text(weak, encoding="utf-8")
    instrument = str(EXAMPLES / "instruments/hm-lc-07.toml")
    assert run(["transfer", str(sending), "--new", str(new), "--instrument", instrument]) == 2
    assert not new.exists()
    shown = capsys.readouterr().err
    assert "no high cutoff can be proposed for KB-TEA-014 on HM-LC-07" in shown
    assert "every part up to the column rated 2952 psi or more" in shown

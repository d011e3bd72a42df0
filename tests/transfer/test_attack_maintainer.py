"""Faults found by a maintainer's review of transfers: each test fails until its fault is mended."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from limitcheck.cli.controlled import verify
from limitcheck.errors import Refused
from limitcheck.profile.load import load_bytes
from limitcheck.transfer import Transfer

from .changed import changed
from .test_cases import decided, ruling_on

UNKNOWN = {"conditions.solvent_a": "hexane"}
IN_PSI = {
    **{"instrument.pressure_unit": "psi", "instrument.entry_max": 8700},
    **{"cutoffs.high": 2465, "cutoffs.low": 871, "expected.low": 1741, "expected.high": 2001},
}
"""The base's 120 to 138 bar and its cutoffs in psi, rounded to the step: nothing measured anew."""


def moved(
    sending: Mapping[str, Any], receiving: Mapping[str, Any], policy: Mapping[str, Any] = {}
) -> Transfer:
    return decided(
        {"base": "isocratic", "sending": sending, "receiving": receiving, "policy": policy}
    )


def test_a_band_that_is_the_senders_converted_and_rounded_is_not_measured_here() -> None:
    assert moved(UNKNOWN, UNKNOWN | IN_PSI).decision == "cannot decide"


def test_its_condition_to_measure_stays() -> None:
    assert any("measure" in text for text in moved({}, IN_PSI).conditions)


def test_a_band_of_another_flow_on_the_same_instrument_is_not_measured_here() -> None:
    there = UNKNOWN | {"instrument.id": "KB-LC-03", "conditions.flow": "1.5 mL/min"}
    assert moved(UNKNOWN, there).decision != "accept"


@pytest.mark.parametrize(
    "bound",
    [
        {},
        {"at": "cutoffs.high", "value": "5 bar"},
        {"at": "cutoffs.low", "value": "7 bar", "limit": "9 bar"},
    ],
)
def test_an_acceptance_that_does_not_hold_allows_no_missing_low_cutoff(
    bound: dict[str, str],
) -> None:
    entry = {"check": "low-cutoff-off", "reason": "leak sensor", "by": "method owner", **bound}
    found = moved({}, {"cutoffs.low": "", "accepted": [entry]})
    assert "acceptance-invalid" in {item.check for item in found.receiving.report.findings}
    assert ruling_on("low cutoff", found).ruling == "cannot decide"


def test_a_high_cutoff_is_not_rounded_up_past_its_bound() -> None:
    """172.5 bar is the bound: 150 bar is the step under it (design: high is rounded down)."""
    found = moved({}, {"instrument.display_step": 50, "cutoffs.high": 200, "cutoffs.low": 100})
    assert ruling_on("high cutoff", found).ruling != "allowed"


def test_parts_in_another_order_are_another_flow_path() -> None:
    text = (Path(__file__).parent / "bases" / "isocratic.toml").read_text("utf-8")
    first, *parts = text.split("[[flow_path]]")
    injector = next(part for part in parts if '"injector"' in part)
    parts.remove(injector)
    other = "[[flow_path]]".join([first, *parts, "\n" + injector]).replace("KB-LC-03", "HM-LC-07")
    from limitcheck.transfer.comparison import compare
    from limitcheck.transfer.ruling import Pair

    sides = changed("isocratic", {}).profile, load_bytes(other.encode(), "b.toml").profile
    flow_path = sides[1].flow_path
    assert flow_path[-1].part == "injector"
    as_before = compare(Pair(sides[0], changed("isocratic", {"instrument.id": "HM-LC-07"}).profile))
    assert compare(Pair(*sides)) != as_before


def test_nothing_counts_in_a_pressure_that_was_not_predicted() -> None:
    measured = {"expected.low": 121, "expected.high": 140, "tubing.bore": "0.05 mm"}
    found = moved(UNKNOWN, UNKNOWN | measured)
    assert found.normal.scaled is None
    assert not [item.field for item in found.rulings if "counts in the predicted" in item.rule]


def test_a_limit_of_the_policy_is_not_the_chapters() -> None:
    """30 % stands in no chapter: the record names the pharmacopoeia as its source."""
    found = moved({}, {"conditions.flow": "1.2 mL/min"}, {"isocratic_flow": "30 %"})
    item = ruling_on("conditions: flow", found)
    assert "30 %" in item.rule
    assert "Ph. Eur." not in item.source


def test_a_dwell_volume_that_injection_makes_up_for_holds_on_system_suitability() -> None:
    there = {"conditions.injection_minute": 1, "instrument.dwell_volume": "2.0 mL"}
    found = decided({"base": "gradient", "receiving": there})
    assert ruling_on("instrument: dwell_volume", found).condition


@pytest.mark.parametrize("key", ["made", "id"])
def test_a_record_that_lacks_a_key_is_said_to_be_altered(key: str) -> None:
    own = {"made": "2026-11-25T08:00:00+00:00", "id": "2026-11-25-0", "sha256": "0"}
    del own[key]
    assert verify({"record": own, "rulings": []}, datetime(2026, 11, 26).astimezone())


def test_a_record_nested_too_deep_is_refused(tmp_path: Path) -> None:
    from limitcheck.cli.controlled import read_record

    (tmp_path / "deep.json").write_text("[" * 200_000)
    with pytest.raises(Refused):
        read_record(str(tmp_path / "deep.json"))

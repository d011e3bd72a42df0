"""Cases of a reviewer of transfers, each of which was ruled wrongly once."""

from __future__ import annotations

import json
from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from limitcheck.cli.app import run
from limitcheck.cli.controlled import read_record
from limitcheck.errors import Refused
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import load_bytes
from limitcheck.transfer import Transfer, transfer
from limitcheck.transfer.comparison import compare
from limitcheck.transfer.ruling import Pair

from .changed import BASES, THERE, changed
from .test_cases import TODAY, decided, ruling_on

UNKNOWN = {"conditions.solvent_a": "dichloromethane"}
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
    text = (BASES / "isocratic.toml").read_text("utf-8")
    first, *parts = text.split("[[flow_path]]")
    injector = next(part for part in parts if '"injector"' in part)
    parts.remove(injector)
    other = "[[flow_path]]".join([first, *parts, "\n" + injector]).replace("KB-LC-03", "HM-LC-07")
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
def test_a_record_that_lacks_a_key_is_no_failure_of_ours(
    key: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own = {"made": "2026-11-25T08:00:00+00:00", "id": "2026-11-25-0", "sha256": "0"}
    del own[key]
    (tmp_path / "r.json").write_text(json.dumps({"record": own, "rulings": []}))
    assert run(["transfer", "--verify", str(tmp_path / "r.json")]) in (1, 2)
    assert "fault of limitcheck" not in "".join(capsys.readouterr())


def test_a_record_nested_too_deep_is_refused(tmp_path: Path) -> None:
    (tmp_path / "deep.json").write_text("[" * 200_000)
    with pytest.raises(Refused):
        read_record(str(tmp_path / "deep.json"))


@pytest.fixture
def two(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Both profiles of a transfer, in the working folder."""
    text = (BASES / "isocratic.toml").read_text("utf-8")
    (tmp_path / "a.toml").write_text(text, "utf-8")
    (tmp_path / "b.toml").write_text(text.replace("KB-LC-03", "HM-LC-07"), "utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_what_is_read_in_a_page_is_verified_too(two: Path) -> None:
    """The signer reads the page, not the JSON in it: a page that was altered is not unchanged."""
    assert run(["transfer", "a.toml", "b.toml", "-o", "r.html"]) == 0
    assert run(["transfer", "--verify", "r.html"]) == 0
    page = (two / "r.html").read_text("utf-8")
    head, mark, data = page.partition('<script type="application/json"')
    assert "16.4 bar below" in head
    (two / "r.html").write_text(head.replace("16.4 bar", "916.4 bar") + mark + data, "utf-8")
    assert run(["transfer", "--verify", "r.html"]) == 1


def test_a_refused_qualification_leaves_no_new_profile(two: Path) -> None:
    (two / "q.json").write_text("{}")
    new = ["transfer", "a.toml", "--new", "n.toml", "--instrument", "b.toml"]
    assert run([*new, "--qualification", "q.json"]) == 2
    assert not (two / "n.toml").exists()


def test_an_option_that_does_nothing_here_is_refused(two: Path) -> None:
    assert run(["transfer", "a.toml", "b.toml", "--site", "Harrow Mill"]) == 2


def test_a_margin_of_the_policy_is_named_as_what_allows_a_cutoff() -> None:
    """340 bar for 170 bar is allowed by the site's 500 % alone: no common practice."""
    policy = DEFAULT_POLICY._replace(margins=DEFAULT_POLICY.margins._replace(high=Fraction(5)))
    sides = changed("isocratic", {}), changed("isocratic", THERE | {"cutoffs.high": 340})
    found = transfer(*sides, (DEFAULT_POLICY, policy), TODAY)
    item = ruling_on("high cutoff", found)
    assert "500 %" in item.rule
    assert item.ruling != "allowed" or "policy" in item.source + item.rule


def test_a_power_of_ten_is_not_a_salt_within_ten_percent() -> None:
    sent, got = ({"conditions.solvent_a": f"1e-{power} M oddity"} for power in (10, 11))
    found = moved(sent, got | {"expected.low": 121, "expected.high": 140})
    assert ruling_on("conditions: solvent_a", found).ruling == "cannot decide"


def test_an_exchanged_composition_is_said_in_the_senders_b() -> None:
    """45 % of the other solvent is 55 % of the sender's B: the row must not read 45 for 45."""
    there = {"conditions.solvent_a": "acetonitrile", "conditions.solvent_b": "water"}
    item = ruling_on("conditions: percent_b", moved({}, there))
    assert item.ruling == "allowed"
    assert "55 % B" in item.rule.replace("35 to 55 % B", "")


def test_a_revision_that_cannot_be_read_is_not_none_at_all(
    two: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (two / ".git").mkdir()
    text = (two / "a.toml").read_text("utf-8").replace('revision = "B"', 'revision = "A"')
    (two / "old.toml").write_text(text.replace("1.0 mL", "1,0 mL"), "utf-8")
    run(["transfer", "a.toml", "b.toml", "--verbose"])
    assert "has no other revision" not in capsys.readouterr().out


def test_a_bore_that_is_left_out_does_not_count_in_a_prediction() -> None:
    """Left out, the tube is left out of the pressure too: the scaled band falls by 4 %."""
    found = moved({}, {"tubing.bore": ""})
    item = ruling_on("tubing (pump to injector): bore", found)
    assert "counts in the predicted pressure" not in item.rule


@pytest.mark.parametrize("part", ["fitting", "detector cell", "injector"])
def test_a_rated_part_that_only_the_sender_lists_is_not_silent(part: str) -> None:
    """Nobody says what the fitting there holds: left out, it is the weakest rating unseen."""
    text = (BASES / "isocratic.toml").read_text("utf-8")
    first, *parts = text.split("[[flow_path]]")
    kept = [first, *(item for item in parts if f'part = "{part}"' not in item)]
    assert len(kept) == len(parts)
    there = "[[flow_path]]".join(kept).replace("KB-LC-03", "HM-LC-07")
    sides = changed("isocratic", {}), load_bytes(there.encode(), "b.toml")
    found = transfer(*sides, (DEFAULT_POLICY, DEFAULT_POLICY), TODAY)
    assert any(f"the sender's {part}" in text for text in found.conditions)

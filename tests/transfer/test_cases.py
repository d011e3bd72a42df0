"""One case a file in cases/: two profiles, the field, the ruling it gets, and the ruling's source.

A key path with "" takes the key away. Without a decision of its own, a case expects what its
ruling comes to: not allowed is "do not accept", cannot decide is never "accept".
"""

from __future__ import annotations

import tomllib
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any, get_args

import pytest

from limitcheck.checking.transfer_table import TransferTable, adjustment_limits
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.transfer import Transfer, transfer
from limitcheck.transfer.ruling import Ruling, Word

from .changed import THERE, changed

CASES = sorted((Path(__file__).parent / "cases").glob("*.toml"))
TODAY = date(2026, 11, 25)


def read(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text("utf-8"), parse_float=Decimal)


def decided(case: dict[str, Any]) -> Transfer:
    sending = changed(case["base"], case.get("sending", {}), "kestrel-bay.toml")
    there = THERE | {"method.site": "Harrow Mill"} | case.get("receiving", {})
    receiving = changed(case["base"], there, "harrow-mill.toml")
    limits = adjustment_limits(TransferTable.model_validate(case.get("policy", {})))
    policy = DEFAULT_POLICY._replace(adjustments=limits)
    return transfer(sending, receiving, (DEFAULT_POLICY, policy), TODAY)


def ruling_on(field: str, found: Transfer) -> Ruling:
    return next(item for item in found.rulings if item.field == field)


@pytest.mark.parametrize("path", CASES, ids=[path.stem for path in CASES])
def test_the_ruling_and_the_decision(path: Path) -> None:
    case = read(path)
    found, expected = decided(case), case["expected"]
    item = ruling_on(expected["field"], found)
    assert item.ruling == expected["ruling"], item
    assert expected.get("says", "") in f"{item.rule} {item.source}", item
    if "decision" in expected:
        assert found.decision == expected["decision"], found.reasons
    elif item.ruling == "not allowed":
        assert found.decision == "do not accept"
    elif item.ruling == "cannot decide":
        assert found.decision != "accept"


def test_there_are_cases_enough_and_each_names_its_source() -> None:
    cases = [read(path) for path in CASES]
    assert len(cases) >= 60
    assert all(len(case["what"]) > 9 and len(case["source"]) > 9 for case in cases)
    assert {case["expected"]["ruling"] for case in cases} == set(get_args(Word))
    silent = [case for case in cases if case["source"].startswith("issue 15")]
    assert len(silent) >= 12
    assert all(case["expected"]["ruling"] in ("not allowed", "cannot decide") for case in silent)

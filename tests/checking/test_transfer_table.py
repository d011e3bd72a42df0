"""`[transfer]` of a policy: a site's own limits, and no wider ones without their edition."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from limitcheck.checking.policy_tables import read_policy
from limitcheck.checking.transfer_table import TransferTable
from limitcheck.policy import AdjustmentLimits
from limitcheck.profile.text import UnreadableProfile


def written(folder: Path, text: str) -> Path:
    path = folder / "limitcheck.toml"
    path.write_text(f"[transfer]\n{text}\n", encoding="utf-8")
    return path


def test_what_is_absent_is_built_in(tmp_path: Path) -> None:
    policy = read_policy(written(tmp_path, 'isocratic_flow = "20 %"\ngradient_minutes = 0.01'))
    assert policy.adjustments == AdjustmentLimits()._replace(
        isocratic_flow=Fraction(1, 5),
        gradient_minutes=Fraction(1, 100),
        stated=frozenset({"isocratic_flow", "gradient_minutes"}),
    )


def test_every_limit_has_its_key() -> None:
    assert {*TransferTable.model_fields, "stated"} == set(AdjustmentLimits._fields)


@pytest.mark.parametrize("name", sorted(set(TransferTable.model_fields) - {"edition"}))
def test_wider_limits_need_the_edition_they_stand_in(tmp_path: Path, name: str) -> None:
    limit: Fraction = Fraction(3, 2) * getattr(AdjustmentLimits(), name)
    shares = TransferTable.model_json_schema()["properties"][name]["anyOf"][0]["type"] == "string"
    wider = f'{name} = "{float(limit * 100)} %"' if shares else f"{name} = {float(limit)}"
    with pytest.raises(UnreadableProfile) as refused:
        read_policy(written(tmp_path, wider))
    (finding,) = refused.value.findings
    assert f"{name}: wider than the limits built in" in finding.message
    assert "edition = ..." in finding.advice
    named = read_policy(written(tmp_path, f'edition = "HM-SOP-114"\n{wider}'))
    assert getattr(named.adjustments, name) == limit
    assert named.adjustments.edition == "HM-SOP-114"


@pytest.mark.parametrize("name", ["length_over_particle_less", "isocratic_flow"])
def test_a_share_that_leaves_nothing_is_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(UnreadableProfile, match="nothing would be left"):
        read_policy(written(tmp_path, f'edition = "HM-SOP-114"\n{name} = "100 %"'))

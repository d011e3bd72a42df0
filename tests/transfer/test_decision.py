"""Accept, do not accept, cannot decide: what each rests on."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.findings import Severity
from limitcheck.policy import DEFAULT_POLICY, AcceptanceRules, Policy
from limitcheck.profile.model import Profile
from limitcheck.transfer import Transfer, transfer
from limitcheck.transfer.decision import Reason, decide
from limitcheck.transfer.ruling import CORE

from .changed import THERE, changed

TODAY = date(2026, 11, 25)
ABOVE = {"column.rating": "150 bar"}
"""The column holds less than the high cutoff of 170 bar: an error."""
ACCEPTED = {
    "check": "high-cutoff-above-rating",
    "at": "cutoffs.high",
    "value": "170 bar",
    "limit": {"column": "150 bar"},
    "reason": "agreed by telephone",
    "by": "method owner",
    "until": date(2027, 6, 30),
}
ANYTHING_ACCEPTED = Policy(acceptances=AcceptanceRules(until_required=False, never=()))
"""By default nobody can answer for a cutoff above a rating."""
LENIENT = (ANYTHING_ACCEPTED, ANYTHING_ACCEPTED)


def moved(
    sending: Mapping[str, Any],
    receiving: Mapping[str, Any],
    *,
    base: str = "isocratic",
    policies: tuple[Policy, Policy] = (DEFAULT_POLICY, DEFAULT_POLICY),
) -> Transfer:
    sides = changed(base, sending, "from.toml"), changed(base, THERE | receiving, "to.toml")
    return transfer(*sides, policies, TODAY)


def texts(found: Transfer, ruling: str) -> str:
    return " | ".join(reason.text for reason in found.reasons if reason.ruling == ruling)


def test_the_worst_reason_decides() -> None:
    stands, is_open, is_seen = (
        Reason("not allowed", "a"),
        Reason("cannot decide", "b"),
        Reason("information", "c"),
    )
    assert decide([]) == decide([is_seen]) == "accept"
    assert decide([is_seen, is_open]) == "cannot decide"
    assert decide([is_open, stands, is_seen]) == "do not accept"


@pytest.mark.parametrize("base", ["isocratic", "gradient"])
def test_the_same_method_on_another_instrument_is_accepted(base: str) -> None:
    found = moved({}, {}, base=base)
    assert (found.decision, found.reasons) == ("accept", ())


@pytest.mark.parametrize("side", ["sending", "receiving"])
def test_an_error_that_somebody_accepted_stands_against_it(side: str) -> None:
    changes = ABOVE | {"accepted": [ACCEPTED]}
    sides = (changes, {}) if side == "sending" else ({}, changes)
    found = moved(*sides, policies=LENIENT)
    assert found.decision == "do not accept"
    assert (
        f"high-cutoff-above-rating in the {side} profile, accepted by method owner until "
        "2027-06-30 (agreed by telephone)"
    ) in texts(found, "not allowed")


def test_an_acceptance_without_an_end_says_so() -> None:
    endless = {key: value for key, value in ACCEPTED.items() if key != "until"}
    found = moved({}, ABOVE | {"accepted": [endless]}, policies=LENIENT)
    assert "accepted by method owner without an end" in texts(found, "not allowed")


@pytest.mark.parametrize(
    ("grade", "says"), [(Severity.NOTE, "graded note"), (None, "switched off")]
)
def test_an_error_that_a_policy_lowered_stands_against_it(
    grade: Severity | None, says: str
) -> None:
    low = Policy(severities={"high-cutoff-above-rating": grade}, source="limitcheck.toml")
    found = moved({}, ABOVE, policies=(DEFAULT_POLICY, low))
    assert found.decision == "do not accept"
    assert f"in the receiving profile, {says} by limitcheck.toml: " in texts(found, "not allowed")


def test_a_policy_that_requires_less_opens_nothing() -> None:
    """Without a rated part before the column nothing says what the cutoff may be."""
    least = DEFAULT_POLICY._replace(require=())
    unrated = dict.fromkeys(
        ["pump.rating", "tubing.rating", "injector.rating", "fitting.rating", "column.rating"], ""
    )
    found = moved({}, unrated, policies=(DEFAULT_POLICY, least))
    assert found.decision == "cannot decide"
    assert "not-decided in the receiving profile" in texts(found, "cannot decide")


def test_warnings_of_the_receiving_side_are_to_be_looked_at() -> None:
    found = moved({}, {"cutoffs.low": ""})
    assert "warnings in the receiving profile: low-cutoff-off" in texts(found, "information")


def test_one_profile_against_itself_is_no_transfer() -> None:
    file = changed("isocratic", {})
    copied = changed("isocratic", {}, "copied.toml")
    respelt = changed("isocratic", {"conditions.flow": "1 mL/min"}, "respelt.toml")
    for other in (file, copied, respelt):
        found = transfer(file, other, (DEFAULT_POLICY, DEFAULT_POLICY), TODAY)
        assert found.decision == "do not accept"
        assert "one profile against itself is no transfer" in texts(found, "not allowed")


# ---- generated pairs

LIQUIDS = ["water", "Water", "acetonitrile", "methanol", "ACN", ""]
CHANGES: Mapping[str, list[Any]] = {
    "method.revision": ["B", "C", ""],
    "conditions.flow": ["1 mL/min", "0.21 mL/min", "0.6 mL/min", "1.4 mL/min", "1.6 mL/min", ""],
    "conditions.temperature": ["35 degC", "308.15 K", "44 degC", "46 degC", "20 degC", ""],
    "conditions.solvent_a": LIQUIDS,
    "conditions.solvent_b": LIQUIDS,
    "conditions.percent_b": [45, 55, 50, 40, 30, 0, 100, 80, 82, ""],
    "conditions.injection_volume": ["20 uL", "4.2 uL", "20.9 uL", "10 uL", "40 uL", ""],
    "column.chemistry": ["C18", "c18", "C8", "phenyl", ""],
    "column.particle": ["fully porous", "superficially porous", "monolith", ""],
    "column.length": ["150 mm", "15 cm", "250 mm", "100 mm", "50 mm", ""],
    "column.bore": ["4.6 mm", "2.1 mm", "3.0 mm", ""],
    "column.particle_size": ["3 um", "5 um", "2 um", "1.7 um", ""],
    "column.rating": ["400 bar", "160 bar", "600 bar", ""],
    "pump.rating": ["400 bar", "169 bar", ""],
    "cutoffs.high": [170, 160, 220, 900, ""],
    "expected.low": [120, 121, 60],
    "expected.high": [138, 137, 300],
    "expected": [""],
    "conditions": [""],
}


@st.composite
def changes(draw: st.DrawFn) -> dict[str, Any]:
    keys = draw(st.lists(st.sampled_from(sorted(CHANGES)), max_size=4, unique=True))
    tables = [key for key in keys if "." not in key]
    keys = tables + [key for key in keys if key.partition(".")[0] not in tables]
    return {key: draw(st.sampled_from(CHANGES[key])) for key in keys}


@given(changes(), changes())
def test_nothing_is_accepted_that_differs_without_a_rule_or_is_missing(
    sending: dict[str, Any], receiving: dict[str, Any]
) -> None:
    """Against the published limits, worked out here once more, in floats."""
    found = moved(sending, receiving)
    if found.decision != "accept":
        return
    for item in found.rulings:
        table, _, key = item.field.rpartition(": ")
        if table in ("method", "conditions", "column", "pump") and key in CORE:
            alike = key.startswith("solvent") or key == "percent_b"  # the liquid is asked below
            assert item.ruling in ("same", "allowed") or alike
    old, new = found.sending.profile, found.receiving.profile
    assert old.method.revision == new.method.revision is not None
    length, bore, particle = (
        times(column(old), column(new), key) for key in ("length", "bore", "particle_size")
    )
    assert 0.75 - TINY <= length / particle <= 1.5 + TINY
    first, second = old.conditions, new.conditions
    assert 0.5 - TINY <= times(first, second, "flow") / (bore**2 / particle) <= 1.5 + TINY
    assert abs(stated(first, "temperature") - stated(second, "temperature")) <= 10 + TINY
    assert 0.9 <= times(first, second, "injection_volume") / (length * bore**2) <= 1.1
    before, after = liquid(old), liquid(new)
    assert before.keys() == after.keys()
    assert all(abs(before[name] - after[name]) <= 10 for name in before)
    assert column(old).chemistry.casefold() == column(new).chemistry.casefold()
    assert column(old).particle == column(new).particle
    assert all("particle" in column(side).model_fields_set for side in (old, new))
    high = stated(new.cutoffs, "high")
    assert stated(new.expected, "high") < high
    assert stated(column(new), "rating") >= high
    assert stated(new.flow_path[0], "rating") >= high


TINY = 1e-9


def stated(table: Any, key: str) -> float:
    """A number that an accepted transfer rests on, which therefore is stated."""
    value = getattr(table, key)
    assert value is not None, key
    return float(value)


def times(old: Any, new: Any, key: str) -> float:
    return stated(new, key) / stated(old, key)


def column(profile: Profile) -> Any:
    return next(part for part in profile.flow_path if part.part == "column")


def liquid(profile: Profile) -> dict[str, float]:
    """Percent of each solvent that is delivered."""
    conditions: Any = profile.conditions
    if conditions.solvent_b is None:
        return {conditions.solvent_a: 100.0}
    percent_b = stated(conditions, "percent_b")
    shares = ((conditions.solvent_a, 100 - percent_b), (conditions.solvent_b, percent_b))
    usual = {"acn": "acetonitrile"}
    return {usual.get(name.casefold(), name.casefold()): share for name, share in shares if share}


def test_every_adjustment_holds_on_condition() -> None:
    """The chapter asks for system suitability (secondary summary), then for plates."""
    assert not any("suitability" in text for text in moved({}, {}).conditions)
    warmer = moved({}, {"conditions.temperature": "40 degC"})
    assert any("system suitability" in text for text in warmer.conditions)
    finer = {"column.particle_size": "2.5 um", "conditions.flow": "1.0 mL/min"}
    plates = [text for text in moved({}, finer).conditions if "plate number" in text]
    assert len(plates) == 1


def test_margins_of_the_receiving_profile_widen_nothing() -> None:
    found = moved({}, {"cutoffs.high": 300, "margins": {"high": "200 %"}})
    assert "high cutoff: 300 bar for 170 bar" in texts(found, "not allowed")

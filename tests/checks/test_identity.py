"""The place and the two numbers of a finding, and which way they get worse."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.checks import CHECKS, Skip, Subject
from limitcheck.checks.identity import (
    above,
    below,
    by_part,
    canonical,
    changed,
    holds,
    place_text,
    same_numbers,
)
from limitcheck.findings import Compared
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.hardware import rated_parts
from limitcheck.profile.load import load, load_bytes
from limitcheck.units import Pressure
from tests.profiles_for_tests import TEXT

CASES = sorted((Path(__file__).parents[1] / "cases").glob("*.toml"))
PRESSURES = st.builds(
    Pressure.of, st.integers(1, 9999), st.sampled_from(["bar", "psi", "MPa", "kPa", "kgf/cm2"])
)


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_every_check_gives_its_numbers(path: Path) -> None:
    """Without, an acceptance would not see a limit that moves."""
    subject = Subject(load(path).profile, DEFAULT_POLICY, date(2026, 11, 25))
    for check in CHECKS:
        try:
            for finding in check(subject):
                assert finding.compared.value, check.__name__
        except Skip:
            continue


@given(PRESSURES, PRESSURES, PRESSURES, PRESSURES)
def test_it_holds_while_neither_number_moves_the_wrong_way(
    value: Pressure, limit: Pressure, value_now: Pressure, limit_now: Pressure
) -> None:
    """Against the plain rule, in exact fractions."""
    safer = value_now.value <= value.value and limit_now.value >= limit.value
    assert holds(above(value, limit), above(value_now, limit_now)) is safer
    safer = value_now.value >= value.value and limit_now.value <= limit.value
    assert holds(below(value, limit), below(value_now, limit_now)) is safer
    same = (value_now.value, limit_now.value) == (value.value, limit.value)
    assert holds(changed(value, limit), changed(value_now, limit_now)) is same


@pytest.mark.parametrize(
    ("given_for", "now", "held"),
    [
        (above("off"), above("off"), True),
        (above("off"), above("400 bar"), False),
        (above("400 bar"), above("400 mm"), False),
        (above("6 mL/min", "5 mL/min"), above("5500 uL/min", "5 mL/min"), True),
        (above("40 degC", "25 degC"), above("41 degC", "25 degC"), False),
        (changed("3.5"), changed("3.50"), True),
        (changed("3.5"), changed("3.51"), False),
        (above("9 bar", {"a": "1 bar"}), above("9 bar", {"a": "1 bar"}), True),
        (above("9 bar", {"a": "1 bar", "b": "2 bar"}), above("9 bar", {"b": "2 bar"}), True),
        (above("9 bar", {"a": "1 bar"}), above("9 bar", {"a": "1 bar", "b": "8 bar"}), False),
        (above("9 bar", {"a": "1 bar"}), above("9 bar", "1 bar"), False),
        (changed("9 bar", {"a": "9 bar"}), changed("9 bar", {"b": "9 bar"}), False),
        (above("9 bar"), above("9 bar", "5 bar"), False),
    ],
)
def test_numbers_that_cannot_be_compared_have_moved(
    given_for: Compared, now: Compared, held: bool
) -> None:
    assert holds(given_for, now) is held


def test_one_way_to_write_a_number() -> None:
    written = above("24.00 bar", {"b": "1e2 psi", "a": "07 MPa"})
    assert canonical(written) == above("24 bar", {"a": "7 MPa", "b": "100 psi"})
    assert same_numbers(written, below("24 bar", {"a": "7 MPa", "b": "100.0 psi"}))
    assert not same_numbers(above("24 bar"), above("25 bar"))
    assert canonical(changed("no rating", "0.50")) == changed("no rating", "0.5")


def test_parts_of_one_name_are_counted() -> None:
    """One more of them is another finding."""
    fitting = '[[flow_path]]\npart = "fitting"\nrating = "%s bar"\n'
    content = TEXT + fitting % 320 + fitting % 300
    parts = rated_parts(load_bytes(content.encode(), "a.toml").profile)
    assert by_part(parts) == {"2 x fitting": "300 bar", "pump": "400 bar", "column": "450 bar"}


def test_a_place_names_parts_and_acceptances() -> None:
    content = TEXT + '[[accepted]]\ncheck = "low-cutoff-off"\nreason = "r"\nby = "b"\n'
    profile = load_bytes(
        content.replace('"column"', '"column"\nlabel = "tea"').encode(), "a"
    ).profile
    assert place_text(profile, ("flow_path", 1, "rating")) == "flow_path[column (tea)].rating"
    assert place_text(profile, ("accepted", 0, "until")) == "accepted[low-cutoff-off].until"
    assert place_text(profile, ("cutoffs", "high")) == "cutoffs.high"
    assert place_text(profile, ()) == ""

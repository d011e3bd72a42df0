"""The numbers of a scale: none is rounded so that it says something else."""

from __future__ import annotations

import pytest

from limitcheck.checking.marks import marks_of
from limitcheck.profile.load import load_bytes
from limitcheck.units import exact

from ..profiles_for_tests import text


def marked(own: str) -> dict[str, tuple[str, object]]:
    profile = load_bytes(own.encode(), "a.toml").profile
    return {mark.kind: (mark.text, mark.amount) for mark in marks_of(profile, doubt="").marks}


@pytest.mark.parametrize("digits", [1, 12, 13, 24])
def test_a_rating_of_many_digits_is_never_shown_higher(digits: int) -> None:
    stated = f"400.{'9' * digits}"
    shown, amount = marked(text(pump=f'"{stated} bar"'))["weakest"]
    assert exact(stated) == amount
    assert exact(shown) <= amount
    assert exact(shown) >= 400


def test_the_weakest_rating_is_not_shown_below_a_weaker_one_behind_the_column() -> None:
    """6000 psi are 413.69 bar; rounded to a step of 1 bar they would stand under 413.3 bar."""
    cell = '\n[[flow_path]]\npart = "detector cell"\nrating = "413.3 bar"\n'
    own = text(pump='"6000 psi"', high="414") + cell
    found = marked(own)
    assert found["behind"][0] == "413.3"
    assert found["weakest"][0] == "413.6"

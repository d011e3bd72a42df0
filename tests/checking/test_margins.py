"""How near a profile's cutoffs are: shares worked out by hand beside each case."""

from __future__ import annotations

from fractions import Fraction

import pytest

from limitcheck.checking.margins import Margins, margins_of
from limitcheck.profile.load import load_bytes

from ..profiles_for_tests import text


def margins(**changes: str) -> Margins:
    return margins_of(load_bytes(text(**changes).encode(), "tea.toml").profile, doubt="")


def test_every_margin_of_the_base_profile() -> None:
    """High 250, low 60, normal 120 to 200, the pump's 400 bar the weakest rating."""
    found = {(m.cutoff, m.of): m.share for m in margins().known}
    assert found == {
        ("high", "the rating of the pump"): Fraction(400 - 250, 400),
        ("high", "the highest normal pressure"): Fraction(250 - 200, 200),
        ("low", "the lowest normal pressure"): Fraction(120 - 60, 120),
    }
    assert margins().missing == ()


def test_units_do_not_matter() -> None:
    """7 MPa is 70 bar."""
    in_mpa = margins(pump='"7 MPa"', high="63")
    assert {m.share for m in in_mpa.known if "rating" in m.of} == {Fraction(7, 70)}


@pytest.mark.parametrize(
    ("high", "words"), [("400", "at"), ("401", "0.25 % over"), ("399", "0.25 % under")]
)
def test_a_rating_of_400_bar(high: str, words: str) -> None:
    """401 and 399 are 1/400 = 0.25 % away."""
    (found,) = (margin.text for margin in margins(high=high).known if "rating" in margin.of)
    assert found == f"high cutoff {words} the rating of the pump"


def test_the_weakest_is_the_smallest_share() -> None:
    found = margins(high="35")
    assert found.weakest is not None
    assert found.weakest.share == Fraction(35 - 200, 200)
    assert found.weakest.text == "high cutoff 82 % below the highest normal pressure"


def test_what_is_missing_is_said() -> None:
    bare = text(low="0").replace("[expected]\nlow = 120\nhigh = 200\n", "")
    found = margins_of(load_bytes(bare.encode(), "tea.toml").profile, doubt="")
    assert found.missing == ("low cutoff off", "no normal band given")
    assert [margin.of for margin in found.known] == ["the rating of the pump"]


def test_what_no_rating_covers_is_missing() -> None:
    """A column without a rating may be weaker than the pump that has one."""
    bare = text().replace('rating = "450 bar"\n', "")
    assert bare != text()
    found = margins_of(load_bytes(bare.encode(), "tea.toml").profile, doubt="")
    assert found.missing == ("no rating of the column",)


def test_a_flow_beyond_the_last_rating_is_missing() -> None:
    """Rated 300 bar up to 0.5 mL/min, run at 1.0: what it holds there is not stated."""
    table = 'rating_at_flow = [{flow = "0.5 mL/min", rating = "300 bar"}]\n'
    beyond = text().replace('part = "pump"\n', f'part = "pump"\n{table}')
    beyond += '\n[conditions]\nflow = "1.0 mL/min"\n'
    found = margins_of(load_bytes(beyond.encode(), "tea.toml").profile, doubt="")
    assert found.missing == ("no rating of the pump at a flow of 1.0 mL/min",)
    covered = beyond.replace("0.5 mL/min", "1.0 mL/min")
    assert margins_of(load_bytes(covered.encode(), "tea.toml").profile, doubt="").missing == ()

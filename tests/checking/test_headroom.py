"""A recommended high cutoff keeps the headroom under the weakest rating, in every answer."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest

from limitcheck.checking.entry import Answer, ask
from limitcheck.checking.file import check_file
from limitcheck.checking.proposed import Proposed
from limitcheck.checking.results import FileReport
from limitcheck.documents.proposal import proposal_document
from limitcheck.findings import Recommendation
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.instruments import load_instrument
from limitcheck.profile.load import ProfileFile, load
from limitcheck.render.text import render
from limitcheck.transfer import transfer
from limitcheck.transfer.fit import fit
from tests.profiles_for_tests import profile_file

TODAY = date(2026, 11, 25)
EXAMPLES = Path(__file__).parents[2] / "examples" / "transfer"


def checked(file: ProfileFile) -> FileReport:
    return check_file(file, DEFAULT_POLICY, TODAY)


def high_of(items: tuple[Recommendation, ...]) -> list[str]:
    return [item.enter for item in items if item.path == ("cutoffs", "high")]


def asked(file: ProfileFile) -> Answer:
    assert file.profile.cutoffs.high is not None
    number = file.profile.cutoffs.high.number
    return ask(file.profile, number, "high", DEFAULT_POLICY, TODAY)


@pytest.mark.parametrize("name", ["copied", "times-15", "rounded"])
def test_transfer_types_what_fit_types(name: str) -> None:
    """The transfer once said 5801 of a target of which the fit says 5221."""
    sending, target = load(EXAMPLES / "kestrel-bay.toml"), EXAMPLES / f"harrow-mill-{name}.toml"
    receiving = load(target)
    moved = transfer(sending, receiving, (DEFAULT_POLICY, DEFAULT_POLICY), TODAY)
    item, why = moved.to_type(moved.cutoffs[0])
    assert item is not None, why
    (row,) = fit([sending], [(load_instrument(str(target)), DEFAULT_POLICY)], TODAY).rows
    proposed = Proposed(receiving, DEFAULT_POLICY, TODAY).cutoffs.number("high")
    assert proposed is not None
    assert item.enter == row[0].pair[0].enter == proposed.enter == "5221"
    assert high_of(checked(receiving).recommendations) == ["5221"]


def test_what_is_recommended_keeps_the_headroom() -> None:
    """5802 over 400 bar: once 5801, half a psi under the rating, where a fit says 3625."""
    file = profile_file(
        unit='"psi"', high="5802", low="870", expected_low="1740", expected_high="2900"
    )
    proposed = Proposed(file, DEFAULT_POLICY, TODAY).cutoffs.number("high")
    assert proposed is not None
    assert (proposed.enter, proposed.basis) == ("3625", "proposal")  # 2900 psi + 25 %
    assert high_of(checked(file).recommendations) == ["3625"]
    said = asked(file).enter
    assert said is not None
    assert said.enter == "3625"
    rounded = next(f for f in checked(file).findings if f.check == "rounded-over-rating")
    assert rounded.advice == (
        "Round high cutoffs down. That leaves less than 10 % under the weakest rating: "
        "type the proposed limit instead."
    )


def test_a_rounding_stays_where_the_policy_asks_for_no_headroom() -> None:
    policy = DEFAULT_POLICY._replace(margins=DEFAULT_POLICY.margins._replace(headroom=Fraction(0)))
    file = profile_file(
        unit='"psi"', high="5802", low="870", expected_low="1740", expected_high="2900"
    )
    found = Proposed(file, policy, TODAY)
    item = found.cutoffs.number("high")
    assert item is not None
    assert (item.enter, item.basis) == ("5801", "rounding")
    told = render(proposal_document([found], TODAY))
    assert "correct this first, then propose again:" in " ".join(told.split())


@pytest.mark.parametrize("high", ["400", "5802", "6000"])
def test_no_number_where_the_headroom_leaves_none(high: str) -> None:
    """Up to 340 bar under 400 bar: a limit 10 % from both there is not, whatever was typed."""
    band = {"expected_low": '"250 bar"', "expected_high": '"340 bar"'}
    file = profile_file(unit='"psi"', high=high, low="1813", **band)
    report = checked(file)
    assert any(f.suggestion and f.suggestion.enter == "5801" for f in report.findings)
    assert high_of(report.recommendations) == []
    assert asked(file).enter is None
    (why,) = [item.reason for item in report.withheld if item.path == ("cutoffs", "high")]
    assert why.startswith("the largest safe value, 5221 psi, is not 10 % above")
    assert not any("type the proposed limit" in finding.advice for finding in report.findings)

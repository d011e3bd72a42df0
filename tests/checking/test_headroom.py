"""A recommended high cutoff keeps the headroom under the weakest rating, in every answer."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from limitcheck.checking.entry import Answer, ask
from limitcheck.checking.file import check_file
from limitcheck.checking.proposed import Proposed
from limitcheck.checking.results import FileReport
from limitcheck.findings import Recommendation
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.instruments import load_instrument
from limitcheck.profile.load import ProfileFile, load
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


def test_transfer_types_what_fit_types() -> None:
    """The transfer once said 5801 of a target of which the fit says 5221."""
    sending, target = load(EXAMPLES / "kestrel-bay.toml"), EXAMPLES / "harrow-mill-copied.toml"
    receiving = load(target)
    moved = transfer(sending, receiving, (DEFAULT_POLICY, DEFAULT_POLICY), TODAY)
    item, why = moved.to_type(moved.cutoffs[0])
    assert item is not None, why
    (row,) = fit([sending], [(load_instrument(str(target)), DEFAULT_POLICY)], TODAY).rows
    proposed = Proposed(receiving, DEFAULT_POLICY, TODAY).cutoffs.number("high")
    assert proposed is not None
    assert item.enter == row[0].pair[0].enter == proposed.enter == "5221"
    assert high_of(checked(receiving).recommendations) == ["5221"]
    assert any(
        "The number meant leaves less than 10 % under the weakest rating: type the proposed limit "
        "instead." in finding.advice
        for finding in checked(receiving).findings
    )


@pytest.mark.parametrize("name", ["times-15", "rounded"])
def test_a_rounding_is_taken_back(name: str) -> None:
    """Nothing but the step over the rating is wrong: the number that was typed stays meant."""
    receiving = load(EXAMPLES / f"harrow-mill-{name}.toml")
    assert high_of(checked(receiving).recommendations) == ["5801"]
    proposed = Proposed(receiving, DEFAULT_POLICY, TODAY).cutoffs.number("high")
    assert proposed is not None
    assert (proposed.enter, proposed.basis) == ("5801", "rounding")


def test_no_number_where_the_headroom_leaves_none() -> None:
    """Up to 340 bar under 400 bar: a limit 10 % from both there is not, for what was typed."""
    band = {"expected_low": '"250 bar"', "expected_high": '"340 bar"'}
    file = profile_file(unit='"psi"', high="400", low="1813", **band)
    report = checked(file)
    assert any(f.suggestion and f.suggestion.enter == "5801" for f in report.findings)
    assert high_of(report.recommendations) == []
    assert asked(file).enter is None
    (why,) = [item.reason for item in report.withheld if item.path == ("cutoffs", "high")]
    assert why.startswith("the largest value within the margins, 5221 psi, is not 10 % above")
    assert not any("type the proposed limit" in finding.advice for finding in report.findings)

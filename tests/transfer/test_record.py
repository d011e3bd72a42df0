"""The record of a move: what came across, what did not, and the decision."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from limitcheck.documents.transfer import transfer_document
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import ProfileFile, load
from limitcheck.render.text import render
from limitcheck.transfer import Transfer, transfer
from limitcheck.transfer.record import FITS
from tests.profiles_for_tests import CONTROL, profile_file

EXAMPLES = Path(__file__).parents[2] / "examples" / "transfer"


TODAY = date(2026, 11, 25)


def moved(sending: ProfileFile, receiving: ProfileFile) -> Transfer:
    return transfer(sending, receiving, (DEFAULT_POLICY, DEFAULT_POLICY), TODAY)


def example(receiving: str) -> Transfer:
    return moved(load(EXAMPLES / "kestrel-bay.toml"), load(EXAMPLES / f"{receiving}.toml"))


def against(found: Transfer) -> str:
    return " | ".join(reason.text for reason in found.reasons if reason.ruling == "not allowed")


def test_a_number_copied_without_converting_it() -> None:
    found = example("harrow-mill-copied")
    assert found.decision == "do not accept"
    assert "the number 400 was copied without converting it: 400 psi is about 27.6 bar" in against(
        found
    )
    assert [found.to_type(cutoff)[0].text for cutoff in found.cutoffs] == [
        "high = 5221 (psi)",
        "low = 1813 (psi)",
    ]


def test_where_what_was_sent_is_wrong_what_is_there_is_left() -> None:
    """Attack on issue 18, 28: told of [margins] that neither profile has."""
    there = load(EXAMPLES / "kestrel-bay.toml")
    found = moved(load(EXAMPLES / "harrow-mill-copied.toml"), there)
    assert not there.profile.margins.model_fields_set
    assert [found.to_type(cutoff) for cutoff in found.cutoffs] == [(None, FITS)] * 2
    told = " ".join(render(transfer_document(found, CONTROL)).split())
    assert f"No other high cutoff is recommended for KB-LC-05: {FITS}." in told
    assert "[margins]" not in told


def test_fifteen_psi_to_the_bar_passes_the_rating() -> None:
    found = example("harrow-mill-times-15")
    assert found.decision == "do not accept"
    assert "6000 psi is 400 bar by the rule 15 psi to the bar" in against(found)
    assert "the cutoff is 198.5 psi above the rating" in against(found)


def test_a_rating_rounded_up() -> None:
    found = example("harrow-mill-rounded")
    assert found.decision == "do not accept"
    assert "rounded-over-rating in the receiving profile: The high" in against(found)
    assert [cutoff.verdict for cutoff in found.cutoffs] == [
        "rounded the wrong way",
        "rounded the safe way",
    ]


@pytest.mark.parametrize("receiving", ["harrow-mill-07", "harrow-mill-11"])
def test_profiles_made_by_the_tool_are_accepted(receiving: str) -> None:
    found = example(receiving)
    assert found.decision == "accept", against(found)
    assert found.receiving.report.findings == ()
    assert [reach.outcome for reach in found.normal.reaches] == ["holds"] * 3


def test_weaker_ratings_are_listed() -> None:
    rulings = {item.field: item for item in example("harrow-mill-07").rulings}
    assert (rulings["pump: rating"].sending, rulings["pump: rating"].receiving) == (
        "600 bar",
        "400 bar",
    )
    assert rulings["pump: rating"].ruling == "allowed"
    assert rulings["column: rating"].ruling == "same"


def test_the_senders_own_errors_stand_against_it() -> None:
    assert "above-rating in the sending profile" in against(
        moved(profile_file(high="420"), profile_file())
    )

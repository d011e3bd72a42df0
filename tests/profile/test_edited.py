"""A profile with values replaced, as if typed so."""

from __future__ import annotations

from limitcheck.profile.edited import with_values
from tests.profiles_for_tests import profile_file


def test_values_put_in_place_of_what_was_typed() -> None:
    profile = profile_file().profile
    changed = with_values(
        profile,
        [
            (("flow_path", 1, "rating"), "600", "bar"),
            (("expected", "low"), "1800", "psi"),
            (("cutoffs", "high"), "260", "bar"),
        ],
    )
    assert [str(part.rating) for part in changed.flow_path] == ["400 bar", "600 bar"]
    assert changed.expected is not None
    assert (str(changed.expected.low), str(changed.expected.high)) == ("1800 psi", "200 bar")
    assert (str(changed.cutoffs.high), str(changed.cutoffs.low)) == ("260 bar", "60 bar")
    shows = with_values(profile, [(("instrument", "pressure_unit"), "psi", "")])
    assert shows.instrument.pressure_unit == "psi"
    assert (str(shows.cutoffs.high), str(shows.expected and shows.expected.low)) == (
        "250 psi",
        "120 psi",
    )
    carries = profile_file(expected_low='"120 bar"', expected_high='"200 bar"').profile
    kept = with_values(carries, [(("instrument", "pressure_unit"), "psi", "")])
    assert str(kept.expected and kept.expected.low) == "120 bar"

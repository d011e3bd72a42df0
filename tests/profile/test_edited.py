"""A profile with values replaced, as if typed so."""

from __future__ import annotations

from limitcheck.profile.edited import with_values
from limitcheck.profile.load import load_bytes
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


def test_another_unit_is_that_of_the_file_read_with_it() -> None:
    """Bare numbers are in the new unit, one by one; what carries a unit stays."""
    own = profile_file(expected_low="12", expected_high='"20 bar"\nswing = "1 bar"', low="6")
    shows = with_values(own.profile, [(("instrument", "pressure_unit"), "MPa", "")])
    read = load_bytes(own.text.replace('unit = "bar"', 'unit = "MPa"').encode(), "x.toml").profile
    assert shows.instrument.pressure_unit == read.instrument.pressure_unit == "MPa"
    assert (shows.cutoffs, shows.expected) == (read.cutoffs, read.expected)
    assert str(read.expected and read.expected.swing) == "1 bar"
    bare = profile_file(expected_high='"200 bar"\nswing = 1')
    shows = with_values(bare.profile, [(("instrument", "pressure_unit"), "MPa", "")])
    assert str(shows.expected and shows.expected.swing) == "1 MPa"
    text = profile_file(high='"250 bar"')  # the file would be refused: it is not read as 250 MPa
    shows = with_values(text.profile, [(("instrument", "pressure_unit"), "MPa", "")])
    assert str(shows.cutoffs.high) == "250 bar"

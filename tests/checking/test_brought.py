"""What a correction may not be: inside what runs are only predicted to reach, or without words."""

from __future__ import annotations

from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st

from limitcheck.checking.file import check_file
from limitcheck.checks.subject import Subject
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import load_bytes
from limitcheck.units import Pressure

DAY = date(2026, 11, 28)
TEXT = """\
format = 1
[method]
id = "KB-TEA-014"
[instrument]
id = "KB-LC-03"
pressure_unit = "bar"
display_step = 1
[cutoffs]
high = {high}
low = 20
{expected}
[conditions]
flow = "{flow} mL/min"
temperature = "35 degC"
ambient = "21 degC"
solvent_a = "water"
solvent_b = "acetonitrile"
percent_b = 18
[[flow_path]]
part = "pump"
rating = "400 bar"
[[flow_path]]
part = "column"
length = "150 mm"
bore = "4.6 mm"
particle_size = "5 um"
rating = "400 bar"
"""
BAND = '[expected]\nlow = 35\nhigh = 60\nbasis = "predicted"'


@settings(max_examples=60, deadline=None)
@given(st.integers(60, 350), st.sampled_from(["0.8", "1.0", "1.6"]), st.sampled_from([BAND, ""]))
def test_no_slip_is_corrected_into_what_runs_are_predicted_to_reach(
    bar: int, flow: str, expected: str
) -> None:
    """A high cutoff typed as its number of psi, on a display that shows bar."""
    text = TEXT.format(high=round(bar * 14.503774), flow=flow, expected=expected)
    file = load_bytes(text.encode(), "kestrel.toml")
    reached = Subject(file.profile, DEFAULT_POLICY, DAY).reached
    report = check_file(file, DEFAULT_POLICY, DAY)
    for item in report.recommendations:
        if item.path == ("cutoffs", "high") and reached is not None:
            assert float(Pressure.of(item.enter, item.unit)) > reached.most


def test_it_is_said_why() -> None:
    file = load_bytes(TEXT.format(high=1740, flow="1.0", expected=BAND).encode(), "kestrel.toml")
    report = check_file(file, DEFAULT_POLICY, DAY)
    slip = next(finding for finding in report.findings if finding.check == "unit-confusion")
    assert slip.suggestion is not None
    assert report.recommendations == ()
    assert "may stop them" in slip.withheld


CELL = """\
[[flow_path]]
part = "detector cell"
rating = "60 bar"
"""


def test_what_a_correction_would_bring_is_said_in_words() -> None:
    """10 MPa typed as 10 bar: at 100 bar a blocked outlet would burst the cell."""
    band = '[expected]\nlow = 40\nhigh = 50\nbasis = "measured"'
    text = TEXT.format(high=10, flow="1.0", expected=band).replace("low = 20\n", "low = 6\n")
    file = load_bytes((text + CELL).encode(), "kestrel.toml")
    report = check_file(file, DEFAULT_POLICY, DAY, propose=True)
    why = next(item.reason for item in report.withheld if item.path == ("cutoffs", "high"))
    assert why.partition(" would bring another finding: ")[2].startswith("The detector cell")
    assert "part-exposed-downstream" not in why

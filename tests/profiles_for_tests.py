"""A small profile as text, with values put in its place; and the command line, run in process."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from pathlib import Path

from limitcheck.checking.revisions import OtherRevisions
from limitcheck.profile.load import ProfileFile, load_bytes
from limitcheck.transfer.control import Control

TEXT = """\
format = 1

[method]
id = "KB-TEA-014"

[instrument]
id = "KB-LC-03"
pressure_unit = "bar"
display_step = 1

[cutoffs]
high = 250
low = 60

[expected]
low = 120
high = 200

[[flow_path]]
part = "pump"
rating = "400 bar"

[[flow_path]]
part = "column"
rating = "450 bar"
"""


CERTAIN = {"expected_low": "1740", "expected_high": "2900", "column": '"6500 psi"'}
"""A slip that is certain: a band of 120 to 200 bar, typed in the psi of the column's label."""


def text(**values: str) -> str:
    """The profile's text with values replaced: `high`, `low`, `expected_low`, `unit`, ..."""
    places = {
        "high": "high = 250",
        "low": "low = 60",
        "expected_low": "low = 120",
        "expected_high": "high = 200",
        "unit": 'pressure_unit = "bar"',
        "step": "display_step = 1",
        "pump": 'rating = "400 bar"',
        "column": 'rating = "450 bar"',
        "method": 'id = "KB-TEA-014"',
    }
    changed = TEXT
    for name, value in values.items():
        key = places[name].partition(" = ")[0]
        changed = changed.replace(places[name], f"{key} = {value}" if value else "", 1)
    return changed


def profile_file(name: str = "kestrel.toml", **values: str) -> ProfileFile:
    """The profile of that text."""
    return load_bytes(text(**values).encode(), name)


def write(folder: Path, name: str = "kestrel.toml", **values: str) -> Path:
    """The profile's text in a file."""
    path = folder / name
    path.write_text(text(**values), encoding="utf-8")
    return path


WITH_GEOMETRY = """\
format = 1
[method]
id = "KB-TEA-014"
[instrument]
id = "KB-LC-03"
pressure_unit = "bar"
display_step = 1
[cutoffs]
high = 260
low = 30
[expected]   # from the first month
low = 145
high = 172
[conditions]
flow = "1.0 mL/min"
temperature = "35 degC"
ambient = "21 degC"
solvent_a = "water"
solvent_b = "acetonitrile"
percent_b = 18
[[flow_path]]
part = "pump"
rating = "400 bar"
[[flow_path]]
part = "tubing"
label = "pump to injector"
length = "600 mm"
bore = "0.17 mm"
[[flow_path]]
part = "injector"
rating = "400 bar"
[[flow_path]]
part = "tubing"
label = "injector to column"
length = "350 mm"
bore = "0.17 mm"
[[flow_path]]
part = "column"
length = "150 mm"
bore = "4.6 mm"
particle_size = "3 um"
rating = "400 bar"
[[flow_path]]
part = "tubing"
label = "column to detector"
length = "300 mm"
bore = "0.17 mm"
[[flow_path]]
part = "detector cell"
rating = "60 bar"
"""
"""A profile whose pressure can be predicted; the expected band is near the prediction."""


def with_geometry(text: str = WITH_GEOMETRY) -> ProfileFile:
    """That profile, or one made from its text."""
    return load_bytes(text.encode(), "tea.toml")


CONTROL = Control(
    datetime(2026, 11, 25, 9, 30, tzinfo=timezone(timedelta(hours=1))),
    "0" * 64,
    (None, None),
    None,
    OtherRevisions((), ".", is_repository=True, unreadable=(), no_history="", asked=True),
)
"""What a record is made with, fixed."""

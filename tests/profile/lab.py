"""A laboratory of one method, one instrument and one column, each in a file of its own."""

from __future__ import annotations

from pathlib import Path

import pytest

from limitcheck.profile.load import load
from limitcheck.profile.text import UnreadableProfile

INSTRUMENT = """\
[instrument]
id = "KB-LC-03"
pressure_unit = "bar"
display_step = 1

[[flow_path]]
part = "pump"
rating = "400 bar"
rating_at_flow = [{flow = "5 mL/min", rating = "400 bar"}, {flow = "10 mL/min", rating = "200 bar"}]

[[flow_path]]
part = "fitting"
label = "column inlet"
rating = "345 bar"

[[flow_path]]
use = "../columns/tea.toml#column"
"""
COLUMN = """\
[[flow_path]]
part = "column"
length = "150 mm"
rating = "300 bar"
"""
PROFILE = """\
format = 1

[method]
id = "KB-TEA-014"

[instrument]
use = "../instruments/kb.toml"

[cutoffs]
high = 250
low = 60

[expected]
low = 120
high = 200

[[flow_path]]
use = "../instruments/kb.toml#pump"

[[flow_path]]
use = "../instruments/kb.toml#column inlet"

[[flow_path]]
use = "../columns/tea.toml#column"

[conditions]
flow = "1.0 mL/min"
"""


def build(tmp_path: Path) -> Path:
    """A repository of one method, one instrument and one column."""
    for name, text in (
        ("instruments/kb.toml", INSTRUMENT),
        ("columns/tea.toml", COLUMN),
        ("methods/tea.toml", PROFILE),
        ("limitcheck.toml", 'fail_on = "error"\n'),
    ):
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return tmp_path


def method(lab: Path, *changes: tuple[str, str]) -> Path:
    """The method's file, with pieces of its text replaced."""
    path = lab / "methods" / "tea.toml"
    text = PROFILE
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")
    return path


def refusal(path: Path) -> tuple[str, str, int]:
    """Message, file and line of the only fault."""
    with pytest.raises(UnreadableProfile) as caught:
        load(path)
    (finding,) = caught.value.findings
    assert finding.location is not None
    assert finding.advice
    return finding.message, finding.location.file, finding.location.line

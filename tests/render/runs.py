"""Runs over small profiles for the tests of reports and known findings."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from limitcheck.checking.run import Run, Target, check_content, check_targets
from limitcheck.policy import DEFAULT_POLICY

DAY = date(2026, 11, 25)
GOOD = """\
format = 1

[method]
id = "KB-TEA-014"
title = "Xanthines in tea leaf, isocratic"
site = "Kestrel Bay"

[instrument]
id = "KB-LC-03"
pressure_unit = "bar"
display_step = 1
entry_max = 600

[cutoffs]
high = 110
low = 30

[expected]
low = 60
high = 85
basis = "measured"

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
rating = "7000 psi"

[[flow_path]]
part = "injector"
rating = "400 bar"

[[flow_path]]
part = "fitting"
label = "column inlet"
rating = "345 bar"

[[flow_path]]
part = "column"
length = "150 mm"
bore = "4.6 mm"
particle_size = "5 um"
inlet_frit = "2 um"
outlet_frit = "2 um"
rating = "400 bar"

[[flow_path]]
part = "detector cell"
rating = "120 bar"
"""
BAND_PSI = GOOD.replace("low = 60", "low = 870").replace("high = 85", "high = 1230")
"""Certain: psi stands on a label, nothing else gives this band, and the prediction agrees."""
HIGH_PSI = GOOD.replace("high = 110", "high = 1600")  # 110 bar is 1595 psi
NOT_STORABLE = GOOD.replace("high = 110", "high = 110.5")
LOW_OFF = GOOD.replace("low = 30", "low = 0")
ACCEPTED = (
    LOW_OFF
    + """
[[accepted]]
check = "low-cutoff-off"
at = "cutoffs.low"
value = "off"
reason = "leak sensor in the drip tray"
by = "method owner"
until = 2027-06-30
"""
)
GRADIENT = GOOD.replace(
    "percent_b = 18", "gradient = [{minute = 0, percent_b = 5}, {minute = 12, percent_b = 60}]"
)
UNREADABLE = GOOD.replace('rating = "400 bar"', "rating = 400", 1)


def default_policy(_path: Path) -> object:
    return DEFAULT_POLICY


def run_of(text: str, name: str = "tea.toml") -> Run:
    return check_content(text.encode(), name, DEFAULT_POLICY, DAY)


def run_in(folder: Path, texts: dict[str, str], **options: object) -> Run:
    for name, text in texts.items():
        own = text.replace("KB-TEA-014", f"KB-{name}")
        (folder / name).write_text(own, "utf-8")
    targets = [Target(str(folder / name)) for name in texts]
    return check_targets(targets, default_policy, DAY, **options)


def checks_of(run: Run) -> list[str]:
    return [finding.check for report in run.reports for finding in report.findings]

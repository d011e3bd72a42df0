"""A run over several profiles: the table first, the worst first, details of what cannot wait."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from limitcheck.checking.run import Run, Target, check_targets
from limitcheck.findings import Severity
from limitcheck.policy import DEFAULT_POLICY, Policy
from limitcheck.render import run_text
from limitcheck.render.run_table import MOST, profile_table
from limitcheck.render.screen import Screen

from .runs import DAY, GOOD, HIGH_PSI, LOW_OFF, UNREADABLE


def run_over(folder: Path, texts: dict[str, str], policy: Policy = DEFAULT_POLICY) -> Run:
    for number, (name, text) in enumerate(texts.items()):
        alone = text.replace("KB-TEA-014", f"KB-TEA-{number:03}")
        (folder / name).write_text(alone, "utf-8")
    targets = [Target(str(folder / name)) for name in texts]
    return check_targets(targets, lambda _: policy, DAY)


@pytest.fixture
def mixed(tmp_path: Path) -> Run:
    return run_over(
        tmp_path,
        {
            "a.toml": GOOD,
            "b.toml": LOW_OFF,
            "c.toml": HIGH_PSI,
            "d.toml": UNREADABLE,
            "e.toml": GOOD,
        },
    )


def test_the_worst_comes_first_and_clean_ones_are_counted(mixed: Run) -> None:
    lines = list(profile_table(mixed))
    named = [(line.split()[0], line.split()[1]) for line in lines if ".toml" in line]
    assert named == [("unreadable", "d.toml"), ("error", "c.toml"), ("warning", "b.toml")]
    assert lines[-1].startswith("2 profiles without an open finding")


def test_details_are_of_errors_only_and_what_is_left_out_is_counted(mixed: Run) -> None:
    short = "".join(run_text.render(mixed))
    long = "".join(run_text.render_verbose(mixed))
    assert short.startswith(("Worst", "In "))
    assert re.search(r"c\.toml:\d+:\d+: error: unit-confusion", short)
    assert re.search(r"d\.toml:\d+:\d+: error", short)
    assert "low-cutoff-off" in short.split("\n\n")[0]
    assert "warning: low-cutoff-off" not in short
    assert "warning: low-cutoff-off" in long
    assert "a.toml" not in short
    assert "a.toml" in long
    left = re.search(r"(\d+) lesser findings? not shown: --verbose", short)
    assert left is not None
    counted = sum(
        len([f for f in report.findings if f.accepted is None]) for report in mixed.reports
    )
    errors = sum(f.severity is Severity.ERROR for r in mixed.reports for f in r.findings)
    assert int(left[1]) == counted - errors > 0
    assert "not shown" not in long


def test_what_fails_the_run_is_shown_whatever_its_grade(tmp_path: Path) -> None:
    strict = Policy(fail_on=Severity.WARNING)
    run = run_over(tmp_path, {"a.toml": GOOD, "b.toml": LOW_OFF}, strict)
    assert run.exit_code == 1
    assert "warning: low-cutoff-off" in "".join(run_text.render(run))


def test_one_profile_has_no_table(tmp_path: Path) -> None:
    assert "".join(run_text.render(run_over(tmp_path, {"b.toml": LOW_OFF}))).startswith(
        str(tmp_path / "b.toml")
    )


@pytest.mark.parametrize("width", [60, 80, 100])
def test_the_table_fits_the_screen(tmp_path: Path, width: int, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    for name in ("one", "two"):
        Path(name).mkdir()
    texts = {"one/a-rather-long-name-of-a-method.toml": LOW_OFF, "two/another.toml": HIGH_PSI}
    run = run_over(Path(), texts)
    for line in profile_table(run, Screen(width)):
        assert len(line) <= width
        assert line == line.rstrip()


def test_a_long_table_ends_with_how_many_are_left(tmp_path: Path) -> None:
    texts = {f"{number:03}.toml": LOW_OFF for number in range(MOST + 3)}
    lines = list(profile_table(run_over(tmp_path, texts)))
    assert lines[-1] == "3 more profiles with findings: --summary lists all"
    assert sum(".toml" in line for line in lines) == MOST

"""Cases that a reviewer of the gates found green, or called wrong, though they were not."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from limitcheck.checking.policy_file import forget_policies
from limitcheck.cli.app import run as command

from ..needs import need_program
from ..render.runs import GOOD

ROOT = Path(__file__).parents[2]
BAD = GOOD.replace("KB-TEA-014", "KB-BAD-001").replace("high = 110", "high = 9000")
COLUMN = """\
[[flow_path]]
part = "column"
length = "150 mm"
bore = "4.6 mm"
particle_size = "5 um"
inlet_frit = "2 um"
outlet_frit = "2 um"
rating = "400 bar"
"""
BAND = '[expected]\nlow = 60\nhigh = 85\nbasis = "measured"\n'
BEFORE, _, _REST = GOOD.partition(COLUMN)
SHARED = f'{BEFORE}[[flow_path]]\nuse = "parts/col.toml#column"\n{_REST}'


SETTINGS = (
    *("-c", "protocol.file.allow=always", "-c", "user.name=Harrow Mill"),
    *("-c", "user.email=lab@example.org"),
)


def git(folder: Path, *arguments: str) -> None:
    subprocess.run(["git", *SETTINGS, *arguments], cwd=folder, check=True, capture_output=True)


def commit(folder: Path) -> None:
    git(folder, "add", "-A")
    git(folder, "commit", "-q", "-m", "profiles")


@pytest.fixture
def lab(tmp_path, monkeypatch):
    """An empty git repository."""
    need_program("git")
    folder = tmp_path / "methods"
    folder.mkdir()
    monkeypatch.chdir(folder)
    git(folder, "init", "-q", ".")
    return folder


@pytest.fixture
def check(capsys):
    """Runs the check; gives the exit code and all that was printed."""

    def run(*arguments: str) -> tuple[int, str]:
        forget_policies()
        code = command(["check", *arguments])
        told = capsys.readouterr()
        return code, " ".join((told.out + told.err).split())

    return run


def test_a_change_of_a_policy_that_is_a_link_concerns_its_profiles(lab, check):
    (lab / "policies").mkdir()
    (lab / "tea").mkdir()
    (lab / "tea" / "tea.toml").write_text(GOOD)
    (lab / "policies" / "house.toml").write_text('fail_on = "error"\n')
    (lab / "tea" / "limitcheck.toml").symlink_to("../policies/house.toml")
    commit(lab)
    (lab / "policies" / "house.toml").write_text(
        '[margins]\nhigh_thin = "60 %"\n[severity]\nhigh-cutoff-margin-thin = "error"\n'
    )
    assert check(".")[0] == 1
    code, text = check("--changed-since", "HEAD", ".")
    assert code == 1, text


def test_a_submodule_that_git_is_told_to_ignore_is_followed(lab, check, tmp_path):
    parts = tmp_path / "parts"
    parts.mkdir()
    git(parts, "init", "-q", ".")
    (parts / "col.toml").write_text(COLUMN)
    commit(parts)
    git(lab, "submodule", "add", "-q", str(parts), "parts")
    git(lab, "config", "-f", ".gitmodules", "submodule.parts.ignore", "all")
    (lab / "tea.toml").write_text(SHARED)
    commit(lab)
    assert check(".")[0] == 0
    (lab / "parts" / "col.toml").write_text(COLUMN.replace("400 bar", "90 bar"))
    assert check(".")[0] == 1
    code, text = check("--changed-since", "HEAD", ".")
    assert code == 1, text


@pytest.mark.parametrize("option", [("--tracked",), ("--changed-since", "HEAD")])
def test_a_staged_profile_that_is_gone_from_disk_is_not_said_to_be_checked(lab, check, option):
    (lab / "tea.toml").write_text(GOOD)
    commit(lab)
    (lab / "bad.toml").write_text(BAD)
    git(lab, "add", "bad.toml")
    (lab / "bad.toml").unlink()
    code, text = check(*option, ".")
    assert code != 0, text
    assert "checked as in the working tree: bad.toml" not in text


def test_tracked_profiles_that_are_not_checked_out_are_said(lab, check):
    (lab / "tea").mkdir()
    (lab / "old").mkdir()
    (lab / "tea" / "tea.toml").write_text(GOOD)
    (lab / "old" / "bad.toml").write_text(BAD)
    commit(lab)
    git(lab, "sparse-checkout", "set", "tea")
    assert not (lab / "old").exists()
    _, text = check("--tracked", ".")
    assert "bad.toml" in text or "not checked out" in text, text


def test_a_file_that_git_is_told_not_to_look_at_is_not_taken_for_unchanged(lab, check):
    (lab / "tea.toml").write_text(GOOD)
    commit(lab)
    git(lab, "update-index", "--assume-unchanged", "tea.toml")
    (lab / "tea.toml").write_text(BAD)
    code, text = check("--changed-since", "HEAD", ".")
    assert code == 1, text


def test_toml_deeper_in_a_hidden_folder_is_said(lab, check):
    (lab / "tea.toml").write_text(GOOD)
    (lab / ".lab" / "methods").mkdir(parents=True)
    (lab / ".lab" / "methods" / "bad.toml").write_text(BAD)
    _, text = check(".")
    assert "hidden folder" in text, text


def test_nothing_found_is_no_green_with_changed_since_either(lab, check):
    (lab / "limitcheck.toml").write_text('exclude = ["*"]\n')
    (lab / "tea.toml").write_text(GOOD)
    commit(lab)
    (lab / "tea.toml").write_text(BAD)
    assert check("--tracked", ".")[0] == 2
    code, text = check("--changed-since", "HEAD", ".")
    assert code == 2, text


def test_a_broken_profile_that_uses_a_named_description_is_said(lab, check):
    (lab / "parts").mkdir()
    (lab / "parts" / "col.toml").write_text(COLUMN)
    (lab / "tea.toml").write_text(SHARED)
    (lab / "leaf.toml").write_text(SHARED.replace("KB-TEA-014", "KB-LEAF-002") + "\nx = [\n")
    assert check(".")[0] == 2
    code, text = check("parts/col.toml")
    assert code == 2, text


def test_an_excluded_profile_that_uses_a_named_description_is_said(lab, check):
    (lab / "parts").mkdir()
    (lab / "old").mkdir()
    (lab / "parts" / "col.toml").write_text(COLUMN)
    (lab / "tea.toml").write_text(SHARED)
    leaf = SHARED.replace("KB-TEA-014", "KB-LEAF-002").replace("parts/", "../parts/")
    (lab / "old" / "leaf.toml").write_text(leaf)
    (lab / "limitcheck.toml").write_text('exclude = ["old"]\n')
    _, text = check("parts/col.toml")
    assert "1 TOML file skipped: 1 excluded" in text, text


def test_a_change_of_known_findings_behind_a_link_concerns_every_profile(lab, check):
    (lab / "house").mkdir()
    (lab / "tea.toml").write_text(BAD)
    check("--write-known", "house/known.json", "tea.toml")
    (lab / "known.json").symlink_to("house/known.json")
    commit(lab)
    (lab / "house" / "known.json").write_text('{"format": 1, "known": []}\n')
    assert check("--known", "house/known.json", "--changed-since", "HEAD", ".")[0] == 1
    code, text = check("--known", "known.json", "--changed-since", "HEAD", ".")
    assert code == 1, text


@pytest.mark.parametrize(
    "changes",
    [
        # A bed of 0.66 uL takes 1 to 5 uL by direct injection: common practice, no source.
        [
            ('flow = "1.0 mL/min"', 'flow = "300 nL/min"\ninjection_volume = "2 uL"'),
            ('bore = "4.6 mm"', 'bore = "0.075 mm"'),
            ('bore = "0.17 mm"', 'bore = "0.02 mm"'),
            ('particle_size = "5 um"', 'particle_size = "3 um"'),
        ],
        # 5 L/min on 300 mm, both in range: 1 m/s takes tubing of 10 mm.
        [
            ('flow = "1.0 mL/min"', 'flow = "5 L/min"'),
            ('bore = "4.6 mm"', 'bore = "300 mm"'),
            ('bore = "0.17 mm"', 'bore = "10 mm"'),
        ],
        # Enrichment at 5 uL/min on 0.075 x 20 mm: common practice, no source.
        [
            ('flow = "1.0 mL/min"', 'flow = "5 uL/min"'),
            ('length = "150 mm"\nbore = "4.6 mm"', 'length = "20 mm"\nbore = "0.075 mm"'),
            ('bore = "0.17 mm"', 'bore = "0.02 mm"'),
        ],
    ],
    ids=["nano injection", "process tubing", "nano enrichment"],
)
def test_usual_sizes_of_the_trade_are_not_called_unusual(lab, check, changes):
    text = GOOD
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    (lab / "tea.toml").write_text(text)
    _, told = check("tea.toml")
    assert "warning: amount-implausible" not in told, told
    assert "outside what is made" not in told, told
    assert "does not go with" not in told, told


def test_the_map_says_where_the_range_of_a_part_stands():
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    how = text.partition("**A part.**")[2].partition("\n\n")[0]
    stands = (ROOT / "limitcheck/profile/plausible.py").read_text("utf-8")
    assert '"guard column": (' in stands
    assert "profile/plausible.py" in how


def test_a_policy_by_two_links_is_followed_when_the_second_one_leads_elsewhere(lab, check):
    (lab / "policies").mkdir()
    (lab / "tea").mkdir()
    (lab / "tea" / "tea.toml").write_text(GOOD)
    (lab / "policies" / "first.toml").write_text('fail_on = "error"\n')
    (lab / "policies" / "second.toml").write_text(
        '[margins]\nhigh_thin = "60 %"\n[severity]\nhigh-cutoff-margin-thin = "error"\n'
    )
    (lab / "policies" / "now.toml").symlink_to("first.toml")
    (lab / "tea" / "limitcheck.toml").symlink_to("../policies/now.toml")
    commit(lab)
    (lab / "policies" / "now.toml").unlink()
    (lab / "policies" / "now.toml").symlink_to("second.toml")
    assert check(".")[0] == 1
    code, text = check("--changed-since", "HEAD", ".")
    assert code == 1, text

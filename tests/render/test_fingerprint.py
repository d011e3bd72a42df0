from __future__ import annotations

from pathlib import Path

from limitcheck.checking.fingerprint import fingerprints, relative_name, with_numbers

from .runs import GOOD, HIGH_PSI, LOW_OFF, run_of

ROOT = Path.cwd()
UNRATED = GOOD.replace('label = "column inlet"\nrating = "345 bar"', 'label = "column inlet"')


def prints(text, name="tea.toml"):
    (report,) = run_of(text, name).reports
    return {(finding.check, mark) for finding, mark in fingerprints(report, ROOT)}


def test_unrelated_edits_and_line_moves_leave_it():
    moved = "# a comment\n\n" + HIGH_PSI.replace("Xanthines in tea leaf", "Xanthines in tea")
    assert prints(moved) == prints(HIGH_PSI)


def test_a_part_added_before_leaves_it():
    more = UNRATED.replace(
        '[[flow_path]]\npart = "injector"',
        '[[flow_path]]\npart = "mixer"\n\n[[flow_path]]\npart = "injector"',
    )
    assert more != UNRATED
    assert prints(more) == prints(UNRATED)


def numbers(text):
    (report,) = run_of(text).reports
    return {f.check: with_numbers(mark, f) for f, mark in fingerprints(report, ROOT)}


def test_method_instrument_check_and_place_each_change_it_and_the_file_does_not():
    base = prints(HIGH_PSI)
    assert prints(HIGH_PSI, "other.toml") == base
    for old in ("KB-TEA-014", "KB-LC-03"):
        changed = HIGH_PSI.replace(old, "KB-OTHER")
        assert changed != HIGH_PSI
        assert not base & prints(changed)
    marks = [mark for _, mark in base]
    assert len(set(marks)) == len(marks) > 3


def test_the_numbers_change_another_fingerprint():
    base, other = numbers(HIGH_PSI), numbers(HIGH_PSI.replace("high = 1600", "high = 1601"))
    assert base.keys() == other.keys()
    assert base["part-exposed-downstream"] != other["part-exposed-downstream"]
    assert numbers(HIGH_PSI.replace("high = 1600", "high = 1600.00")) == base


def test_a_low_cutoff_is_named_by_its_key():
    (report,) = run_of(LOW_OFF).reports
    assert [finding.place for finding in report.findings] == ["cutoffs.low"]


def test_names_are_relative_with_forward_slashes(tmp_path):
    inside = tmp_path / "lab" / "tea.toml"
    assert relative_name(str(inside), tmp_path) == "lab/tea.toml"
    assert relative_name(str(tmp_path / "tea.toml"), tmp_path / "lab") == "../tea.toml"


def test_a_file_on_another_drive_keeps_its_whole_name(tmp_path, monkeypatch):
    def no_relation(path: str, start: object) -> str:
        raise ValueError("path is on mount 'D:', start on mount 'C:'")

    monkeypatch.setattr("os.path.relpath", no_relation)
    assert relative_name("/lab/tea.toml", tmp_path) == "/lab/tea.toml"

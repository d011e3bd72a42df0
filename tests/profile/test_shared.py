"""Shared descriptions: values, overrides, places, paths that may not be followed, who uses them."""

from __future__ import annotations

import hashlib
from datetime import date
from pathlib import Path

import pytest

from limitcheck.checking.file import check_file
from limitcheck.findings import KeyPath
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile import shared
from limitcheck.profile.load import load
from limitcheck.profile.text import UnreadableProfile
from limitcheck.units import Pressure
from tests.profile.lab import COLUMN, INSTRUMENT, PROFILE, build, method, refusal

TODAY = date(2026, 11, 25)


@pytest.fixture
def lab(tmp_path: Path) -> Path:
    return build(tmp_path)


def test_values_come_from_the_descriptions(lab: Path) -> None:
    file = load(method(lab))
    profile = file.profile
    assert profile.instrument.id == "KB-LC-03"
    assert [part.part for part in profile.flow_path] == ["pump", "fitting", "column"]
    assert profile.flow_path[2].rating == Pressure.parse("300 bar")
    assert file.tables["flow_path"][1]["label"] == "column inlet"


def test_hashes_of_the_file_and_of_what_it_uses(lab: Path) -> None:
    file = load(method(lab))
    assert file.sha256 == hashlib.sha256(PROFILE.encode()).hexdigest()
    assert [(Path(used.path).name, used.sha256) for used in file.uses] == [
        ("kb.toml", hashlib.sha256(INSTRUMENT.encode()).hexdigest()),
        ("tea.toml", hashlib.sha256(COLUMN.encode()).hexdigest()),
    ]
    assert check_file(file, DEFAULT_POLICY, TODAY).uses == file.uses


@pytest.mark.parametrize(
    ("path", "name", "line", "seen"),
    [
        (("instrument", "pressure_unit"), "instruments/kb.toml", 3, '"bar"'),
        (("flow_path", 0, "rating_at_flow", 1, "rating"), "instruments/kb.toml", 9, '"200 bar"'),
        (("flow_path", 2, "rating"), "columns/tea.toml", 4, '"300 bar"'),
        (("flow_path", 1, "rating"), "methods/tea.toml", 22, '"340 bar"'),
        (("cutoffs", "high"), "methods/tea.toml", 10, "250"),
        (("flow_path", 2, "bore"), "methods/tea.toml", 24, "[[flow_path]]"),
    ],
)
def test_places_are_where_the_value_stands(
    lab: Path, path: KeyPath, name: str, line: int, seen: str
) -> None:
    file = load(method(lab, ('#column inlet"\n', '#column inlet"\nrating = "340 bar"\n')))
    at = file.locate(path)
    assert at.file == str(lab / name)
    assert at.line == line
    assert at.source_line[at.column - 1 : at.end_column - 1] == seen


def test_a_key_beside_use_overrides_the_shared_value_whole(lab: Path) -> None:
    table = 'rating_at_flow = [{flow = "8 mL/min", rating = "100 bar"}]'
    file = load(method(lab, ('kb.toml#pump"\n', f'kb.toml#pump"\n{table}\n')))
    pump = file.profile.flow_path[0]
    assert pump.rating == Pressure.parse("400 bar")
    assert [str(point.rating) for point in pump.rating_at_flow] == ["100 bar"]


def test_a_fault_in_a_description_is_placed_there(lab: Path) -> None:
    (lab / "columns/tea.toml").write_text(COLUMN.replace("300 bar", "300 baar"), encoding="utf-8")
    message, file, line = refusal(method(lab))
    assert "baar" in message
    assert (file, line) == (str(lab / "columns/tea.toml"), 4)
    (lab / "columns/tea.toml").write_text("[[flow_path]\n", encoding="utf-8")
    assert refusal(method(lab))[1:] == (str(lab / "columns/tea.toml"), 1)


@pytest.mark.parametrize(
    ("reference", "says"),
    [
        ('"../columns/no.toml#column"', "cannot be read: No such file"),
        ('"../columns#column"', "is not a file"),
        ('"../../elsewhere.toml#column"', "leads out of"),
        ('"/etc/hostname#column"', "not a relative path"),
        ('"C:/lab/tea.toml#column"', "not a relative path"),
        ('"..\\\\columns\\\\tea.toml#column"', "not a relative path"),
        ('"../columns/tea.toml"', "which part of"),
        ('"../columns/tea.toml#pump"', 'describes no "pump"'),
        ('"../limitcheck.toml#column"', 'describes no "column"'),
        ('"#column"', "names no file"),
        ('""', "a file's path in quotes belongs here"),
        ("3", "a file's path in quotes belongs here"),
    ],
)
def test_a_part_that_cannot_be_found(lab: Path, reference: str, says: str) -> None:
    path = method(lab, ('use = "../columns/tea.toml#column"', f"use = {reference}"))
    message, file, line = refusal(path)
    assert says in message
    assert (file, line) == (str(path), 24)


@pytest.mark.parametrize(
    ("reference", "says"),
    [
        ("../columns/tea.toml", "has no [instrument] table"),
        ("../instruments/kb.toml#pump", '"#pump" has no meaning for an instrument'),
    ],
)
def test_an_instrument_that_cannot_be_found(lab: Path, reference: str, says: str) -> None:
    path = method(lab, ('use = "../instruments/kb.toml"\n', f'use = "{reference}"\n'))
    assert says in refusal(path)[0]


def test_two_parts_of_one_name_must_be_told_apart(lab: Path) -> None:
    (lab / "columns/tea.toml").write_text(COLUMN + "\n" + COLUMN, encoding="utf-8")
    assert "2 parts" in refusal(method(lab))[0]


def test_every_fault_is_reported_at_once(lab: Path) -> None:
    path = method(lab, ("kb.toml#pump", "no.toml#pump"), ("tea.toml#column", "tea.toml#loop"))
    with pytest.raises(UnreadableProfile) as caught:
        load(path)
    assert len(caught.value.findings) == 2


@pytest.mark.parametrize("other", ["tea.toml", "more.toml"])
def test_a_circle_ends_with_an_error(lab: Path, other: str) -> None:
    (lab / "columns/tea.toml").write_text(
        f'[[flow_path]]\npart = "column"\nuse = "{other}#column"\n', encoding="utf-8"
    )
    (lab / "columns/more.toml").write_text(
        '[[flow_path]]\npart = "column"\nuse = "tea.toml#column"\n', encoding="utf-8"
    )
    assert "leads back to where it is used" in refusal(method(lab))[0]


def test_a_description_may_use_another(lab: Path) -> None:
    (lab / "columns/more.toml").write_text(
        '[[flow_path]]\nlabel = "old"\nuse = "tea.toml#column"\nlength = "100 mm"\n',
        encoding="utf-8",
    )
    file = load(method(lab, ("tea.toml#column", "more.toml#old")))
    column = file.profile.flow_path[2]
    assert (column.label, column.rating) == ("old", Pressure.parse("300 bar"))
    assert file.tables["flow_path"][2]["length"] == "100 mm"
    assert file.locate(("flow_path", 2, "rating")).file == str(lab / "columns/tea.toml")
    assert len(file.uses) == 3


def test_a_link_may_not_lead_out_of_the_repository(lab: Path, tmp_path_factory) -> None:  # type: ignore[no-untyped-def]
    outside = tmp_path_factory.mktemp("elsewhere") / "tea.toml"
    outside.write_text(COLUMN, encoding="utf-8")
    (lab / "columns/tea.toml").unlink()
    (lab / "columns/tea.toml").symlink_to(outside)
    assert "leads by a link out of" in refusal(method(lab))[0]


def test_without_a_mark_the_root_is_the_own_folder(lab: Path) -> None:
    (lab / "limitcheck.toml").rename(lab / "methods" / "columns.toml")
    path = method(lab)
    with pytest.raises(UnreadableProfile, match="leads out of"):
        load(path)
    assert shared.root_of(str(path)) == str(lab / "methods")


def test_a_repository_is_the_root_before_a_policy(lab: Path) -> None:
    (lab / "methods" / "limitcheck.toml").write_text('fail_on = "note"\n', encoding="utf-8")
    (lab / ".git").mkdir()
    assert shared.root_of(str(lab / "methods" / "tea.toml")) == str(lab)
    assert load(method(lab)).profile.instrument.id == "KB-LC-03"


def test_a_described_part_that_is_not_valid_by_itself(lab: Path) -> None:
    (lab / "columns/tea.toml").write_text(COLUMN.replace("300 bar", "300"), encoding="utf-8")
    path = method(lab, ('tea.toml#column"\n', 'tea.toml#column"\nrating = "300 bar"\n'))
    message, file, line = refusal(path)
    assert "flow_path[1].rating" in message
    assert (file, line) == (str(lab / "columns/tea.toml"), 4)


def test_a_profile_without_use_never_looks_for_files(
    lab: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def never(*arguments: object) -> None:
        raise AssertionError

    monkeypatch.setattr(shared, "merge", never)
    path = lab / "methods" / "plain.toml"
    path.write_text(
        'format = 1\n[method]\nid = "used = 1"\n[instrument]\nid = "KB-LC-03"\n'
        'pressure_unit = "bar"\n[[flow_path]]\npart = "pump"\n[[flow_path]]\npart = "column"\n',
        encoding="utf-8",
    )
    assert load(path).uses == ()


def test_a_used_file_may_say_format_1_and_no_other(lab: Path) -> None:
    instrument, path = lab / "instruments/kb.toml", method(lab)
    instrument.write_text(f"format = 1\n{INSTRUMENT}", encoding="utf-8")
    assert load(path).profile.instrument.id == "KB-LC-03"
    for typed, shown in (("2", "2"), ('"1"', "1"), ("true", "True")):
        instrument.write_text(f"\nformat = {typed}\n{INSTRUMENT}", encoding="utf-8")
        with pytest.raises(UnreadableProfile) as refused:
            load(path)
        for finding in refused.value.findings:
            place = f"instruments/kb.toml:2:10: a format that is not known: {shown}"
            assert place in finding.message
            assert "remove it" in finding.advice
            assert finding.location is not None
            assert finding.location.file == str(path)


@pytest.mark.parametrize("text", [INSTRUMENT, COLUMN])
@pytest.mark.parametrize("only_profiles", [False, True])
def test_a_description_that_says_format_is_told_so_once(
    tmp_path: Path, text: str, only_profiles: bool
) -> None:
    path = tmp_path / "kb.toml"
    path.write_text(f"format = 1\n{text}", encoding="utf-8")
    with pytest.raises(UnreadableProfile) as refused:
        load(path, only_profiles=only_profiles)
    (finding,) = refused.value.findings
    assert "it only describes an instrument or parts" in finding.message
    assert "remove `format` from a file that profiles use" in finding.advice
    assert finding.location is not None
    assert (finding.location.line, finding.location.column) == (1, 1)


def test_a_whole_profile_may_be_used(lab: Path) -> None:
    (lab / "instruments/kb.toml").write_text(
        f'format = 1\n{INSTRUMENT}\n[method]\nid = "KB-TEA-013"\n', encoding="utf-8"
    )
    assert load(method(lab)).profile.instrument.id == "KB-LC-03"

"""Descriptions by themselves: ratings they hold, profiles that use them, instruments read alone."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from limitcheck.checking.file import check_file
from limitcheck.cli.app import run
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.instruments import files_used, load_instrument
from limitcheck.profile.load import ProfileFile, load
from limitcheck.profile.text import NotAProfile, UnreadableProfile
from tests.profile.lab import COLUMN, INSTRUMENT, build, method, refusal

TODAY = date(2026, 11, 25)


@pytest.fixture
def lab(tmp_path: Path) -> Path:
    return build(tmp_path)


def raised(file: ProfileFile) -> list[str]:
    report = check_file(file, DEFAULT_POLICY, TODAY)
    return [
        f"{'accepted ' if f.accepted else ''}{f.related[0].location.file}"  # type: ignore[union-attr]
        for f in report.findings
        if f.check == "rating-raised-over-shared"
    ]


@pytest.mark.parametrize(
    ("override", "is_raised"),
    [
        ('rating = "400 bar"', False),
        ('rating = "399 bar"', False),
        ('rating = "5802 psi"', True),
        ("rating_at_flow = []", True),
        ('rating_at_flow = [{flow = "5 mL/min", rating = "400 bar"}]', True),
        ('rating_at_flow = [{flow = "4 mL/min", rating = "200 bar"}]', False),
        ("interpolate = true", True),
        ("interpolate = false", False),
        ('rating_at_flow = [{flow = "6 mL/min", rating = "390 bar"}]', True),
        ('rating_at_temperature = [{temperature = "40 degC", rating = "500 bar"}]', False),
    ],
)
def test_a_rating_may_not_be_raised(lab: Path, override: str, is_raised: bool) -> None:
    path = method(lab, ('kb.toml#pump"\n', f'kb.toml#pump"\n{override}\n'))
    assert raised(load(path)) == ([str(lab / "instruments/kb.toml")] if is_raised else [])


@pytest.mark.parametrize(
    ("points", "told"),
    [
        (
            [("5 mL/min", "400 bar")],
            "leaves out 200 bar at 10 mL/min, which the description it uses states: it ends with "
            "400 bar at 5 mL/min.",
        ),
        (
            [("5 mL/min", "410 bar")],  # the higher rating at 5 mL/min hides nothing at 10
            "leaves out 200 bar at 10 mL/min, which the description it uses states: it ends with "
            "410 bar at 5 mL/min.",
        ),
        (
            [("5 mL/min", "400 bar"), ("12 mL/min", "350 bar")],
            "leaves out 200 bar at 10 mL/min, which the description it uses states: by it 350 bar "
            "holds there.",
        ),
        (
            [("10 mL/min", "250 bar")],
            "is given 250 bar at 10 mL/min, more than 200 bar in the description it uses.",
        ),
        ([], "leaves out 200 bar at 10 mL/min, which the description it uses states: it is empty."),
    ],
)
def test_a_list_of_its_own_leaves_out_no_lower_rating(
    lab: Path, points: list[tuple[str, str]], told: str
) -> None:
    listed = ", ".join(f'{{flow = "{at}", rating = "{rating}"}}' for at, rating in points)
    override = f"rating_at_flow = [{listed}]"
    path = method(lab, ('kb.toml#pump"\n', f'kb.toml#pump"\n{override}\n'))
    (message,) = (
        finding.message
        for finding in check_file(load(path), DEFAULT_POLICY, TODAY).findings
        if finding.check == "rating-raised-over-shared"
    )
    assert message.endswith(told)


@pytest.mark.parametrize(("rating", "is_raised"), [("310 bar", True), ("290 bar", False)])
def test_nor_by_a_description_between(lab: Path, rating: str, is_raised: bool) -> None:
    (lab / "columns/more.toml").write_text(
        f'[[flow_path]]\nlabel = "old"\nuse = "tea.toml#column"\nrating = "{rating}"\n',
        encoding="utf-8",
    )
    path = method(lab, ("tea.toml#column", "more.toml#old"))
    assert raised(load(path)) == ([str(lab / "columns/tea.toml")] if is_raised else [])


def test_a_raised_rating_can_be_answered_for(lab: Path) -> None:
    accepted = (
        '[[accepted]]\ncheck = "rating-raised-over-shared"\nat = "flow_path[pump].rating"\n'
        'value = "600 bar"\nlimit = "400 bar"\nreason = "new"\nby = "site"\nuntil = 2027-06-30\n'
    )
    path = method(lab, ('kb.toml#pump"\n', 'kb.toml#pump"\nrating = "600 bar"\n'))
    path.write_text(path.read_text(encoding="utf-8") + accepted, encoding="utf-8")
    assert raised(load(path)) == [f"accepted {lab / 'instruments/kb.toml'}"]


def test_checking_a_description_checks_the_profiles_that_use_it(
    lab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = method(lab, ("high = 250", "high = 320"))
    assert run(["check", str(lab / "columns/tea.toml")]) == 1
    shown = " ".join(capsys.readouterr().out.split())
    assert "tea.toml:10:8: error: high-cutoff-above-rating" in shown
    assert "1 profile: 1 error" in shown
    # Through the instrument's description, too.
    method(lab, ("tea.toml#column", "no.toml#column"))
    assert files_used(str(path)) == {str(lab / "instruments/kb.toml")}


def test_a_description_that_nobody_uses(lab: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lonely = lab / "columns/lonely.toml"
    lonely.write_text(COLUMN, encoding="utf-8")
    assert run(["check", str(lonely)]) == 2  # nothing was checked
    assert "nothing is checked" in " ".join(capsys.readouterr().out.split())
    lonely.write_text(COLUMN.replace("rating", "ratng"), encoding="utf-8")
    assert run(["check", str(lonely)]) == 2
    assert "unknown key ratng" in capsys.readouterr().err


def test_a_folder_search_passes_over_descriptions(
    lab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["check", str(lab)]) == 0
    told = capsys.readouterr().out
    assert "2 TOML files skipped: 2 describe instruments or parts" in told
    with pytest.raises(NotAProfile):
        load(lab / "columns/tea.toml", only_profiles=True)
    assert "not a profile" in refusal(lab / "columns/tea.toml")[0]


def test_an_instrument_with_its_flow_path(lab: Path) -> None:
    system = load_instrument(str(lab / "instruments/kb.toml"))
    assert system.instrument.id == "KB-LC-03"
    assert [part.part for part in system.flow_path] == ["pump", "fitting", "column"]
    assert system.tables["flow_path"][2] == {
        "part": "column",
        "length": "150 mm",
        "rating": "300 bar",
    }
    again = load_instrument(str(method(lab)))
    assert again.flow_path[2].rating == system.flow_path[2].rating


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (COLUMN, "has no [instrument] table"),
        ('[instrument]\nid = "A"\npressure_unit = "bar"\n', "begins with the pump"),
        (INSTRUMENT.partition("[[flow_path]]\nuse")[0], "where the column goes"),
        (INSTRUMENT.replace('"bar"', '"baar"', 1), "baar"),
    ],
)
def test_an_instrument_that_lacks_something(lab: Path, text: str, says: str) -> None:
    path = lab / "instruments/kb.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(UnreadableProfile) as caught:
        load_instrument(str(path))
    assert says in str(caught.value)

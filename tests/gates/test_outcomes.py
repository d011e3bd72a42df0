"""Every check on every profile holds, is broken or is not decided, and core checks may not be open.

Each line of the table takes something out of a profile on which every check holds.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import NamedTuple

import pytest

from limitcheck.checking.policy_file import forget_policies
from limitcheck.checks import CHECKS, check_name
from limitcheck.checks.required import CORE, may_be_required
from limitcheck.cli.app import run

Capture = pytest.CaptureFixture[str]
EXAMPLES = Path(__file__).parents[2] / "examples"
CLEAN = (EXAMPLES / "cutoffs/clean.toml").read_text("utf-8")
BAND = '[expected]\nlow = 180\nhigh = 230\nbasis = "measured"\n'
FLOW = 'flow = "1.0 mL/min"\n'
COLUMN_RATING = 'outlet_frit = "0.5 um"\nrating = "400 bar"\n'
ALL = frozenset(map(check_name, CHECKS))


class Gate(NamedTuple):
    """What is taken out or changed, the exit code, the checks left open, a sentence of the text."""

    changes: tuple[tuple[str, str], ...]
    exit_code: int
    undecided: frozenset[str]
    sentence: str


def out(*old: str) -> tuple[tuple[str, str], ...]:
    return tuple((text, "") for text in old)


def names(text: str) -> frozenset[str]:
    return frozenset(text.split())


ONE_PAIR = '[[measured]]\nflow = "1 mL/min"\npressure = "150 bar"\n\n'
TABLE = {
    "everything is there": Gate((), 0, frozenset(), "31 checks hold"),
    "no entry_max": Gate(
        out("entry_max = 600\n"),
        0,
        names("entry-beyond-field"),
        "To decide: add entry_max in [instrument].",
    ),
    "no display_step": Gate(
        out("display_step = 1\n"),
        0,
        names("entry-not-storable"),
        "To decide: add display_step in [instrument].",
    ),
    "a single measured pair": Gate(
        (("[[flow_path]]", f"{ONE_PAIR}[[flow_path]]"),),
        0,
        names("measured-against-geometry"),
        "To decide: add a [[measured]] pair at another flow",
    ),
    "no rating of the column": Gate(
        ((COLUMN_RATING, 'outlet_frit = "0.5 um"\n'),),
        1,
        names(
            "unit-confusion mistyped-number rounded-over-rating rule-of-thumb-conversion "
            "high-cutoff-above-rating high-cutoff-untouched expected-above-rating fault-unseen"
        ),
        "Do: Add to the profile: rating of the column.",
    ),
    "no rating of the pump": Gate(
        (('part = "pump"\nrating = "600 bar"\n', 'part = "pump"\n'),),
        1,
        names(
            "unit-confusion mistyped-number rounded-over-rating rule-of-thumb-conversion "
            "high-cutoff-above-rating high-cutoff-untouched expected-above-rating fault-unseen"
        ),
        "Not decided: the pump has no rating.",
    ),
    "no band: the prediction decides": Gate(
        ((BAND, ""), ("high = 280", "high = 380"), ("low = 90", "low = 9")),
        0,
        names(
            "high-cutoff-margin-thin high-cutoff-margin-wide low-cutoff-margin-thin "
            "low-cutoff-margin-wide expected-inverted expected-above-rating "
            "expected-against-prediction"
        ),
        "no expected pressure",
    ),
    "no band, a cutoff within the predicted interval": Gate(
        ((BAND, ""), ("high = 280", "high = 150"), ("low = 90", "low = 9")),
        1,
        names(
            "high-cutoff-below-expected high-cutoff-margin-thin high-cutoff-margin-wide "
            "low-cutoff-margin-thin low-cutoff-margin-wide expected-inverted "
            "expected-above-rating expected-against-prediction"
        ),
        "Not decided: the highest pressure is only predicted, ",
    ),
    "no band, a cutoff under what is predicted": Gate(
        ((BAND, ""), ("high = 280", "high = 50"), ("low = 90", "low = 9")),
        1,
        names(
            "high-cutoff-margin-thin high-cutoff-margin-wide low-cutoff-margin-thin "
            "low-cutoff-margin-wide expected-inverted expected-above-rating "
            "expected-against-prediction"
        ),
        "is not above the highest pressure predicted for this method, ",
    ),
    "no band, a low cutoff above what is predicted": Gate(
        ((BAND, ""), ("high = 280", "high = 380"), ("low = 90", "low = 350")),
        1,
        names(
            "high-cutoff-margin-thin high-cutoff-margin-wide low-cutoff-margin-thin "
            "low-cutoff-margin-wide expected-inverted expected-above-rating "
            "expected-against-prediction"
        ),
        "is above the lowest pressure predicted for this method, ",
    ),
    "no band and no prediction": Gate(
        ((BAND, ""), (FLOW, "")),
        1,
        names(
            "unit-confusion mistyped-number high-cutoff-below-expected low-cutoff-above-expected "
            "high-cutoff-margin-thin high-cutoff-margin-wide low-cutoff-margin-thin "
            "low-cutoff-margin-wide expected-inverted expected-above-rating "
            "expected-against-prediction fault-unseen"
        ),
        "Do: Add to the profile: low and high in [expected].",
    ),
    "no flow": Gate(out(FLOW), 0, names("expected-against-prediction"), "no conditions.flow"),
    "no composition": Gate(
        out("percent_b = 18\n"),
        0,
        names("gradient-peak-outside-expected expected-against-prediction"),
        "To decide: add percent_b or gradient in [conditions].",
    ),
    "no bore": Gate(
        out('bore = "4.6 mm"\n'),
        0,
        names("geometry-implausible expected-against-prediction"),
        "To decide: add bore of the column.",
    ),
    "no frit": Gate(
        out('outlet_frit = "0.5 um"\n'),
        0,
        names("frit-not-finer-than-particles"),
        "To decide: add outlet_frit of the column.",
    ),
    "no rating of the cell": Gate(
        (('part = "detector cell"\nrating = "400 bar"\n', 'part = "detector cell"\n'),),
        0,
        names("part-exposed-downstream"),
        "To decide: add rating of the detector cell.",
    ),
    "no part after the column": Gate(
        out('[[flow_path]]\npart = "detector cell"\nrating = "400 bar"\n'),
        0,
        names("part-exposed-downstream"),
        "no part after the column is described",
    ),
    "a derating table that decides, and no flow": Gate(
        (
            ('part = "pump"\n', 'part = "pump"\nrating_at_flow = [{flow = "2 mL/min", rating = '
             '"600 bar"}, {flow = "9 mL/min", rating = "200 bar"}]\n'),
            (FLOW, ""),
        ),
        1,
        names(
            "unit-confusion mistyped-number rounded-over-rating rule-of-thumb-conversion "
            "high-cutoff-above-rating high-cutoff-untouched expected-above-rating fault-unseen "
            "rating-derated expected-against-prediction"
        ),
        "what the pump holds depends on the flow, which is not given",
    ),
    "a derating table all above the cutoff, and no flow": Gate(
        (
            ('part = "pump"\n', 'part = "pump"\nrating_at_flow = [{flow = "2 mL/min", rating = '
             '"600 bar"}, {flow = "9 mL/min", rating = "300 bar"}]\n'),
            (FLOW, ""),
        ),
        1,  # nothing bounds the flow by the table
        names(
            "unit-confusion mistyped-number rounded-over-rating rule-of-thumb-conversion "
            "high-cutoff-above-rating high-cutoff-untouched expected-above-rating fault-unseen "
            "rating-derated expected-against-prediction"
        ),
        "what the pump holds depends on the flow, which is not given",
    ),
    "a method beyond the derating table": Gate(
        (
            ('part = "pump"\n', 'part = "pump"\nrating_at_flow = [{flow = "0.5 mL/min", rating = '
             '"600 bar"}]\n'),
        ),
        1,
        names(
            "unit-confusion mistyped-number rounded-over-rating rule-of-thumb-conversion "
            "high-cutoff-above-rating high-cutoff-untouched expected-above-rating fault-unseen"
        ),
        "Do: Add to the profile: rating of the pump at 1.0 mL/min.",
    ),
    "no low cutoff: one check says so, the others have nothing to break": Gate(
        out("low = 90\n"), 0, frozenset(), "30 checks hold, 1 broken"
    ),
}  # fmt: skip


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "limitcheck.toml").write_text("")
    monkeypatch.chdir(tmp_path)


def written(changes: tuple[tuple[str, str], ...]) -> None:
    text = CLEAN
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    Path("tea.toml").write_text(text)


@pytest.mark.parametrize("name", TABLE)
def test_what_is_missing_is_said_and_decides(name: str, capsys: Capture) -> None:
    gate = TABLE[name]
    written(gate.changes)
    assert run(["check", "tea.toml"]) == gate.exit_code
    assert gate.sentence in " ".join(capsys.readouterr().out.split())
    run(["check", "tea.toml", "--format", "json"])
    (profile,) = json.loads(capsys.readouterr().out)["profiles"]
    checks = profile["checks"]
    open_ones = {item["check"] for item in checks["not_decided"]}
    assert open_ones == gate.undecided
    assert {*checks["holds"], *checks["broken"]} | open_ones == ALL
    assert not set(checks["holds"]) & ({*checks["broken"]} | open_ones)


def test_every_check_that_needs_something_is_left_open_by_some_line() -> None:
    always = names(  # what they need must be there for a profile to be readable
        "entry-beyond-field high-cutoff-missing low-cutoff-off low-cutoff-not-below-high "
        "rating-missing rating-implausible rating-raised-over-shared amount-implausible"
    )
    covered = frozenset().union(*(gate.undecided for gate in TABLE.values()))
    assert ALL - always <= covered


@pytest.mark.parametrize(
    ("arguments", "policy", "exit_code", "sentence"),
    [
        (["--require", "entry-beyond-field"], "", 1, "This leaves open: entry-beyond-field."),
        (["--require", "all"], "", 1, "This leaves open: entry-beyond-field."),
        (["--require", "core"], "", 0, "30 checks hold, 1 not decided"),
        ([], '[require]\nchecks = ["all"]\n', 1, "Add to the profile: entry_max in [instrument]."),
        (["--require", "core"], '[require]\nchecks = ["all"]\n', 0, "30 checks hold"),
        ([], '[require]\nchecks = ["entry-beyond"]\n', 2, 'there is no check "entry-beyond"'),
        (
            ["--require", "everything"],
            "",
            2,
            '--require everything: there is no check "everything"',
        ),
        ([], '[severity]\nnot-decided = "warning"\n[require]\nchecks = ["all"]\n', 0, "warning"),
    ],
)
def test_what_must_be_decided(
    arguments: list[str], policy: str, exit_code: int, sentence: str, capsys: Capture
) -> None:
    written(TABLE["no entry_max"].changes)
    Path("limitcheck.toml").write_text(policy)
    assert run(["check", "tea.toml", *arguments]) == exit_code
    told = capsys.readouterr()
    assert sentence in " ".join((told.out + told.err).split())


def test_a_core_check_turned_off_is_not_decided(capsys: Capture) -> None:
    written(())
    Path("limitcheck.toml").write_text('[severity]\nhigh-cutoff-above-rating = "off"\n')
    assert run(["check", "tea.toml"]) == 1
    assert "turned off in" in capsys.readouterr().out
    assert set(may_be_required()) > CORE


def test_an_accepted_missing_cutoff_leaves_nothing_to_compare(capsys: Capture) -> None:
    """Who answers for that answers for what cannot be compared then."""
    written(out("high = 280\n"))
    Path("limitcheck.toml").write_text("[acceptances]\nnever = []\n")
    forget_policies()
    signed = ["--reason", "syringe pump", "--by", "method owner", "--until", "2099-06-30"]
    assert run(["accept", "tea.toml", "high-cutoff-missing", *signed]) == 0
    assert run(["check", "tea.toml", "--require", "all"]) == 0
    assert "not-decided" not in capsys.readouterr().out


def test_sarif_lists_the_outcomes(capsys: Capture) -> None:
    written(TABLE["no entry_max"].changes)
    run(["check", "tea.toml", "--format", "sarif"])
    (log,) = json.loads(capsys.readouterr().out)["runs"]
    (file,) = [item for item in log["artifacts"] if "properties" in item]
    assert file["properties"]["checks"]["not_decided"][0]["check"] == "entry-beyond-field"
    assert len(file["properties"]["checks"]["holds"]) == 30


@pytest.mark.parametrize("required", ["all", "core", "high-cutoff-above-rating"])
@pytest.mark.parametrize("option", ["--only low-cutoff-off", "--without high-cutoff-above-rating"])
def test_what_is_required_cannot_be_left_out(required: str, option: str, capsys: Capture) -> None:
    written(())
    assert run(["check", "tea.toml", "--require", required]) == 0
    assert run(["check", "tea.toml", "--require", required, *option.split()]) == 2
    assert f"--require {required}: " in capsys.readouterr().err


def test_what_is_required_fails_where_a_missing_cutoff_is_only_a_note(capsys: Capture) -> None:
    written(out("high = 280\n"))
    assert run(["check", "tea.toml"]) == 1
    assert "Not decided: no high cutoff" not in capsys.readouterr().out
    Path("limitcheck.toml").write_text('[severity]\nhigh-cutoff-missing = "note"\n')
    forget_policies()
    assert run(["check", "tea.toml"]) == 1
    assert "Not decided: no high cutoff" in capsys.readouterr().out


def test_what_a_policy_turned_off_says_how_to_turn_it_on(capsys: Capture) -> None:
    written(())
    Path("limitcheck.toml").write_text('[severity]\nhigh-cutoff-above-rating = "off"\n')
    forget_policies()
    assert run(["check", "tea.toml"]) == 1
    assert "Turn it on again" in capsys.readouterr().out


@pytest.mark.parametrize("required", ["all", "source-changed"])
def test_what_a_profile_was_made_from_can_be_required(required: str, capsys: Capture) -> None:
    """A source that changed is a warning; one that is gone leaves the check open."""
    for name in ("kestrel-bay", "columns/tea", "instruments/kb-lc-05", "instruments/hm-lc-07"):
        path = Path(f"{name}.toml")
        path.parent.mkdir(exist_ok=True)
        path.write_text((EXAMPLES / f"transfer/{name}.toml").read_text("utf-8"), "utf-8")
    made = ["--new", "received.toml", "--instrument", "instruments/hm-lc-07.toml"]
    assert run(["transfer", "kestrel-bay.toml", *made]) == 0
    received = Path("received.toml")
    text = received.read_text("utf-8").replace('basis = "predicted"', 'basis = "measured"')
    received.write_text(text, "utf-8")  # by itself a predicted band leaves the cutoff open
    asked = ["check", "received.toml", "--fail-on", "note", "--require", required]
    assert run(asked) == 0
    Path("kestrel-bay.toml").unlink()
    assert run(["check", "received.toml"]) == 0
    capsys.readouterr()
    assert run(asked) == 1
    assert "leaves open: source-changed." in " ".join(capsys.readouterr().out.split())

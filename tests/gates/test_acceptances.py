"""An acceptance holds for the place and the numbers it was given for, as long as it may be given.

Each line of the first table accepts a finding with the command, then changes the profile, the
acceptance or the policy. Part ratings and cutoffs are invented.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from limitcheck.checking import accepting
from limitcheck.checking.policy_file import forget_policies
from limitcheck.cli.app import run
from limitcheck.profile.load import load
from tests.profiles_for_tests import TEXT, text

Capture = pytest.CaptureFixture[str]
Changes = tuple[tuple[str, str], ...]
CELL = '[[flow_path]]\npart = "detector cell"\nrating = "150 bar"\n'
WITH_CELL = f"{TEXT}\n{CELL}"
SIGNED = ["--reason", "relief valve at 100 bar", "--by", "method owner"]
UNTIL = ["--until", "2099-06-30"]
PLACE = 'at = "flow_path[detector cell].rating"'
HAND_TYPED = '\n[[accepted]]\ncheck = "{}"\nreason = "valve"\nby = "owner"\nuntil = 2099-06-30\n'
ACCEPTED = "Accepted by method owner until 2099-06-30: relief valve at 100 bar"
NEVER = "is never accepted here"


class Gate(NamedTuple):
    """What changes after the acceptance, the exit code with --fail-on warning, and a sentence."""

    changes: Changes
    exit_code: int
    sentence: str
    policy: str = ""


def to(old: str, new: str) -> Changes:
    return ((old, new),)


TABLE = {
    "nothing": Gate((), 0, ACCEPTED),
    "the cutoff nearer than accepted": Gate(to("high = 250", "high = 240"), 0, ACCEPTED),
    "the cutoff further": Gate(
        to("high = 250", "high = 260"),
        1,
        "was given for 250 bar against 150 bar; now it is 260 bar against 150 bar.",
    ),
    "a stronger cell": Gate(to('"150 bar"\n', '"160 bar"\n'), 0, ACCEPTED),
    "a weaker cell": Gate(
        to('rating = "150 bar"\n', 'rating = "120 bar"\n'),
        1,
        "was given for 250 bar against 150 bar; now it is 250 bar against 120 bar.",
    ),
    "one better, one worse": Gate(
        (("high = 250", "high = 240"), ('rating = "150 bar"\n', 'rating = "149 bar"\n')),
        1,
        "acceptance-lapsed",
    ),
    "the same number with more digits": Gate(to("high = 250", "high = 250.00"), 0, ACCEPTED),
    "the same rating in another unit": Gate(
        to('rating = "150 bar"\n', 'rating = "15 MPa"\n'), 0, ACCEPTED
    ),
    "hardly less in another unit": Gate(
        to('rating = "150 bar"\n', 'rating = "2175 psi"\n'), 1, "acceptance-lapsed"
    ),
    "a part put in before": Gate(
        to(
            '[[flow_path]]\npart = "column"',
            '[[flow_path]]\npart = "mixer"\nrating = "400 bar"\n[[flow_path]]\npart = "column"',
        ),
        0,
        ACCEPTED,
    ),
    "another cell with a name of its own": Gate(
        to(
            CELL,
            CELL + '\n[[flow_path]]\npart = "detector cell"\nlabel = "second"\n'
            'rating = "150 bar"\n',
        ),
        1,
        "The detector cell (second) after the column",
    ),
    "another cell of the same name": Gate(
        to(CELL, f"{CELL}\n{CELL}"), 1, "2 parts of the flow path are called detector cell"
    ),
    "the cell gets a label": Gate(
        to('part = "detector cell"\n', 'part = "detector cell"\nlabel = "new"\n'),
        1,
        "acceptance-unused",
    ),
    "the cause is gone": Gate(
        to('rating = "150 bar"\n', 'rating = "300 bar"\n'), 1, "fits no finding"
    ),
    "the place is a beginning of the place": Gate(
        to(PLACE, 'at = "flow_path[detector cell]"'), 1, "fits no finding"
    ),
    "the place is everywhere": Gate(to(PLACE, 'at = "flow_path"'), 1, "fits no finding"),
    "no place": Gate(to(PLACE + "\n", ""), 1, "does not say for which place and numbers"),
    "no value": Gate(to('value = "250 bar"\n', ""), 1, "Write it with limitcheck accept"),
    "no limit": Gate(to('limit = "150 bar"\n', ""), 1, "was given for 250 bar; now it is"),
    "a value of another kind": Gate(
        to('value = "250 bar"', 'value = "250 mm"'), 1, "acceptance-lapsed"
    ),
    "a value in words": Gate(to('value = "250 bar"', 'value = "all"'), 1, "acceptance-lapsed"),
    "another check": Gate(
        to('check = "part-exposed-downstream"', 'check = "part-exposed"'), 1, "fits no finding"
    ),
    "its last day is past": Gate(to("2099-06-30", "2020-06-30"), 1, "ended on 2020-06-30"),
    "no last day": Gate(to("until = 2099-06-30\n", ""), 1, "it has no last day"),
    "no last day where the policy needs none": Gate(
        to("until = 2099-06-30\n", ""),
        0,
        "Accepted by method owner: relief valve",
        "[acceptances]\nuntil_required = false\n",
    ),
    "a policy without acceptances": Gate(
        (), 1, "the policy allows no acceptances", "[acceptances]\nallowed = false\n"
    ),
    "a policy that never accepts it": Gate(
        (), 1, NEVER, '[acceptances]\nnever = ["part-exposed-downstream"]\n'
    ),
    "a policy that never accepts its errors": Gate(
        (), 0, ACCEPTED, '[acceptances]\nnever = ["part-exposed-downstream:error"]\n'
    ),
    "a policy that makes it an error, and never accepts those": Gate(
        (),
        1,
        NEVER,
        '[acceptances]\nnever = ["part-exposed-downstream:error"]\n'
        '[severity]\npart-exposed-downstream = "error"\n',
    ),
    "a policy with a check that is none": Gate(
        (), 2, 'there is no check "high-cutof"', '[acceptances]\nnever = ["high-cutof"]\n'
    ),
    "a policy with words for yes": Gate(
        (), 2, "where true or false belongs", '[acceptances]\nallowed = "yes"\n'
    ),
}


def changed(text: str, changes: Changes) -> str:
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


def answer(path: Path, check: str, *more: str) -> int:
    return run(["accept", str(path), check, *SIGNED, *(more or UNTIL)])


@pytest.mark.parametrize("name", TABLE)
def test_what_was_accepted_and_nothing_else(name: str, tmp_path: Path, capsys: Capture) -> None:
    gate, path = TABLE[name], tmp_path / "tea.toml"
    path.write_text(WITH_CELL, "utf-8")
    assert answer(path, "part-exposed-downstream") == 0
    path.write_text(changed(path.read_text("utf-8"), gate.changes), "utf-8")
    (tmp_path / "limitcheck.toml").write_text(gate.policy, "utf-8")
    forget_policies()
    capsys.readouterr()
    assert run(["check", str(path), "--fail-on", "warning"]) == gate.exit_code
    shown = capsys.readouterr()
    assert gate.sentence in " ".join((shown.out + shown.err).split())


class Way(NamedTuple):
    """A check, the profile it is found in, changes that leave the acceptance, and that end it."""

    check: str
    start: dict[str, str]
    holds: tuple[dict[str, str], ...]
    lapses: tuple[dict[str, str], ...]


WIDE = {"expected_low": "80", "expected_high": "100"}
WAYS = (
    Way("high-cutoff-margin-thin", {"high": "210"},
        ({"high": "215"}, {"expected_high": "198"}), ({"high": "208"}, {"expected_high": "205"})),
    Way("high-cutoff-margin-wide", WIDE,
        ({"high": "240"}, {"expected_high": "105"}), ({"high": "260"}, {"expected_high": "95"})),
    Way("high-cutoff-below-expected", {"high": "190"},
        ({"high": "195"}, {"expected_high": "195"}), ({"high": "185"}, {"expected_high": "210"})),
    Way("low-cutoff-above-expected", {"low": "130"},
        ({"low": "125"}, {"expected_low": "125"}), ({"low": "140"}, {"expected_low": "110"})),
    Way("low-cutoff-margin-thin", {"low": "110"},
        ({"low": "105"}, {"expected_low": "125"}), ({"low": "115"}, {"expected_low": "115"})),
    Way("low-cutoff-margin-wide", {"low": "5"},
        ({"low": "5.5"}, {"expected_low": "110"}), ({"low": "4"}, {"expected_low": "130"})),
    Way("low-cutoff-off", {"low": ""}, ({"low": "0"}, {"expected_low": "130"}), ()),
    Way("low-cutoff-not-below-high", {"low": "300"},
        ({"low": "290"}, {"high": "260"}), ({"low": "310"}, {"high": "240"})),
    Way("expected-inverted", {"expected_low": "220"},
        ({"expected_low": "210"}, {"expected_high": "210"}),
        ({"expected_low": "230"}, {"expected_high": "190"})),
    Way("entry-not-storable", {"high": "250.5"}, ({"high": "250.50"},),
        ({"high": "251.5"}, {"step": "2"})),
    Way("rating-missing", {"column": ""}, ({"high": "240"},), ()),
    Way("rating-implausible", {"column": '"9000 bar"'},
        ({"column": '"8000 bar"'},), ({"column": '"9500 bar"'},)),
    Way("high-cutoff-untouched", {"high": "400"}, ({"high": "400.0"},),
        ({"high": "450"}, {"high": "410", "pump": '"410 bar"'})),
    Way("fault-unseen", {"low": "20"}, ({"low": "22"}, {"expected_low": "115"}),
        ({"low": "18"}, {"expected_low": "130"})),
)  # fmt: skip


@pytest.mark.parametrize("way", WAYS, ids=lambda way: way.check)
def test_the_wrong_way_of_each_check(way: Way, tmp_path: Path, capsys: Capture) -> None:
    path = tmp_path / "tea.toml"
    path.write_text(text(**way.start), "utf-8")
    assert answer(path, way.check) == 0
    entry = "\n[[accepted]]" + path.read_text("utf-8").partition("\n[[accepted]]")[2]
    for moved, held in [*((m, True) for m in way.holds), *((m, False) for m in way.lapses)]:
        path.write_text(text(**way.start | moved) + entry, "utf-8")
        capsys.readouterr()
        run(["check", str(path), "--format", "json"])
        found = json.loads(capsys.readouterr().out)["profiles"][0]["findings"]
        accepted = {f["check"]: f["accepted"] is not None for f in found}
        assert accepted[way.check] is held, moved
        assert ("acceptance-lapsed" in accepted) is not held, moved


@pytest.mark.parametrize(
    ("check", "values"),
    [
        ("high-cutoff-above-rating", {"high": "410"}),
        ("high-cutoff-missing", {"high": ""}),
        ("rounded-over-rating", {"high": "5802", "unit": '"psi"', "pump": '"400 bar"'}),
        ("expected-above-rating", {"expected_high": "405", "high": "450"}),
    ],
)
def test_a_cutoff_above_a_rating_is_never_accepted(
    check: str, values: dict[str, str], tmp_path: Path, capsys: Capture
) -> None:
    """Not by the command, not typed by hand, not where the policy grades it down."""
    path = tmp_path / "tea.toml"
    path.write_text(text(**values), "utf-8")
    assert answer(path, check) == 2
    assert NEVER in capsys.readouterr().err
    by_hand = (
        HAND_TYPED.format(check) + 'at = "cutoffs.high"\nvalue = "9999 bar"\nlimit = "1 bar"\n'
    )
    path.write_text(text(**values) + by_hand, "utf-8")
    (tmp_path / "limitcheck.toml").write_text(f'[severity]\n{check} = "note"\n', "utf-8")
    forget_policies()
    assert run(["check", str(path), "--fail-on", "note"]) == 1
    shown = capsys.readouterr().out
    assert NEVER in " ".join(shown.split())
    assert f"accepted: {check}" not in shown


def test_more_parts_passed_than_accepted(tmp_path: Path, capsys: Capture) -> None:
    """A policy may allow it; then it is given for these parts, not for another one."""
    path = tmp_path / "tea.toml"
    (tmp_path / "limitcheck.toml").write_text("[acceptances]\nnever = []\n", "utf-8")
    path.write_text(text(high="410"), "utf-8")
    assert answer(path, "high-cutoff-above-rating") == 0
    assert 'limit = {pump = "400 bar"}' in path.read_text("utf-8")
    start = path.read_text("utf-8")
    for rating, held in (('"409 bar"', False), ('"410 bar"', True)):
        path.write_text(start.replace('"450 bar"', rating), "utf-8")
        capsys.readouterr()
        run(["check", str(path)])
        shown = capsys.readouterr().out
        assert ("accepted: high-cutoff-above-rating" in shown) is held
        assert ("acceptance-lapsed" in shown) is not held


TWO = TEXT.replace(
    '[[flow_path]]\npart = "column"',
    '[[flow_path]]\npart = "fitting"\n\n[[flow_path]]\npart = "fitting"\nlabel = "inlet"\n\n'
    '[[flow_path]]\npart = "column"',
)
SAME = TWO.replace('label = "inlet"\n', "")
REFUSED = {
    "nothing fits": (TEXT, ["low-cutoff-off", *UNTIL], "has no finding low-cutoff-off"),
    "no such check": (TEXT, ["low-cutof-off", *UNTIL], "did you mean low-cutoff-off?"),
    "several": (
        TWO,
        ["rating-missing", *UNTIL],
        'name one: --at "flow_path[fitting]" or --at "flow_path[fitting (inlet)]"',
    ),
    "another place": (
        TWO,
        ["rating-missing", "--at", "flow_path[column]", *UNTIL],
        "has no finding rating-missing at flow_path[column]",
    ),
    "parts of one name": (
        SAME,
        ["rating-missing", "--at", "flow_path[2]", *UNTIL],
        "2 parts of the flow path are called fitting",
    ),
    "no last day": (WITH_CELL, ["part-exposed-downstream", "--by", "x"], "needs a last day"),
    "a day past": (
        WITH_CELL,
        ["part-exposed-downstream", "--until", "2020-01-01"],
        "--until 2020-01-01 is past",
    ),
    "no day": (WITH_CELL, ["part-exposed-downstream", "--until", "soon"], "is not a date"),
    "no reason": (WITH_CELL, ["part-exposed-downstream", *UNTIL, "--reason", " "], "empty text"),
    "about an acceptance": (
        TEXT + HAND_TYPED.format("low-cutoff-off"),
        ["acceptance-invalid", *UNTIL],
        "cannot be accepted",
    ),
    "a check that compares files": (
        TEXT,
        ["duplicate-method-revision", *UNTIL],
        "name the other one with --beside PATH",
    ),
    "acceptances in a list": (
        "accepted = []\n" + WITH_CELL,
        ["part-exposed-downstream", *UNTIL],
        "takes no further [[accepted]] table",
    ),
    "not a profile": ("x = 1\n", ["low-cutoff-off", *UNTIL], "not a profile"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_accept_refuses_leaves_the_file(name: str, tmp_path: Path, capsys: Capture) -> None:
    content, arguments, sentence = REFUSED[name]
    path = tmp_path / "tea.toml"
    path.write_text(content, "utf-8")
    told = [SIGNED[i : i + 2] for i in range(0, len(SIGNED), 2)]
    signed = [word for pair in told if pair[0] not in arguments for word in pair]
    assert run(["accept", str(path), *signed, *arguments]) == 2
    assert sentence in " ".join(capsys.readouterr().err.split())
    assert path.read_text("utf-8") == content


def test_only_an_entry_at_the_end_is_added(tmp_path: Path, capsys: Capture) -> None:
    """Byte-order mark, comments, line ends and a last line without one stay as they are."""
    content = "\ufeff# tea\r\n" + WITH_CELL.rstrip("\n").replace("\n", "\r\n")
    path = tmp_path / "tea.toml"
    path.write_bytes(content.encode())
    reason = 'a "quoted" reason \\ with é'
    assert run(["accept", str(path), "part-exposed-downstream", "--reason", reason, "--by", "x",
                *UNTIL]) == 0  # fmt: skip
    after = path.read_bytes().decode()
    assert after.startswith(content + "\r\n\r\n[[accepted]]\r\n")
    assert after.count("\r\n") == after.count("\n")
    assert load(path).profile.accepted[0].reason == reason
    said = capsys.readouterr().out
    for piece in ("at flow_path[detector cell].rating", "250 bar against 150 bar", reason):
        assert piece in said


def test_a_finding_of_several_is_named_by_place_or_part(tmp_path: Path) -> None:
    for at in ("flow_path[fitting (inlet)]", "flow_path[3]"):
        path = tmp_path / "tea.toml"
        path.write_text(TWO, "utf-8")
        assert answer(path, "rating-missing", "--at", at, *UNTIL) == 0
        assert load(path).profile.accepted[0].at == "flow_path[fitting (inlet)]"


def test_what_lapsed_ended_or_was_typed_by_hand_is_renewed(tmp_path: Path, capsys: Capture) -> None:
    path = tmp_path / "tea.toml"
    path.write_text(WITH_CELL + HAND_TYPED.format("part-exposed-downstream"), "utf-8")
    changes = (("owner", "owner"), ("high = 250", "high = 260"), ("2099-06-30", "2020-06-30"))
    for change in changes:
        path.write_text(path.read_text("utf-8").replace(*change), "utf-8")
        assert answer(path, "part-exposed-downstream") == 0
        assert capsys.readouterr().out.startswith("Renewed: part-exposed-downstream")
        assert len(load(path).profile.accepted) == 1
        assert run(["check", str(path), "--fail-on", "warning"]) == 0
        capsys.readouterr()


def test_two_findings_at_one_place_have_an_entry_each(tmp_path: Path, capsys: Capture) -> None:
    """Both parts are derated under the cutoff: the place is the cutoff, the limits are theirs."""
    table = 'rating_at_temperature = [{temperature = "60 degC", rating = "%s bar"}]'
    parts = "".join(
        f'[[flow_path]]\npart = "fitting"\nlabel = "{name}"\nrating = "400 bar"\n{table % rating}\n'
        for name, rating in (("one", 230), ("two", 240))
    )
    content = TEXT.replace(
        '[[flow_path]]\npart = "column"', parts + '[[flow_path]]\npart = "column"'
    )
    content = content.replace(
        "[[flow_path]]", '[conditions]\ntemperature = "60 degC"\n[[flow_path]]', 1
    )
    (tmp_path / "limitcheck.toml").write_text("[acceptances]\nnever = []\n", "utf-8")
    path = tmp_path / "tea.toml"
    path.write_text(content, "utf-8")
    assert answer(path, "rating-derated") == 2
    assert "name the part with --at" in " ".join(capsys.readouterr().err.split())
    for name in ("fitting (two)", "fitting (one)"):
        assert answer(path, "rating-derated", "--at", name, *UNTIL) == 0
    assert len(load(path).profile.accepted) == 2
    run(["check", str(path)])
    assert capsys.readouterr().out.count("accepted: rating-derated") == 2


def test_what_two_files_contradict_each_other_in(tmp_path: Path, capsys: Capture) -> None:
    first, second = tmp_path / "a.toml", tmp_path / "b.toml"
    first.write_text(text(), "utf-8")
    second.write_text(text(pump='"390 bar"', method='"KB-TEA-015"'), "utf-8")
    beside = ["--beside", str(first), *UNTIL]
    assert answer(second, "part-rating-conflict", *beside) == 0
    capsys.readouterr()
    run(["check", str(tmp_path), "--verbose"])
    assert capsys.readouterr().out.count("accepted: part-rating-conflict") == 1
    first.write_text(text(pump='"380 bar"'), "utf-8")
    run(["check", str(tmp_path), "--verbose"])
    shown = capsys.readouterr().out
    assert "accepted: part-rating-conflict" not in shown
    assert "was given for 390 bar against 400 bar; now it is 390 bar against 380 bar" in " ".join(
        shown.split()
    )
    run(["check", str(second), "--fail-on", "warning"])  # alone, nothing is known of the other
    assert "acceptance-" not in capsys.readouterr().out


def test_a_profile_edited_meanwhile_is_left(
    tmp_path: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "tea.toml"
    path.write_text(WITH_CELL, "utf-8")
    real = accepting.accept

    def edited_meanwhile(*arguments: Any) -> accepting.Accepted:
        path.write_text(WITH_CELL + "# by hand\n", "utf-8")
        return real(*arguments)

    monkeypatch.setattr(accepting, "accept", edited_meanwhile)
    assert answer(path, "part-exposed-downstream") == 2
    assert "has changed since it was read" in " ".join(capsys.readouterr().err.split())
    assert path.read_text("utf-8") == WITH_CELL + "# by hand\n"


def test_a_surer_finding_of_the_same_numbers_is_another(tmp_path: Path, capsys: Capture) -> None:
    """A cutoff of 25 bar in doubt, with more beside it that says so."""
    path = tmp_path / "tea.toml"
    path.write_text(text(high="25"), "utf-8")
    assert answer(path, "unit-confusion") == 0
    entry = load(path).profile.accepted[0]
    assert (entry.value, entry.limit) == ("25 bar", "MPa, likely")
    path.write_text(path.read_text("utf-8").replace("MPa, likely", "MPa, possible"), "utf-8")
    capsys.readouterr()
    run(["check", str(path)])
    assert "acceptance-lapsed" in capsys.readouterr().out


EXAMPLES = Path(__file__).parents[2] / "examples"


def checked(path: Path, capsys: Capture, *options: str) -> tuple[int, str]:
    """The exit code, and what was said in one line."""
    forget_policies()
    capsys.readouterr()
    code = run(["check", str(path), *options])
    shown = capsys.readouterr()
    return code, " ".join((shown.out + shown.err).split())


def left_open(folder: Path, *, rated: bool) -> Path:
    """A profile with something not decided that somebody answers for."""
    path = folder / "tea.toml"
    if rated:  # no band: 113 to 243 bar are predicted, and nobody says what is normal
        content = (EXAMPLES / "cutoffs/clean.toml").read_text("utf-8")
        content = content.replace("high = 280", "high = 240")
        before, _, after = content.partition("[expected]")
        path.write_text(before + after.partition("\n\n")[2], "utf-8")
    else:
        (folder / "limitcheck.toml").write_text("[acceptances]\nnever = []\n", "utf-8")
        path.write_text(text(column=""), "utf-8")
    assert answer(path, "not-decided") == 0
    return path


@pytest.mark.parametrize("by_hand", [False, True])
def test_what_leaves_a_check_open_that_is_never_accepted_is_not_accepted(
    by_hand: bool, tmp_path: Path, capsys: Capture
) -> None:
    """A cutoff over no rating is not answered for where one over a rating is not."""
    path = tmp_path / "tea.toml"
    if by_hand:
        written = left_open(tmp_path, rated=False)
        (tmp_path / "limitcheck.toml").unlink()
        code, told = checked(written, capsys)
        assert code == 1
    else:
        path.write_text(text(column=""), "utf-8")
        assert answer(path, "not-decided") == 2
        told = " ".join(capsys.readouterr().err.split())
    assert "it leaves high-cutoff-above-rating open, which is never accepted here" in told
    assert "Add to the profile: rating of the column." in told


@pytest.mark.parametrize("old", ["high = 250", "low = 60"])
@pytest.mark.parametrize("new", ["5800", "59"])
def test_what_was_left_open_is_open_again_with_another_cutoff(
    old: str, new: str, tmp_path: Path, capsys: Capture
) -> None:
    """What was answered for is 250 bar against no rating, not 5800 bar."""
    path = left_open(tmp_path, rated=False)
    content = path.read_text("utf-8")
    path.write_text(content.replace(old, f"{old}.00"), "utf-8")
    assert checked(path, capsys)[0] == 0
    path.write_text(content.replace(old, f"{old.partition(' = ')[0]} = {new}"), "utf-8")
    code, told = checked(path, capsys)
    assert code == 1
    assert "acceptance-lapsed" in told


def test_a_cutoff_lowered_into_the_prediction_is_open_again(
    tmp_path: Path, capsys: Capture
) -> None:
    """Predicted is 113 to 243 bar: 240 bar just may stop good runs, 112 bar always does."""
    path = left_open(tmp_path, rated=True)
    assert checked(path, capsys)[0] == 0
    content = path.read_text("utf-8").replace("high = 240", "high = 112")
    path.write_text(content.replace("low = 90", "low = 50"), "utf-8")
    assert checked(path, capsys)[0] == 1


def test_what_was_left_open_is_for_these_checks_and_fewer(tmp_path: Path, capsys: Capture) -> None:
    path = left_open(tmp_path, rated=False)
    assert checked(path, capsys, "--require", "high-cutoff-above-rating")[0] == 0
    code, told = checked(path, capsys, "--require", "core", "--require", "expected-above-rating")
    assert code == 1
    assert "left open (expected-above-rating, high-cutoff-above-rating" in told


@pytest.mark.parametrize("how", ["option", "policy", "not decided"])
def test_an_acceptance_of_what_was_not_looked_for_is_not_unused(
    how: str, tmp_path: Path, capsys: Capture
) -> None:
    path, check = tmp_path / "tea.toml", "high-cutoff-margin-wide"
    path.write_text(text(**WIDE), "utf-8")
    assert answer(path, check) == 0
    options = ["--fail-on", "warning", "--require", "low-cutoff-off"]
    assert checked(path, capsys, *options)[0] == 0
    if how == "option":
        options += ["--without", check]
    elif how == "policy":
        (tmp_path / "limitcheck.toml").write_text(f'[severity]\n{check} = "off"\n', "utf-8")
    else:
        content = path.read_text("utf-8")
        path.write_text(content.replace("[expected]\nlow = 80\nhigh = 100\n", ""), "utf-8")
    code, told = checked(path, capsys, *options)
    assert check in told.partition("Not decided, ")[2]
    assert "acceptance-unused" not in told
    assert code == 0


@pytest.mark.parametrize(
    ("wrong", "moved"),
    [
        (("4.6 mm", "46 mm"), ('flow = "1.0 mL/min"', 'flow = "0.1 mL/min"')),
        (("1.0 mL/min", "77 mL/min"), ('bore = "4.6 mm"', 'bore = "4.0 mm"')),
    ],
)
def test_a_flow_that_does_not_go_with_a_bore_is_given_for_both(
    wrong: tuple[str, str], moved: tuple[str, str], tmp_path: Path, capsys: Capture
) -> None:
    """Answered for was 1 mL/min on 46 mm; a tenth of it is ten times further out."""
    path = tmp_path / "tea.toml"
    content = (EXAMPLES / "cutoffs/clean.toml").read_text("utf-8").replace(*wrong)
    path.write_text(content, "utf-8")
    assert answer(path, "geometry-implausible") == 0
    only = ["--only", "geometry-implausible", "--fail-on", "warning"]
    assert checked(path, capsys, *only)[0] == 0
    content = path.read_text("utf-8")
    assert moved[0] in content
    path.write_text(content.replace(*moved, 1), "utf-8")
    assert checked(path, capsys, *only)[0] == 1

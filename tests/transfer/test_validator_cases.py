"""Cases of a validator: the transfer says no more than it knows.

Each folder of validator_cases/ holds a pair of profiles of invented laboratories.
"""

from __future__ import annotations

import json
import math
import subprocess
from datetime import date, datetime
from pathlib import Path
from shutil import copy, copytree

import pytest

from limitcheck.checking.policy_file import policy_for
from limitcheck.cli.app import run
from limitcheck.profile.load import load
from limitcheck.transfer import Transfer, transfer
from limitcheck.transfer.control import sealed
from limitcheck.transfer.ruling import Ruling

PAIRS = Path(__file__).parent / "validator_cases"
EXAMPLES = Path(__file__).parents[2] / "examples" / "transfer"
TODAY = date(2026, 11, 26)


def moved(name: str) -> Transfer:
    sending, receiving = PAIRS / name / "from.toml", PAIRS / name / "to.toml"
    policies = policy_for(sending), policy_for(receiving)
    return transfer(load(str(sending)), load(str(receiving)), policies, TODAY)


def ruling_on(field: str, found: Transfer) -> Ruling:
    return next(item for item in found.rulings if item.field == field)


@pytest.mark.parametrize("name", ["06-same-id-two-sites", "07-same-id-two-sites-declared"])
def test_one_instrument_id_at_two_sites_is_not_one_instrument(name: str) -> None:
    """Each site numbers its own instruments: two pumps, two ovens, two columns of a kind."""
    found = moved(name)
    assert found.sending.profile.method.site != found.receiving.profile.method.site
    assert found.normal.scaled is not None
    ratio = found.normal.scaled.ratio.highest
    assert ratio.low < 1 < ratio.high, "a ratio without an interval"
    assert "same hardware" not in ruling_on("expected high", found).rule


def test_a_band_of_the_same_id_at_another_site_is_not_measured_there() -> None:
    found = moved("06-same-id-two-sites")
    assert any("measure the pressure" in text for text in found.conditions)


@pytest.mark.parametrize("name", ["08-converted-band-called-measured"])
def test_the_senders_band_rounded_to_the_panel_is_not_measured_there(name: str) -> None:
    """1378 psi and 1668 psi are 95 bar and 115 bar to the step of the panel (SP 811, App. B)."""
    found = moved(name)
    assert any("measure the pressure" in text for text in found.conditions)


def test_the_interval_holds_what_is_not_known_of_a_predicted_band() -> None:
    """The sender's own prediction is 63.8 to 131 bar: 112 bar lies inside of it.

    200 000 random runs from that interval and the ratio's, each as a split normal with half-width
    over sqrt(3) (JCGM 100:2008, 4.3.7): 24 % reach 112 bar; the record says under 1 %.
    """
    found = moved("89-sender-predicted-band-of-its-own-prediction")
    assert ruling_on("high cutoff: normal runs", found).ruling != "allowed"
    high = next(item for item in found.normal.reaches if item.limit.name == "high cutoff")
    assert high.band is None or high.band > 0.05


@pytest.mark.parametrize(
    "name",
    [
        "12-policy-stricter-low-off",  # the policy allows no acceptances
        "13-policy-never-low-off",  # the policy never lets this one be accepted
        "60-accepted-by-hand-not-holding",  # README: without place and numbers it does not hold
        "61-low-off-another-place",  # given for another place
    ],
)
def test_an_acceptance_that_does_not_hold_rules_nothing(name: str) -> None:
    found = moved(name)
    checks = {finding.check for finding in found.receiving.report.findings}
    assert "acceptance-invalid" in checks
    assert ruling_on("low cutoff", found).ruling == "cannot decide"
    assert found.decision != "accept"


@pytest.mark.parametrize(
    "name",
    [
        "12-policy-stricter-low-off",
        "59-policy-stricter-rating-missing",
        "62-margin-thin-error-holds",
        "63-detector-cell-downstream-stricter",
    ],
)
def test_an_error_by_the_sites_own_policy_is_not_accepted(name: str) -> None:
    """`limitcheck check` fails the receiving profile with an error."""
    found = moved(name)
    graded = {check for check, grade in found.receiving.policy.severities.items() if grade}
    assert any(f.check in graded for f in found.receiving.report.findings)
    assert found.decision != "accept"


def test_a_margin_that_the_policy_widened_is_named() -> None:
    """By default 340 bar for 145 bar is not allowed; the policy's 200 % is why it is."""
    found = moved("64-margins-of-the-policy-wide")
    assert found.decision != "accept" or any("margin" in r.text for r in found.reasons)


@pytest.mark.parametrize("name", ["90-fast-gradient-dwell", "91-fast-gradient-step"])
def test_a_tolerance_in_minutes_is_small_against_the_gradient(name: str) -> None:
    """90: 0.05 min later, of a gradient of 0.30 min. 91: a step of 0.04 min made 0.02 min, -50 %.

    Harmonised chapter: each step by tG2 = tG1 (F1/F2)(L2 dc2^2)/(L1 dc1^2); no such tolerance.
    """
    assert moved(name).decision != "accept"


def test_a_dwell_volume_holds_at_least_the_tubing_in_it() -> None:
    """1000 mm of 1.5 mm bore hold pi/4 d^2 L = 1767 uL, and the dwell volume is 400 uL."""
    assert math.pi / 4 * 1.5**2 * 1000 > 400
    assert moved("a8-dwell-smaller-than-tubing").decision != "accept"


def test_a_loop_holds_what_is_injected() -> None:
    """100 mm of 0.17 mm bore hold pi/4 d^2 L = 2.3 uL, and 10 uL are to be injected."""
    assert math.pi / 4 * 0.17**2 * 100 < 10
    assert moved("29-loop-smaller-than-injection").decision != "accept"


@pytest.mark.parametrize("name", ["19-guard-behind-column", "92-two-columns-in-the-other-order"])
def test_the_order_of_the_flow_path_is_a_field(name: str) -> None:
    """Parts are listed in flow order: a guard column behind the column guards nothing."""
    found = moved(name)
    orders = [[(p.part, p.label) for p in s.profile.flow_path] for s in (found.sending,)]
    orders += [[(p.part, p.label) for p in found.receiving.profile.flow_path]]
    assert orders[0] != orders[1]
    assert found.decision != "accept"
    assert any("order" in f"{item.field} {item.rule}" for item in found.rulings)


@pytest.mark.parametrize(
    ("name", "field"),
    [
        ("17-ratings-of-others-left-out", "detector cell: rating"),
        ("98-fitting-unrated", "fitting (column inlet): rating"),
        ("99-injector-unrated", "injector: rating"),
    ],
)
def test_a_rating_that_is_not_given_is_not_compared(name: str, field: str) -> None:
    item = ruling_on(field, moved(name))
    assert item.receiving == "not given"
    assert "own rating, compared" not in item.rule
    assert item.ruling == "cannot decide"


def test_what_is_to_be_typed_is_not_what_is_ruled_out() -> None:
    """One record says "Type high = 184" and "184: not allowed"."""
    found = moved("c0-own-margins-on-both")
    high = found.cutoffs[0]
    item, _ = found.to_type(high)
    refused = ruling_on("high cutoff", found).ruling == "not allowed"
    assert high.receiving is not None
    assert not (refused and item is not None and item.enter == high.receiving.number)


def test_a_new_profile_is_not_refused_for_its_own_proposal(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Both numbers are the tool's: that of `--new` and the bound of the record made with it."""
    copy(PAIRS / "c0-own-margins-on-both" / "from.toml", tmp_path / "from.toml")
    copy(PAIRS / "instrument.toml", tmp_path / "instrument.toml")
    names = [str(tmp_path / name) for name in ("from.toml", "to.toml", "instrument.toml")]
    run(["transfer", names[0], "--new", names[1], "--instrument", names[2], "--format", "json"])
    rulings = json.loads(capsys.readouterr().out)["rulings"]
    item = next(item for item in rulings if item["field"] == "high cutoff")
    assert item["ruling"] != "not allowed", item


def test_fit_and_new_agree_on_an_unrated_pump(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A record cannot decide about a pump without a rating; `fit` says that the method fits."""
    copy(PAIRS / "01-plain-iso" / "from.toml", tmp_path / "from.toml")
    copy(PAIRS / "instrument-unrated.toml", tmp_path / "instrument.toml")
    names = [str(tmp_path / name) for name in ("from.toml", "to.toml", "instrument.toml")]
    fits = run(["fit", names[0], "--on", names[2], "--format", "json"]) == 0
    capsys.readouterr()
    moves = run(["transfer", names[0], "--new", names[1], "--instrument", names[2]]) == 0
    assert fits == moves


def test_a_page_altered_by_hand_is_not_verified(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is signed is what is read: the page says another decision than the record in it."""
    copytree(EXAMPLES, tmp_path / "t")
    monkeypatch.chdir(tmp_path / "t")
    run(["transfer", "kestrel-bay.toml", "harrow-mill-copied.toml", "-o", "record.html"])
    capsys.readouterr()
    page = Path("record.html").read_text("utf-8")
    head, mark, rest = page.partition('<script type="application/json" id="record">')
    record, end, tail = rest.partition("</script>")
    changed = [text.replace("do not accept", "accept").replace("5801", "6801") for text in (head,)]
    assert changed[0] != head
    Path("record.html").write_text("".join((*changed, mark, record, end, tail)), "utf-8")
    code = run(["transfer", "--verify", "record.html"])
    told = capsys.readouterr().out
    assert code == 1 or "only the record in it" in told, told


def test_a_change_names_what_changed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """No "X then, X now", and no "not as in the record" without what."""
    copytree(EXAMPLES, tmp_path / "t")
    monkeypatch.chdir(tmp_path / "t")
    run(["transfer", "kestrel-bay.toml", "harrow-mill-07.toml", "-o", "record.json"])
    file = Path("instruments/hm-lc-07.toml")
    file.write_text(file.read_text("utf-8").replace("display_step = 1", "display_step = 10"))
    capsys.readouterr()
    run(["transfer", "--verify", "record.json", "--format", "json"])
    for change in json.loads(capsys.readouterr().out)["changes"]:
        _, _, values = change.partition(": ")
        then, found, now = values.partition(" then, ")
        assert not found or then != now.removesuffix(" now"), change
        assert "not as in the record" not in change


def _git(*words: str) -> None:
    who = ["-c", "user.name=analyst", "-c", "user.email=analyst@example.org"]
    subprocess.run(["git", *who, *words], check=True, capture_output=True)


def _pair(folder: Path) -> None:
    for name in ("from.toml", "to.toml"):
        copy(PAIRS / "01-plain-iso" / name, folder / name)


NO_OTHER = "has no other revision"


def _record(capsys: pytest.CaptureFixture[str]) -> str:
    run(["transfer", "from.toml", "to.toml", "--verbose"])
    return " ".join(capsys.readouterr().out.split())


def test_no_repository_is_not_called_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    _pair(tmp_path)
    assert NO_OTHER not in _record(capsys)


def test_a_revision_in_the_history_is_another_revision(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The usual way to revise: the same file, committed again."""
    monkeypatch.chdir(tmp_path)
    _git("init", "-q")
    _pair(tmp_path)
    for path in (Path("from.toml"), Path("to.toml")):
        path.write_text(path.read_text("utf-8").replace('revision = "C"', 'revision = "B"'))
    _git("add", "-A")
    _git("commit", "-qm", "revision B")
    _pair(tmp_path)
    _git("add", "-A")
    _git("commit", "-qm", "revision C")
    assert NO_OTHER not in _record(capsys)


def test_a_file_that_cannot_be_read_is_not_none(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    _git("init", "-q")
    _pair(tmp_path)
    Path("older.toml").write_text('[method]\nid = "KB-CAF-101"\nrevision = "B"\nbroken = \n')
    assert NO_OTHER not in _record(capsys)


@pytest.mark.parametrize(
    ("name", "field"),
    [
        ("28-injection-more-10", "conditions: injection_volume"),
        ("45-edition-only", "conditions: injection_volume"),
        ("a9-grad-flow-changed-and-same-column", "conditions: flow"),
        ("c1-edition-only-dwell", "instrument: dwell_volume"),
        ("91-fast-gradient-step", "conditions: gradient, step 1"),
    ],
)
def test_a_tolerance_of_our_own_is_not_credited_to_the_chapter(name: str, field: str) -> None:
    """`policy.AdjustmentLimits` says of these: common practice, no source."""
    item = ruling_on(field, moved(name))
    assert item.ruling != "allowed" or "common practice" in item.source, item


def test_no_noise_of_arithmetic_in_a_record(capsys: pytest.CaptureFixture[str]) -> None:
    folder = PAIRS / "01-plain-iso"
    run(["transfer", str(folder / "from.toml"), str(folder / "to.toml"), "--verbose"])
    assert "e-16 %" not in capsys.readouterr().out


def test_a_level_programme_is_the_same_liquid() -> None:
    """30 % B throughout, written as a gradient of two equal points."""
    found = moved("21-flat-gradient-for-isocratic")
    assert ruling_on("conditions: percent_b", found).ruling != "not allowed"


@pytest.mark.parametrize("name", ["22-chemistry-other-name", "23-chemistry-pore"])
def test_another_spelling_of_a_chemistry_is_not_called_another_chemistry(name: str) -> None:
    """As of a solvent written differently: nobody knows whether it is another."""
    assert ruling_on("column: chemistry", moved(name)).ruling == "cannot decide"


def test_the_band_of_a_new_profile_is_that_of_its_record(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`--new` leaves the certificate behind, but reckons with it; the record does not.

    It writes 1785 psi, and "the sender's comes to 1647 psi" beside it.
    """
    copytree(PAIRS / "f0-certificate", tmp_path / "t")
    names = [str(tmp_path / "t" / name) for name in ("from.toml", "to.toml", "instrument.toml")]
    run(["transfer", names[0], "--new", names[1], "--instrument", names[2], "--format", "json"])
    scaled = json.loads(capsys.readouterr().out)["expected"]["scaled"]
    written = load(names[1]).profile.expected
    assert written is not None
    central = float(scaled["low"]["central"]["value"])
    assert abs(float(written.low.to("psi")) - central) <= 5, central


def test_a_qualification_altered_by_hand_is_not_taken_at_its_word(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder, record = PAIRS / "01-plain-iso", tmp_path / "qualification.json"
    run(["qualify", "-o", str(record)])
    data = json.loads(record.read_text("utf-8"))
    data["verdict"] = "all that we wanted passed"
    record.write_text(json.dumps(data), "utf-8")
    capsys.readouterr()
    profiles = [str(folder / "from.toml"), str(folder / "to.toml")]
    code = run(["transfer", *profiles, "--qualification", str(record), "--verbose"])
    told = " ".join(capsys.readouterr().out.split())
    assert code == 2 or "all that we wanted passed, for this build" not in told


def test_fit_prints_the_interval_of_what_it_rests_on(capsys: pytest.CaptureFixture[str]) -> None:
    """The JSON has the predicted ratio with its interval; no printed form of the record has."""
    names = str(PAIRS / "01-plain-iso" / "from.toml"), str(PAIRS / "instrument.toml")
    run(["fit", names[0], "--on", names[1], "--format", "json"])
    ratio = json.loads(capsys.readouterr().out)["cells"][0]["predicted_ratio"]
    run(["fit", names[0], "--on", names[1], "--verbose"])
    told = capsys.readouterr().out
    assert f"{ratio['low']:.3g}" in told
    assert f"{ratio['high']:.3g}" in told


@pytest.mark.parametrize(
    ("name", "field"),
    [
        ("e8-column-serial-same-two-sites-other-rating", "column: rating"),
        ("e9-serial-same-other-column", "column: length"),
        ("g2-column-rating-raised-same-serial", "column: rating"),
    ],
)
def test_one_piece_has_one_label(name: str, field: str) -> None:
    """The same serial number on both sides is the same column: one of the labels is misread."""
    found = moved(name)
    assert ruling_on("column: serial", found).ruling == "same"
    assert ruling_on(field, found).ruling in ("cannot decide", "not allowed")


@pytest.mark.parametrize("key", ["policies", "pressures", "method", "to_fill_in"])
def test_every_part_of_a_record_is_verified(
    key: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A record with other content and its own right hash is not what today's files give."""
    copytree(EXAMPLES, tmp_path / "t")
    monkeypatch.chdir(tmp_path / "t")
    run(["transfer", "kestrel-bay.toml", "harrow-mill-07.toml", "-o", "record.json"])
    record = json.loads(Path("record.json").read_text("utf-8"))
    made = datetime.fromisoformat(record.pop("record")["made"])
    if key == "method":
        record["sending"]["profile"]["method"] = "KB-XYZ-999"
    elif key == "pressures":
        record["sending"]["pressures"] = []
    else:
        record[key] = [] if record[key] else [{"path": "site.toml"}]
    Path("record.json").write_text(json.dumps(sealed(record, made)), "utf-8")
    capsys.readouterr()
    assert run(["transfer", "--verify", "record.json"]) == 1


def test_another_order_of_the_flow_path_is_not_the_same_values(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The guard column is moved before the column, after the record was made."""
    copytree(PAIRS / "19-guard-behind-column", tmp_path / "t")
    monkeypatch.chdir(tmp_path / "t")
    run(["transfer", "from.toml", "to.toml", "-o", "record.json"])
    tables = Path("to.toml").read_text("utf-8").split("[[flow_path]]")
    guard = next(i for i, text in enumerate(tables) if "guard column" in text)
    tables.insert(guard - 1, tables.pop(guard))
    Path("to.toml").write_text("[[flow_path]]".join(tables), "utf-8")
    capsys.readouterr()
    run(["transfer", "--verify", "record.json", "--format", "json"])
    told = " ".join(json.loads(capsys.readouterr().out)["changes"])
    assert "every value compared is the same" not in told
    assert "order" in told


def test_an_injection_of_more_than_the_column_holds_is_no_same() -> None:
    """10 mL on both sides, a slip for 10 uL: the empty column holds pi/4 d^2 L = 2.5 mL."""
    assert math.pi / 4 * 4.6**2 * 150 < 10_000
    assert moved("g6-injection-mL").decision != "accept"


def test_a_rating_ten_times_the_senders_is_looked_at() -> None:
    """A cell of 150 bar there, "1500 bar" here: 1500 psi are 103 bar (SP 811), under normal."""
    found = moved("g1-cell-rating-psi-typed-as-bar")
    assert any("detector cell" in text and "10 times" in text for text in found.conditions)

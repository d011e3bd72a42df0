"""A receiving profile made from the sender and the instrument."""

from __future__ import annotations

import hashlib
import shutil
import tomllib
from pathlib import Path
from typing import Any

import pytest

from limitcheck.cli.app import run
from limitcheck.physics.other_instrument import pressure_ratio
from limitcheck.profile.load import load
from limitcheck.version import __version__
from tests.profiles_for_tests import WITH_GEOMETRY

EXAMPLES = Path(__file__).parents[2] / "examples" / "transfer"


def test_a_new_profile_in_steps_of_a_tenth(tmp_path: Path) -> None:
    new, sending, there = (tmp_path / f"{name}.toml" for name in ("new", "sending", "there"))
    sending.write_text(WITH_GEOMETRY.replace("high = 172", "high = 201"), encoding="utf-8")
    parts = WITH_GEOMETRY.replace('id = "KB-LC-03"', 'id = "HM-LC-11"')
    parts = parts.replace('"bar"\ndisplay_step = 1', '"MPa"\ndisplay_step = 0.1')
    there.write_text(parts.replace("= 260", "= 26").replace("= 30", "= 3"), encoding="utf-8")
    run(["transfer", str(sending), "--new", str(new), "--instrument", str(there)])
    text = new.read_text(encoding="utf-8")
    assert "high = 25.1\n" in text  # 251.25 bar, down
    assert 'high = "201 bar"\n' in text  # equal parts: the numbers stay
    assert load(new).profile.method.site is None


def test_measured_pairs_stay_with_the_instrument_they_were_read_on(tmp_path: Path) -> None:
    """Neither the sender's pairs nor those of the profile that describes the instrument."""
    pairs = "".join(
        f'[[measured]]\nflow = "{flow} mL/min"\npressure = "{bar} bar"\n'
        for flow, bar in (("0.5", 66), ("1.0", 132))
    )
    new, plain, sending, there = (
        tmp_path / f"{name}.toml" for name in ("new", "plain", "sending", "there")
    )
    other = WITH_GEOMETRY.replace('id = "KB-LC-03"', 'id = "HM-LC-11"')
    there.write_text(other + pairs, encoding="utf-8")
    for written, text in ((plain, WITH_GEOMETRY), (new, WITH_GEOMETRY + pairs)):
        sending.write_text(text, encoding="utf-8")
        run(["transfer", str(sending), "--new", str(written), "--instrument", str(there)])
    assert load(new).profile.measured == ()
    made, without = (load(path).profile for path in (new, plain))
    assert made.expected == without.expected
    assert made.cutoffs == without.cutoffs


def test_a_band_that_other_tubing_moves_is_scaled(tmp_path: Path) -> None:
    narrow, new = tmp_path / "narrow.toml", tmp_path / "new.toml"
    text = (EXAMPLES / "instruments/hm-lc-11.toml").read_text(encoding="utf-8")
    narrow.write_text(text.replace("0.13 mm", "0.09 mm"), encoding="utf-8")
    sending = EXAMPLES / "kestrel-bay.toml"
    assert run(["transfer", str(sending), "--new", str(new), "--instrument", str(narrow)]) != 2
    first, second = load(sending).profile, load(new).profile
    ratio = pressure_ratio(first, second).highest.central
    assert ratio > 1.1
    assert second.expected is not None
    assert second.expected.basis == "predicted"
    assert float(second.expected.high) == pytest.approx(320e5 * ratio, abs=1e5)
    assert second.expected.high.unit == "MPa"


def test_no_new_profile_without_safe_limits(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    new, sending = tmp_path / "new.toml", tmp_path / "sending.toml"
    weak = WITH_GEOMETRY.replace('"3 um"\nrating = "400 bar"', '"3 um"\nrating = "200 bar"')
    sending.write_text(weak, encoding="utf-8")
    instrument = str(EXAMPLES / "instruments/hm-lc-07.toml")
    assert run(["transfer", str(sending), "--new", str(new), "--instrument", instrument]) == 2
    assert not new.exists()
    shown = capsys.readouterr().err
    assert "no high cutoff can be proposed for KB-TEA-014 on HM-LC-07" in shown
    assert "every part up to the column rated 29" in shown


GRADIENT = "gradient = [{minute = 0, percent_b = 10}, {minute = 15, percent_b = 90}]"


@pytest.mark.parametrize(
    ("was", "put", "says", "cutoffs"),
    [
        ("low = 145", "low = 145", "Cutoffs are proposed for the band below:", {"high", "low"}),
        (
            "percent_b = 18",
            GRADIENT,
            "No high and no low cutoff is proposed: the expected band is in doubt",
            set(),
        ),
        ("low = 145", "low = 1", "No low cutoff is proposed: ", {"high"}),
    ],
)
def test_the_file_says_which_cutoffs_are_proposed_and_why_not(
    tmp_path: Path, was: str, put: str, says: str, cutoffs: set[str]
) -> None:
    new, sending, there = (tmp_path / f"{name}.toml" for name in ("new", "sending", "there"))
    sending.write_text(WITH_GEOMETRY.replace(was, put), encoding="utf-8")
    there.write_text(WITH_GEOMETRY.replace("KB-LC-03", "HM-LC-11"), encoding="utf-8")
    run(["transfer", str(sending), "--new", str(new), "--instrument", str(there)])
    text = new.read_text(encoding="utf-8")
    head = " ".join(line.removeprefix("# ") for line in text.partition("format")[0].splitlines())
    assert says in head
    assert ("Cutoffs are proposed" in head) == (len(cutoffs) == 2)
    assert tomllib.loads(text)["cutoffs"].keys() == cutoffs


@pytest.fixture
def lab(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(EXAMPLES, tmp_path / "lab")
    (tmp_path / "lab" / "limitcheck.toml").touch()
    monkeypatch.chdir(tmp_path / "lab")
    return tmp_path / "lab"


def made(to: str = "new.toml", there: str = "instruments/hm-lc-11.toml") -> dict[str, Any]:
    """The tables of the new profile, as they stand in its file."""
    assert run(["transfer", "kestrel-bay.toml", "--new", to, "--instrument", there]) != 2
    return tomllib.loads(Path(to).read_text(encoding="utf-8"))


def test_shared_descriptions_stay_references(lab: Path) -> None:
    (lab / "harrow").mkdir()
    new = made("harrow/new.toml")
    there = "../instruments/hm-lc-11.toml"
    assert new["instrument"] == {"use": there}
    assert new["flow_path"] == [
        {"use": f"{there}#pump"},
        {"use": f"{there}#pump to injector"},
        {"use": f"{there}#injector"},
        {"use": f"{there}#column inlet"},
        {"use": "../columns/tea.toml#column"},
        {"use": f"{there}#detector cell"},
    ]
    assert [source["path"] for source in new["source"]] == ["../kestrel-bay.toml", there]
    file = load("harrow/new.toml")
    assert file.profile.instrument.id == "HM-LC-11"
    assert {used.path for used in file.uses} == {"instruments/hm-lc-11.toml", "columns/tea.toml"}


def test_from_another_repository_values_are_copied(lab: Path, tmp_path: Path) -> None:
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / "limitcheck.toml").touch()
    new = made("../other/new.toml")
    assert "use" not in str(new["instrument"])
    assert not any("use" in part for part in new["flow_path"])
    assert new["flow_path"][4]["particle_size"] == "3 um"
    assert new["source"][0]["path"] == "../lab/kestrel-bay.toml"


def test_an_instrument_taken_from_a_profile_keeps_what_that_uses(lab: Path) -> None:
    new = made(there="harrow-mill-11.toml")
    there = tomllib.loads(Path("harrow-mill-11.toml").read_text(encoding="utf-8"))
    assert new["flow_path"][0] == there["flow_path"][0]
    assert new["instrument"] == there["instrument"]


CERTIFICATE = """serial = "C-0417"
certificate = {pressure = "140 bar", flow = "1 mL/min", temperature = "25 degC",
solvent_b = "acetonitrile", percent_b = 60}
"""


@pytest.mark.parametrize("shared", [True, False])
def test_nothing_of_the_very_column_is_carried_over(lab: Path, shared: bool) -> None:
    file = lab / ("columns/tea.toml" if shared else "kestrel-bay.toml")
    text, column = file.read_text(encoding="utf-8"), 'use = "columns/tea.toml#column"\n'
    own = CERTIFICATE.replace("\n", " ").replace(" certificate", "\ncertificate").strip() + "\n"
    text = text + own if shared else text.replace(column, column + own)
    file.write_text(text, encoding="utf-8")
    sending = load("kestrel-bay.toml").profile.flow_path[4]
    assert sending.serial == "C-0417"
    made()
    column_there = load("new.toml").profile.flow_path[4]
    assert (column_there.serial, getattr(column_there, "certificate", "none")) == (None, None)
    assert column_there.rating == sending.rating
    assert ("columns/tea.toml#column" in Path("new.toml").read_text("utf-8")) is not shared


def test_acceptances_and_a_measured_band_are_not_carried_over(lab: Path) -> None:
    with (lab / "kestrel-bay.toml").open("a") as file:
        file.write('\n[[accepted]]\ncheck = "low-cutoff-off"\nreason = "x"\nby = "y"\n')
    made()
    new = load("new.toml").profile
    assert new.accepted == ()
    assert new.method.site is None
    assert new.expected is not None
    assert new.expected.basis != "measured"


def test_it_records_what_it_came_from(lab: Path) -> None:
    method, instrument = made()["source"]
    content = (lab / "kestrel-bay.toml").read_bytes()
    assert method["sha256"] == hashlib.sha256(content).hexdigest()
    assert (method["gave"], method["method"], method["revision"]) == ("method", "KB-TEA-031", "A")
    assert (method["instrument"], instrument["instrument"]) == ("KB-LC-05", "HM-LC-11")
    assert method["tool"] == f"limitcheck {__version__}"

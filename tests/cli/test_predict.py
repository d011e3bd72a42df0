"""`limitcheck predict` and `limitcheck faults` from the command line."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from limitcheck.cli.app import run
from tests.profiles_for_tests import WITH_GEOMETRY

PROFILE = """format = 1
[method]
id = "KB-TEA-014"
[instrument]
id = "KB-LC-03"
pressure_unit = "psi"
[cutoffs]
high = 1800
low = 500
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
length = "600 mm"
bore = "0.17 mm"
[[flow_path]]
part = "injector"
[[flow_path]]
part = "column"
length = "150 mm"
bore = "4.6 mm"
particle_size = "5 um"
"""
PSI = 6894.757  # Pa: NIST SP 811 (2008), App. B
GRADIENT = PROFILE.replace('"acetonitrile"', '"methanol"').replace(
    "percent_b = 18", "gradient = [{minute = 0, percent_b = 5}, {minute = 12, percent_b = 95}]"
)


@pytest.fixture
def tea(tmp_path: Path) -> Path:
    path = tmp_path / "tea.toml"
    path.write_text(PROFILE, encoding="utf-8")
    return path


@pytest.fixture
def gradient(tmp_path: Path) -> Path:
    path = tmp_path / "gradient.toml"
    path.write_text(GRADIENT, encoding="utf-8")
    return path


def said(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert run(list(arguments)) == 0
    return capsys.readouterr().out


def refused(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert run(list(arguments)) == 2
    streams = capsys.readouterr()
    assert streams.out == ""
    assert "Traceback" not in streams.err
    return " ".join(streams.err.split())


@pytest.mark.parametrize("command", ["predict", "faults"])
def test_text_fits_80_columns_in_plain_characters(
    command: str, tea: Path, gradient: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for path in (tea, gradient):
        text = said(capsys, command, str(path))
        assert text.isascii()
        assert max(len(line) for line in text.splitlines()) <= 80


def test_predict_shows_every_unit_and_part(tea: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "MPa" not in said(capsys, "predict", str(tea))
    text = said(capsys, "predict", str(tea), "--verbose")
    header = next(line for line in text.splitlines() if "MPa" in line)
    assert header.split() == ["Predicted", "psi", "bar", "MPa"]
    central = next(line for line in text.splitlines() if line.strip().startswith("central"))
    psi, bar, mpa = (float(word) for word in central.split()[1:])
    assert psi / bar == pytest.approx(14.5038, rel=0.01)
    assert bar / mpa == pytest.approx(10, rel=0.01)
    assert "tubing" in text
    assert "no resistance given: injector as 0.3 m of 0.17 mm tubing" in text
    assert "Left out" not in text
    assert "dissolved sample" in text


def test_declared_band_stands_beside_the_prediction(
    tea: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    expected = '[expected]\nlow = 700\nhigh = 900\nbasis = "measured"\n[conditions]'
    bare = PROFILE.replace("[conditions]", expected)
    tea.write_text(bare, encoding="utf-8")
    text = said(capsys, "predict", str(tea))
    assert "The profile expects 700 psi to 900 psi (measured)." in text
    assert "expects" not in said(capsys, "predict", str(tea), "--at", "flow=2 mL/min")


def test_chart_of_a_gradient(gradient: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = said(capsys, "predict", str(gradient))
    rows = [line for line in text.splitlines() if re.match(r"^ *[0-9.]* +\|", line)]
    assert len(rows) == 12
    columns = [line.split("|")[1].ljust(46) for line in rows]
    stars = ["".join(row[i] for row in columns).index("*") for i in range(46)]
    highest = min(range(46), key=lambda i: stars[i])
    assert 0 < highest < 23  # the peak stands inside the step
    assert stars[highest] < stars[0] <= stars[-1]
    assert "at the highest point of the run" in " ".join(text.split())


def test_json_of_a_prediction(gradient: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = json.loads(said(capsys, "predict", str(gradient), "--format", "json"))
    low, central, high = (
        float(found["predicted"][k]["pascal"]) for k in ("low", "central", "high")
    )
    assert low < central < high
    assert float(found["predicted"]["central"]["value"]) == pytest.approx(central / PSI, rel=1e-5)
    total = sum(float(part["central"]["pascal"]) for part in found["parts"])
    assert central < total < 1.01 * central  # that of one composition throughout
    assert [part["part"] for part in found["parts"]] == [2, 3, 4]  # counted from 1
    assert len(found["points"]) == 3
    assert found["highest"]["central"] == found["predicted"]["central"]
    assert found["rests_on"]


def test_at_another_condition(tea: Path, capsys: pytest.CaptureFixture[str]) -> None:
    def central(at: str) -> float:
        text = said(capsys, "predict", str(tea), "--at", at, "--format", "json")
        return float(json.loads(text)["predicted"]["central"]["pascal"])

    base = central("percent-b=18")
    assert central("flow=2 mL/min") == pytest.approx(2 * base, rel=0.02)
    assert central("temperature=50 degC, percent-b=18 %") < base
    assert central("length=250 mm") > 1.4 * base
    assert central("particle-size=3 um,ambient=30 degC") > 2 * base
    assert "(changed here: flow=2 mL/min)" in said(
        capsys, "predict", str(tea), "--at", "flow=2 mL/min"
    ).replace("\n  ", " ")


PAIRS = """
[[measured]]
flow = "0.5 mL/min"
pressure = "40 bar"
[[measured]]
flow = "1.0 mL/min"
pressure = "1160 psi"
"""


def test_measured_pairs_are_shown_with_what_they_come_to(
    tea: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = json.loads(said(capsys, "predict", str(tea), "--format", "json"))
    assert before["measured"] is None
    tea.write_text(PROFILE + PAIRS, encoding="utf-8")
    text = said(capsys, "predict", str(tea))
    assert "Measured pairs, in psi" in text
    assert "They outrank the geometry. Only for a clean column" in text
    found = json.loads(said(capsys, "predict", str(tea), "--format", "json"))
    assert found["measured"]["used"]
    assert [item["pair"] for item in found["measured"]["pairs"]] == [1, 2]
    assert float(found["predicted"]["central"]["value"]) == pytest.approx(1160, rel=0.03)
    propose = said(capsys, "faults", str(tea))
    assert "1160 psi" in propose or "11" in propose


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ('flow = "0 mL/min"\npressure = "40 bar"', "not above zero"),
        ('flow = "1 mL/min"\npressure = "0 bar"', "not above zero"),
        ('flow = "1 mL/min"\npressure = 40', "has no unit"),
        ('flow = 1\npressure = "40 bar"', "has no unit"),
        ('flow = "1 mL/min"', "pressure"),
        ('flow = "1 mL/min"\npressure = "40 bar"\ncolumn = "no"', "true or false"),
        ('flow = "1 mL/min"\npressure = "40 bar"\nsolvent = "water"', "solvent"),
    ],
)
def test_pairs_that_cannot_be_read_are_refused_with_their_line(
    table: str, words: str, tea: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tea.write_text(f"{PROFILE}[[measured]]\n{table}\n", encoding="utf-8")
    message = refused(capsys, "predict", str(tea))
    assert words in message
    assert re.search(r"tea.*\.toml:\d+:\d+", message)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--at", "flow=2"], "has no unit"),
        (["--at", "flow"], "is not a condition"),
        (["--at", "speed=2 mL/min"], "is not a condition"),
        (["--at", "flow=2 mL/min,flow=3 mL/min"], "given twice"),
        (["--at", "percent-b=120"], "more than 100"),
        (["--at", "percent-b=-5"], "negative"),
        (["--at", "temperature=-300 degC"], "not above zero"),
        (["--at", "temperature=300 degC"], "no viscosity data at 300 degC"),
        (["--at", ""], "is not a condition"),
        (["--calibrate", "1,520"], "has a comma"),
        (["--calibrate", "2 bar"], "cannot be calibrated"),
        (["--calibrate", "90 bar", "--at", "length=100 mm"], "another column"),
        (["--format", "xml"], "no format"),
    ],
)
def test_bad_options_are_explained(
    options: list[str], words: str, tea: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    message = refused(capsys, "predict", str(tea), *options)
    assert words in message
    assert "Do: " in message


def test_faults_by_outcome(tea: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = said(capsys, "faults", str(tea))
    assert text.index("Nobody notices") < text.index("The high cutoff stops the pump")
    assert "only A" in text
    assert "The smallest fault that these cutoffs see" in text
    assert "nobody notices" in text.splitlines()[0]
    found = json.loads(said(capsys, "faults", str(tea), "--format", "json"))
    assert {item["stopped_by"] for item in found["faults"]} == {None, "high", "low"}
    assert found["normal"]["basis"] == "predicted"
    assert "tubing-after-injector-blocked" in {item["name"] for item in found["not_computed"]}


def test_faults_where_nothing_is_known(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "bare.toml"
    path.write_text(PROFILE.replace('length = "150 mm"\n', ""), encoding="utf-8")
    assert "no normal pressure" in refused(capsys, "faults", str(path))
    assert "cannot be predicted" in refused(capsys, "predict", str(path))
    assert "no format" in refused(capsys, "faults", str(path), "--format", "xml")


@pytest.mark.parametrize(
    ("was", "now", "place"),
    [
        ('solvent_a = "water"', 'solvent_a = "dichloromethane"', 14),
        ('"acetonitrile"', '"sc-CO2"', 15),
        ('"35 degC"', '"135 degC"', 12),
        ('ambient = "21 degC"', 'ambient = "-40 degC"', 13),
        ('flow = "1.0 mL/min"\n', "", 10),
        ('temperature = "35 degC"\nambient = "21 degC"\n', "", 10),
        ("percent_b = 18\n", "", 15),
        ('length = "150 mm"\n', "", 26),
    ],
)
def test_what_cannot_be_predicted_is_named_with_its_line(
    was: str, now: str, place: int, tea: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tea.write_text(PROFILE.replace(was, now), encoding="utf-8")
    assert f"tea.toml:{place}:" in refused(capsys, "predict", str(tea)).replace("\n  ", "")


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("water/MeCN/MeOH -10:60:50", '"water/MeCN/MeOH -10:60:50": its solvents have no'),
        ("20 nM phosphate", '"20 nM phosphate" is not known'),
        ("water/Foo 3:4", '"Foo" is not known'),
        ("water/MeOH 10,5:89,5", "write a decimal point, 10.5"),
        ("1 g/L sodium acetate trihydrate", "the mass of a hydrate holds water"),
    ],
)
def test_a_refused_solvent_is_quoted_as_it_was_written(
    written: str, said: str, tea: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tea.write_text(PROFILE.replace('"water"', f'"{written}"'), encoding="utf-8")
    assert said in " ".join(refused(capsys, "predict", str(tea)).split())


def test_a_buffered_method_is_predicted_by_every_command(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    profile = tmp_path / "tea.toml"
    text = WITH_GEOMETRY.replace('"water"', '"20 mM phosphate, pH 2.5"')
    profile.write_text(text, encoding="utf-8")
    told = " ".join(said(capsys, "predict", str(profile), "--verbose").split())
    assert 'solvent_a "20 mM phosphate, pH 2.5" is predicted as water' in told
    assert "widens the error of its viscosity" not in told  # 0.69 %, beside the packing nothing
    assert "of 17 faults" in said(capsys, "faults", str(profile))
    run(["check", str(profile)])
    assert "no viscosity data" not in capsys.readouterr().out
    profile.write_text(text.replace("20 mM ", ""), encoding="utf-8")
    assert run(["predict", str(profile)]) == 2
    refused = " ".join(capsys.readouterr().err.split())
    assert "it does not say how much phosphate" in refused
    assert 'as in "20 mM phosphate, pH 2.5"' in refused


def test_a_column_calibrated_by_a_gradient_names_both_moments(
    gradient: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = " ".join(said(capsys, "predict", str(gradient), "--calibrate", "150 bar").split())
    assert "150 bar at the pump as the highest pressure of the gradient. At 4" in words
    assert "% B throughout the flow path makes" in words


@pytest.mark.parametrize("kind", ["text", "json"])
def test_a_pulse_that_never_fills_the_column_calibrates_nothing(
    kind: str, gradient: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = gradient.read_text(encoding="utf-8")
    start = text.index("gradient = [")
    pulse = "gradient = [{minute = 0, percent_b = 5}, {minute = 3, percent_b = 5}, "
    pulse += "{minute = 3, percent_b = 95}, {minute = 6, percent_b = 95}"
    gradient.write_text(text[:start] + pulse + text[text.index("]", start) :], encoding="utf-8")
    message = refused(capsys, "predict", str(gradient), "--calibrate", "150 bar", "--format", kind)
    assert "depends on how much is mixed on the way" in " ".join(message.split())

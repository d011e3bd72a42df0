from __future__ import annotations

import subprocess
import sys
from datetime import date
from fractions import Fraction
from html import unescape

import pytest

import limitcheck

from .render.runs import ACCEPTED, DAY, GOOD, HIGH_PSI, UNREADABLE

TABLES = {
    "format": 1,
    "method": {"id": "KB-TEA-014"},
    "instrument": {"id": "KB-LC-03", "pressure_unit": "bar"},
    "cutoffs": {"high": 250, "low": 30},
    "expected": {"low": 120, "high": 200},
    "flow_path": [{"part": "pump", "rating": "400 bar"}, {"part": "column", "rating": "400 bar"}],
}


@pytest.fixture
def tea(tmp_path):
    path = tmp_path / "tea.toml"
    path.write_text(HIGH_PSI)
    return path


def test_every_public_name_is_there_and_listed():
    for name in limitcheck.__all__:
        assert getattr(limitcheck, name) is not None
    assert dir(limitcheck) == sorted(limitcheck.__all__)
    with pytest.raises(AttributeError, match="no attribute 'chek'"):
        limitcheck.chek  # noqa: B018


def test_importing_loads_nothing():
    told = subprocess.run(
        [
            sys.executable,
            "-c",
            "import sys, limitcheck; print([m for m in sys.modules if 'limitcheck.' in m or m in "
            "('typing', 'pydantic', 'typer')])",
        ],
        check=True,
        capture_output=True,
        text=True,
    )
    assert told.stdout == "[]\n"


def test_check_a_file(tea):
    checked = limitcheck.check(tea, today=DAY)
    assert not checked.ok
    assert checked.findings[0].check == "unit-confusion"
    assert checked.findings[0].location.line == 15
    assert checked.profile.method.id == "KB-TEA-014"


def test_a_loaded_profile_and_a_dictionary_will_do(tea):
    file = limitcheck.load_profile(tea)
    assert limitcheck.load_profile(file) is file
    assert limitcheck.check(file, today=DAY).findings == limitcheck.check(tea, today=DAY).findings
    assert limitcheck.check(TABLES).ok
    skipped = {item.check for item in limitcheck.check(TABLES).undecided}
    assert "expected-against-prediction" in skipped
    with pytest.raises(limitcheck.UnreadableProfile, match="flow_path"):
        limitcheck.check({key: value for key, value in TABLES.items() if key != "flow_path"})


def test_the_policy_nearest_to_the_file_holds(tea):
    tea.write_text(GOOD.replace("low = 30", "low = 0"))
    assert limitcheck.check(tea).ok
    strict = limitcheck.Policy(fail_on=limitcheck.check(tea).findings[0].severity)
    assert not limitcheck.check(tea, policy=strict).ok
    (tea.parent / "limitcheck.toml").write_text('fail_on = "warning"\n')
    from limitcheck.checking.policy_file import forget_policies

    forget_policies()
    assert not limitcheck.check(tea).ok


def test_an_accepted_finding_is_ok_until_its_last_day(tea):
    tea.write_text(ACCEPTED)
    strict = limitcheck.Policy(fail_on=limitcheck.check(tea).findings[0].severity)
    assert limitcheck.check(tea, policy=strict, today=date(2027, 6, 30)).ok
    assert not limitcheck.check(tea, policy=strict, today=date(2027, 7, 1)).ok


def test_an_unreadable_profile_says_all_in_one_exception(tea):
    tea.write_text(UNREADABLE.replace("entry_max = 600", "entry_max = -1"))
    with pytest.raises(limitcheck.UnreadableProfile) as caught:
        limitcheck.load_profile(tea)
    assert len(caught.value.findings) == 2


def test_propose_gives_what_is_typed():
    """250 = 200 + 25 %, under 400 - 10 %; 60 = 120 - 50 %."""
    cutoffs = limitcheck.propose(TABLES).cutoffs
    assert (cutoffs.number("high").enter, cutoffs.number("low").enter) == ("250", "60")
    margins = limitcheck.Margins(high=Fraction(10, 100))
    found = limitcheck.propose(TABLES, policy=limitcheck.Policy(margins=margins))
    assert found.cutoffs.number("high").text == "high = 220 (bar)"


def test_predict_in_pascal_and_its_failure(tea):
    normal = limitcheck.predict(tea)
    assert 4e6 < normal.central < 9e6
    doubled = limitcheck.predict(tea, limitcheck.Change(flow=2e-6 / 60))
    assert doubled.central == pytest.approx(2 * normal.central, rel=0.02)
    with pytest.raises(limitcheck.CannotPredict):
        limitcheck.predict(TABLES)


def test_convert_is_exact():
    """NIST SP 811: 1 psi = 0.45359237 kg x 9.80665 m/s2 / (0.0254 m)2."""
    psi = Fraction("0.45359237") * Fraction("9.80665") / Fraction("0.0254") ** 2
    assert limitcheck.convert("6000 psi", "bar") == 6000 * psi / 10**5
    assert limitcheck.convert(limitcheck.Pressure.parse("400 bar"), "MPa") == 40
    with pytest.raises(limitcheck.UnitError):
        limitcheck.convert("400", "bar")


def test_a_notebook_shows_the_report_in_a_frame(tea, monkeypatch):
    checked = limitcheck.check(tea, today=DAY)
    shown = checked._repr_html_()
    assert shown.startswith("<iframe")
    page = unescape(shown.split('srcdoc="')[1].split('" style=')[0])
    assert page == checked.to_html()
    assert "unit-confusion" in page
    assert checked.to_pdf().startswith(b"%PDF")
    from limitcheck.render.html import _template

    _template.cache_clear()
    monkeypatch.setitem(sys.modules, "jinja2", None)
    assert checked._repr_html_() is None


def test_readings_from_python(tea):
    from pathlib import Path

    log = Path(__file__).parents[1] / "examples" / "logs" / "kestrel-bay-tea.csv"
    profile = Path(__file__).parents[1] / "examples" / "units" / "kestrel-bay.toml"
    found = limitcheck.baseline(log)
    assert found.phases
    read = limitcheck.reading(profile, "286 bar")
    assert read.causes
    told = limitcheck.reading(
        profile, "286 bar", swing="9 bar", period=1.2, came="slowly", since="2026-05-01",
        after="new samples", leak_seen=False, today=DAY,
    )  # fmt: skip
    assert told.told.came == "slowly"
    assert told.swing is not None
    with pytest.raises(limitcheck.LimitcheckError):
        limitcheck.reading(profile, "286 bar", came="fast")
    assert limitcheck.isolate(profile, {}).plan
    done = limitcheck.isolate(profile, {"all": "286 bar", "column-inlet": "14 bar"})
    assert done.excesses
    with pytest.raises(limitcheck.UnitError):
        limitcheck.reading(profile, "286")

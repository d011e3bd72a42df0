"""A repository's policy: where it is found, what it sets, and what is wrong with it."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from hashlib import sha256
from pathlib import Path

import pytest

from limitcheck.checking.corrections import NotFixed, rewrite
from limitcheck.checking.file import check_file
from limitcheck.checking.policy_file import KEYS, policy_for
from limitcheck.checking.policy_tables import SettingsTable, read_policy
from limitcheck.findings import Confidence, Recommendation, Severity
from limitcheck.policy import DEFAULT_POLICY, CommandLine, Policy, margins_for
from limitcheck.profile.text import UnreadableProfile
from tests.profiles_for_tests import TEXT, profile_file

POLICY = """\
fail_on = "warning"
exclude = ["archive/*"]

[margins]
high = "30 %"
low_wide = "2 %"

[severity]
low-cutoff-off = "error"
rating-missing = "off"
"""


def test_without_a_file_the_defaults_hold(tmp_path: Path) -> None:
    (tmp_path / ".git").mkdir()
    assert policy_for(tmp_path / "a.toml") == DEFAULT_POLICY


def test_the_nearest_file_upward_holds(tmp_path: Path) -> None:
    deep = tmp_path / "tea" / "rooibos"
    deep.mkdir(parents=True)
    (tmp_path / "limitcheck.toml").write_text(POLICY)
    (tmp_path / "tea" / "limitcheck.toml").write_text('fail_on = "note"\n')
    assert policy_for(deep / "a.toml").fail_on is Severity.NOTE
    assert policy_for(tmp_path / "a.toml").fail_on is Severity.WARNING


def test_what_a_policy_sets(tmp_path: Path) -> None:
    path = tmp_path / "limitcheck.toml"
    path.write_text(POLICY)
    policy = read_policy(path)
    assert policy.margins.high == Fraction(3, 10)
    assert policy.margins.low_wide == Fraction(1, 50)
    assert policy.margins.low == DEFAULT_POLICY.margins.low
    assert [policy.margins.source_of(name) for name in ("high", "low", "low_wide")] == [
        str(path),
        "default",
        str(path),
    ]
    assert policy.sha256 == sha256(POLICY.encode()).hexdigest()
    assert policy.severities == {"low-cutoff-off": Severity.ERROR, "rating-missing": None}
    assert policy.exclude == ("archive/*",)
    assert policy.source == str(path)


def test_pyproject_holds_a_policy_in_its_own_table(tmp_path: Path) -> None:
    pyproject = tmp_path / "pyproject.toml"
    pyproject.write_text('[project]\nname = "x"\n\n[tool.limitcheck]\nfail_on = "warning"\n')
    assert policy_for(tmp_path / "a.toml").fail_on is Severity.WARNING
    other = tmp_path / "other"
    other.mkdir()
    (other / "pyproject.toml").write_text('[project]\nname = "y"\n')
    assert policy_for(other / "a.toml").fail_on is Severity.WARNING


@pytest.mark.parametrize(
    ("text", "line", "says", "advises"),
    [
        ('fail_onn = "error"\n', 1, "unknown key fail_onn", "did you mean fail_on?"),
        ('fail_on = "never"\n', 1, "not one of its values", "error"),
        ("[margins]\nhigh = 0.3\n", 2, "no unit", '"25 %"'),
        ('[margins]\nhigher = "3 %"\n', 2, "unknown key higher", "high"),
        ('[severity]\nlow-cutof-off = "error"\n', 2, "no check", "low-cutoff-off?"),
        ('[severity]\nlow-cutoff-off = "fatal"\n', 2, "not one of its values", "off"),
        ("exclude = 3\n", 1, "a number where a list", "[first, second]"),
        ("fail_on =\n", 1, "value", ""),
    ],
)
def test_errors_name_line_and_correction(
    tmp_path: Path, text: str, line: int, says: str, advises: str
) -> None:
    path = tmp_path / "limitcheck.toml"
    path.write_text(text)
    with pytest.raises(UnreadableProfile) as caught:
        read_policy(path)
    (finding,) = caught.value.findings
    assert finding.location is not None
    assert (finding.location.file, finding.location.line) == (str(path), line)
    assert says in finding.message
    assert advises in finding.advice


def test_errors_in_pyproject_name_their_line(tmp_path: Path) -> None:
    path = tmp_path / "pyproject.toml"
    path.write_text('[project]\nname = "x"\n\n[tool.limitcheck]\nfail_onn = "error"\n')
    with pytest.raises(UnreadableProfile) as caught:
        read_policy(path)
    (finding,) = caught.value.findings
    assert finding.location is not None
    assert finding.location.line == 5


@pytest.mark.parametrize(
    "policy",
    [
        DEFAULT_POLICY,
        Policy(severities={"high-cutoff-above-rating": None}),
        Policy(severities={"high-cutoff-above-rating": Severity.NOTE}),
        Policy(command=CommandLine(only=("unit-confusion",))),
        Policy(command=CommandLine(without=("high-cutoff-above-rating",))),
    ],
)
def test_no_policy_lets_a_correction_pass_a_rating(policy: Policy) -> None:
    file, day = profile_file(), date(2026, 11, 25)
    wrong = Recommendation(("cutoffs", "high"), "420", "bar", "slip", Confidence.CERTAIN)
    with pytest.raises(NotFixed, match="would bring another finding: The high cutoff"):
        rewrite(file, check_file(file, policy, day), [wrong], policy, day)


def test_a_profile_may_set_its_own_margins() -> None:
    own = profile_file().profile
    assert margins_for(own, DEFAULT_POLICY) is DEFAULT_POLICY.margins
    from limitcheck.profile.load import load_bytes

    text = TEXT + '\n[margins]\nhigh = "40 %"\n'
    margins = margins_for(load_bytes(text.encode(), "a.toml").profile, DEFAULT_POLICY)
    assert margins.high == Fraction(2, 5)
    assert margins.source_of("high") == "profile"
    assert margins.source_of("low") == "default"


def test_the_keys_that_are_looked_for_are_those_of_the_tables() -> None:
    assert set(KEYS) == set(SettingsTable.model_fields)

"""Margins out of which no cutoff comes: refused where they stand, with their range."""

from __future__ import annotations

from pathlib import Path

import pytest

from limitcheck.checking.policy_file import forget_policies, policy_for
from limitcheck.profile.load import load_bytes
from limitcheck.profile.text import UnreadableProfile

from ..profiles_for_tests import text

_BELOW = "write a percentage above 0 %, below 100 %"
_ABOVE = "write a percentage above 0 %"
_ZERO_TOO = "write a percentage of 0 % or more, below 100 %"
_OF_A_PROFILE = [
    ("headroom", "100 %", _ZERO_TOO),
    ("headroom", "200 %", _ZERO_TOO),
    ("low", "0 %", _BELOW),
    ("low", "100 %", _BELOW),
    ("low", "200 %", _BELOW),
    ("high", "0 %", _ABOVE),
    ("headroom", "-5 %", _ZERO_TOO),
    ("low", "-5 %", _BELOW),
    ("high", "-5 %", _ABOVE),
]
_OF_A_POLICY = [
    *_OF_A_PROFILE,
    ("high_wide", "0 %", _ABOVE),
    ("low_thin", "100 %", _BELOW),
    ("low_wide", "100 %", _ZERO_TOO),
]


def _told(caught: pytest.ExceptionInfo[UnreadableProfile]) -> tuple[str, str, int, int]:
    (finding,) = caught.value.findings
    assert finding.location is not None
    return finding.message, finding.advice, finding.location.line, finding.location.column


@pytest.mark.parametrize(("key", "value", "advice"), _OF_A_PROFILE)
def test_in_a_profile(key: str, value: str, advice: str) -> None:
    given = f'{text()}\n[margins]\n{key} = "{value}"\n'
    with pytest.raises(UnreadableProfile) as caught:
        load_bytes(given.encode(), "tea.toml")
    message = f'margins.{key}: "{value}" is out of its range'
    assert _told(caught) == (message, advice, given.count("\n"), len(key) + 4)


@pytest.mark.parametrize(("key", "value", "advice"), _OF_A_POLICY)
@pytest.mark.parametrize("table", ["", "tool.limitcheck."])
def test_in_a_policy(tmp_path: Path, table: str, key: str, value: str, advice: str) -> None:
    name = "pyproject.toml" if table else "limitcheck.toml"
    (tmp_path / name).write_text(f'[{table}margins]\n{key} = "{value}"\n', encoding="utf-8")
    forget_policies()
    with pytest.raises(UnreadableProfile) as caught:
        policy_for(tmp_path / "tea.toml")
    message = f'margins.{key}: "{value}" is out of its range'
    assert _told(caught) == (message, advice, 2, len(key) + 4)


@pytest.mark.parametrize(
    ("key", "value"), [("headroom", "0 %"), ("low", "99 %"), ("high", "200 %"), ("high", "0.1 %")]
)
def test_what_leaves_something_is_read(key: str, value: str) -> None:
    profile = load_bytes(f'{text()}\n[margins]\n{key} = "{value}"\n'.encode(), "tea.toml").profile
    assert str(getattr(profile.margins, key)) == value

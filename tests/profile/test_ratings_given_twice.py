"""Two ratings at one flow or temperature: refused at the second, whichever comes first."""

from __future__ import annotations

from pathlib import Path

import pytest

from limitcheck.findings import Finding
from limitcheck.profile.load import load
from limitcheck.profile.text import UnreadableProfile
from tests.profile import lab
from tests.profile.test_load import WHOLE, errors, loaded

_GIVEN = (
    'rating_at_flow = [{flow = "5 mL/min", rating = "400 bar"}, '
    '{flow = "10 mL/min", rating = "200 bar"}]'
)


def _listed(key: str, *lines: tuple[str, str]) -> str:
    points = (f'{{{key} = "{at}", rating = "{rating}"}}' for at, rating in lines)
    return f"rating_at_{key} = [{', '.join(points)}]"


def _told(finding: Finding) -> tuple[str, str]:
    """What is said, and the value it stands at."""
    at = finding.location
    assert at is not None
    assert at.source_line is not None
    return finding.message.partition(": ")[2], at.source_line[at.column - 1 : at.end_column - 1]


@pytest.mark.parametrize(
    ("key", "first", "second", "also"),
    [
        ("flow", "5 mL/min", "5 mL/min", ""),
        ("flow", "1.0 mL/min", "1.00 mL/min", ", which is 1.0 mL/min"),
        ("flow", "1 mL/min", "1000 uL/min", ", which is 1 mL/min"),
        ("temperature", "40 degC", "40 degC", ""),
        ("temperature", "40 degC", "104 degF", ", which is 40 degC"),
        ("temperature", "104 degF", "40 degC", ", which is 104 degF"),
    ],
)
@pytest.mark.parametrize("ratings", [("400 bar", "200 bar"), ("200 bar", "400 bar")])
def test_the_order_of_two_decides_nothing(
    key: str, first: str, second: str, also: str, ratings: tuple[str, str]
) -> None:
    lines = (first, ratings[0]), (second, ratings[1])
    (finding,) = errors(WHOLE.replace(_GIVEN, _listed(key, *lines)))
    assert _told(finding) == (
        f"a second rating at {second}{also}: {ratings[0]}, then {ratings[1]}",
        f'"{second}"',
    )
    assert finding.advice == f"give each {key} once: keep the rating that the maker states there"
    assert finding.location is not None
    assert finding.location.line == WHOLE[: WHOLE.index(_GIVEN)].count("\n") + 1


@pytest.mark.parametrize("rating", ["200 bar", "20 MPa"])
def test_the_same_one_twice_is_refused_too(rating: str) -> None:
    lines = ("5 mL/min", "200 bar"), ("5 mL/min", rating)
    (finding,) = errors(WHOLE.replace(_GIVEN, _listed("flow", *lines)))
    assert finding.advice == "give each flow once: remove one of the two"


def test_every_further_one_is_told() -> None:
    lines = [("5 mL/min", rating) for rating in ("400 bar", "200 bar", "300 bar")]
    found = errors(WHOLE.replace(_GIVEN, _listed("flow", *lines)))
    assert [_told(finding)[0] for finding in found] == [
        "a second rating at 5 mL/min: 400 bar, then 200 bar",
        "a second rating at 5 mL/min: 400 bar, then 300 bar",
    ]


def test_of_two_lists_each_may_have_what_the_other_has() -> None:
    lists = (
        _listed("flow", ("5 mL/min", "400 bar"), ("5.01 mL/min", "200 bar")),
        _listed("temperature", ("40 degC", "400 bar"), ("41 degC", "200 bar")),
    )
    assert loaded(WHOLE.replace(_GIVEN, "\n".join(lists))).flow_path


def test_in_a_description_it_is_shown_there(tmp_path: Path) -> None:
    path = lab.build(tmp_path) / "methods" / "tea.toml"
    described = tmp_path / "instruments" / "kb.toml"
    twice = _listed("flow", ("5 mL/min", "400 bar"), ("5 mL/min", "200 bar"))
    described.write_text(lab.INSTRUMENT.replace(_GIVEN, twice), encoding="utf-8")
    with pytest.raises(UnreadableProfile) as caught:
        load(path)
    (finding,) = caught.value.findings
    assert finding.location is not None
    assert (Path(finding.location.file).name, finding.location.line) == ("kb.toml", 9)
    assert _told(finding)[1] == '"5 mL/min"'

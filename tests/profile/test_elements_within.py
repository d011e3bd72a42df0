"""Points of the ratings within a part are added, taken out and exchanged, however written."""

from __future__ import annotations

from typing import Any

import pytest

from limitcheck.findings import KeyPath
from limitcheck.profile.elements import add, exchange, take_out
from limitcheck.profile.toml import parse

LIST: KeyPath = ("flow_path", 1, "rating_at_flow")
BEFORE = 'format = 1\n\n[[flow_path]]\npart = "pump"\n\n'
AFTER = '\n# the column\n[[flow_path]]\npart = "column"\n'
ONE, TWO = ('{ flow = "5 mL/min", rating = "9 bar" }', "{ flow = '10 mL/min', rating = '4 bar' }")
SPELLINGS = {
    "one line": f"rating_at_flow = [{ONE}, {TWO}]  # from the sheet",
    "lines": f"rating_at_flow = [  # from the sheet\n  {ONE},  # low\n  # high\n  {TWO}\n]",
    "lines with commas": f"rating_at_flow = [\n\t{ONE},\n\n\t{TWO},\n]\nlabel = 'x'",
    "tables": (
        '[[flow_path.rating_at_flow]]  # low\nflow = "5 mL/min"\nrating = "9 bar"\n\n'
        "[[flow_path.rating_at_flow]]\nflow = '10 mL/min'\nrating = '4 bar'  # high\n"
        "[flow_path.resistance_at]\npressure = '1 bar'"
    ),
    "indented tables": (
        '  [[ flow_path . "rating_at_flow" ]]\n  flow = "5 mL/min"\n  rating = "9 bar"\n'
        "  [[flow_path.rating_at_flow]]\n  flow = '10 mL/min'\n  rating = '4 bar'"
    ),
}
NEWLINES = ["\n", "\r\n"]


def part(spelling: str, newline: str) -> str:
    text = f'{BEFORE}[[flow_path]]\npart = "fitting"\n{SPELLINGS[spelling]}\n{AFTER}'
    return text.replace("\n", newline)


def points(text: str) -> list[Any]:
    value: list[Any] = parse(text)["flow_path"][1].get("rating_at_flow", [])
    return value


@pytest.mark.parametrize("newline", NEWLINES)
@pytest.mark.parametrize("spelling", SPELLINGS)
def test_a_point_is_added_and_taken_out_again(spelling: str, newline: str) -> None:
    text = part(spelling, newline)
    low, high = points(text)
    for place in (1, 2):
        done = add(text, LIST, place)
        assert points(done.text) == [*[low, high][:place], {}, *[low, high][place:]]
        assert take_out(done.text, (*LIST, place)).text == text


@pytest.mark.parametrize("newline", NEWLINES)
@pytest.mark.parametrize("spelling", SPELLINGS)
def test_points_change_places_and_back(spelling: str, newline: str) -> None:
    text = part(spelling, newline)
    low, high = points(text)
    done = exchange(text, (*LIST, 0))
    assert points(done.text) == [high, low]
    assert sorted(done.text) == sorted(text)
    assert exchange(done.text, (*LIST, 0)).text == text


@pytest.mark.parametrize("newline", NEWLINES)
@pytest.mark.parametrize("spelling", SPELLINGS)
def test_the_list_goes_with_its_last_point(spelling: str, newline: str) -> None:
    text = part(spelling, newline)
    low, high = points(text)
    one = take_out(text, (*LIST, 0)).text
    assert points(one) == [high]
    assert points(take_out(text, (*LIST, 1)).text) == [low]
    none = take_out(one, (*LIST, 0)).text
    assert points(none) == []
    # A comment of the list, not of a point, stays as a line of its own.
    assert "rating_at_flow" not in none
    kept = {"one line": "# from the sheet\n", "lines": "# from the sheet\n# high\n"}
    assert kept.get(spelling, "").replace("\n", newline) in none
    before, after = (piece.replace("\n", newline) for piece in (BEFORE, AFTER))
    assert none.startswith(before)
    assert none.endswith(after)


INLINE = "flow_path = [{part = 'pump'}, {part = 'fitting'}, {part = 'column'}]\n"
DOTTED = "[[flow_path]]\npart='pump'\n[[flow_path]]\npart = 'fitting'\n[flow_path.resistance_at]\n"


@pytest.mark.parametrize(
    ("text", "begun"),
    [
        (INLINE, "{part = 'fitting', rating_at_flow = [{}]}"),
        (DOTTED, "part = 'fitting'\nrating_at_flow = [{}]\n[flow_path.resistance_at]\n"),
    ],
)
def test_a_list_is_begun_within_its_part(text: str, begun: str) -> None:
    done = add(text, LIST, 0)
    assert begun in done.text
    assert points(done.text) == [{}]
    assert take_out(done.text, (*LIST, 0)).text == text


COMMENTED = """\
[[flow_path]]
part = "fitting"
rating_at_flow = [
  # above the first
  { flow = "1 mL/min" },  # beside the first
  # above the second
  { flow = "2 mL/min" },  # beside the second
]
"""


@pytest.mark.parametrize("index", [0, 1])
def test_every_comment_beside_what_is_taken_out_is_told(index: int) -> None:
    done = take_out(COMMENTED, ("flow_path", 0, "rating_at_flow", index))
    name = ("first", "second")[index]
    assert (done.along, done.left) == ((f"# beside the {name}",), (f"# above the {name}",))
    assert done.left[0] in done.text
    assert done.along[0] not in done.text


def test_every_comment_beside_what_is_moved_is_told() -> None:
    done = exchange(COMMENTED, ("flow_path", 0, "rating_at_flow", 0))
    assert done.along == ("# beside the first", "# beside the second")
    assert done.left == ("# above the first", "# above the second")
    places = [done.text.index(comment) for comment in (done.left[0], done.along[1], done.left[1])]
    assert places == sorted(places)

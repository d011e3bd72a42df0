"""Parts, points and pairs are added, taken out and exchanged; the rest keeps every byte."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from itertools import count
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from limitcheck.findings import KeyPath
from limitcheck.profile.element_places import comments, piece_at
from limitcheck.profile.elements import add, exchange, take_out
from limitcheck.profile.places import Source
from limitcheck.profile.starting import starting_profiles
from limitcheck.profile.toml import BOM, STRING, TomlError, parse
from limitcheck.profile.write import ChangeRefused

from ..profiles_for_tests import WITH_GEOMETRY

EXAMPLES = Path(__file__).parents[2] / "examples"
PARTS: KeyPath = ("flow_path",)
POINTS: KeyPath = ("conditions", "gradient")
LISTS = (PARTS, POINTS, ("measured",))
COMMENT = re.compile(rf"{STRING}|(?P<comment>#[^\r\n]*)", re.DOTALL)


def elements(text: str) -> Iterator[KeyPath]:
    for path in LISTS:
        for index in range(len(values(text, path))):
            yield (*path, index)


def values(text: str, path: KeyPath) -> Any:
    value: Any = parse(text)
    for step in path:
        value = value.get(step, {})
    return value or []


BLANK = st.sampled_from(["", "", "\n", "\n\n", " \n", "# loose\n\n", "\n# two\n# lines\n", "# c\n"])
REMARK = st.sampled_from(["", "", '  # it\'s a "remark"', " #"])
PAIR = st.sampled_from(
    ['bore = "1 mm"', "x = '''\n# no comment\n\n'''", 'd.a = "#"', "t = { a = [1,\n# in\n2] }"]
)


@st.composite
def headed(draw: st.DrawFn, name: str) -> str:
    lines = [f"{draw(BLANK)}[[{name}]]{draw(REMARK)}\n"]
    pairs = draw(st.lists(PAIR, max_size=2, unique=True))
    lines += [f"{draw(BLANK)}{pair}{draw(REMARK)}\n" for pair in pairs]
    if draw(st.booleans()):
        lines.append(f"{draw(BLANK)}[{name}.below]{draw(REMARK)}\nq = 1\n{draw(BLANK)}")
    return "".join(lines)


@st.composite
def inline(draw: st.DrawFn) -> str:
    items = [f"{{ minute = {n} }}" for n in range(draw(st.integers(0, 4)))]
    if draw(st.booleans()):
        lines = [
            f"  {item}{',' * (n < len(items) - 1 or draw(st.booleans()))}{draw(REMARK)}\n"
            + draw(st.sampled_from(["", "", "# between\n", "\n"]))
            for n, item in enumerate(items)
        ]
        return f"[{draw(REMARK)}\n{''.join(lines)}]"
    comma = draw(
        st.sampled_from([", ", ",", " ,\n  ", ", # why\n", "  # why\n, ", "\n# why\n, # so\n  "])
    )
    if draw(st.booleans()):
        return f"[\n  {comma.join(items)}{draw(st.sampled_from(['', ',', '  # end']))}\n]"
    return f"[{comma.join(items)}{draw(st.sampled_from(['', ' ', ',']))}]"


@st.composite
def texts(draw: st.DrawFn) -> str:
    tables = [draw(headed("flow_path")) for _ in range(draw(st.integers(0, 4)))]
    kind = draw(st.sampled_from(["inline", "dotted", "headed", "braces", "none"]))
    first = draw(BLANK) + draw(st.sampled_from(["format = 1\n", ""]))
    if kind == "dotted":
        first += f"conditions.gradient = {draw(inline())}{draw(REMARK)}\n"
    elif kind == "braces":
        first += draw(
            st.sampled_from(
                [
                    "conditions = { flow = 1, gradient = [{ minute = 0 }, {}] }  # at the bench\n",
                    "conditions = { gradient = [{}] }  # at the bench\n",
                    "conditions = {gradient = [{}], flow = 1} # at the bench\n",
                    "conditions = {gradient = [{ t = [1, # in\n] }] } # at the bench\n",
                ]
            )
        )
    elif kind == "inline":
        gradient = f"{draw(BLANK)}[conditions]\ngradient = {draw(inline())}{draw(REMARK)}\n"
        tables.insert(draw(st.integers(0, len(tables))), gradient)
    elif kind == "headed":
        tables += [draw(headed("conditions.gradient")) for _ in range(draw(st.integers(1, 3)))]
    tables += [draw(headed("measured")) for _ in range(draw(st.integers(0, 2)))]
    text = first + "".join(tables) + draw(BLANK)
    if draw(st.booleans()):
        text = text.replace("\n", "\r\n", draw(st.sampled_from([-1, 3])))
    if draw(st.booleans()):
        text = text.rstrip("\r\n")
    try:
        parse(text)
    except TomlError:
        assume(False)
    return draw(st.sampled_from(["", BOM])) + text


@settings(max_examples=300)
@given(texts(), st.sampled_from(LISTS), st.data())
def test_added_then_taken_out_is_the_same(text: str, path: KeyPath, data: st.DataObject) -> None:
    before = values(text, path)
    assume(text.removeprefix(BOM).strip())
    assume(before or not re.search(r"gradient = \[", text) or path != POINTS)  # [] goes, too
    index = data.draw(st.integers(1, len(before))) if before else 0
    try:
        added = add(text, path, index)
    except ChangeRefused:
        return
    assert values(added.text, path) == [*before[:index], {}, *before[index:]]
    assert take_out(added.text, (*path, index)) == (
        text,
        (),
        take_out(added.text, (*path, index)).left,
    )


@settings(max_examples=300)
@given(texts(), st.data())
def test_moved_there_and_back_is_the_same(text: str, data: st.DataObject) -> None:
    there = [path for path in elements(text) if path[-1] + 1 < len(values(text, path[:-1]))]
    assume(there)
    path = data.draw(st.sampled_from(there))
    try:
        moved = exchange(text, path)
    except ChangeRefused:
        return
    before, after = values(text, path[:-1]), values(moved.text, path[:-1])
    at = int(path[-1])
    assert after == [*before[:at], before[at + 1], before[at], *before[at + 2 :]]
    assert sorted(moved.text) == sorted(text)
    assert exchange(moved.text, path).text == text


@settings(max_examples=300)
@given(texts(), st.data())
def test_taking_out_leaves_the_others(text: str, data: st.DataObject) -> None:
    there = list(elements(text))
    assume(there)
    path = data.draw(st.sampled_from(there))
    try:
        done = take_out(text, path)
    except ChangeRefused:
        return
    before = values(text, path[:-1])
    at = int(path[-1])
    assert values(done.text, path[:-1]) == [*before[:at], *before[at + 1 :]]
    if path[:-1] == PARTS:  # whole lines go
        was = iter(text.removeprefix(BOM).splitlines())
        left = [line for line in done.text.removeprefix(BOM).splitlines() if line.strip()]
        assert all(line in was for line in left)
    # What is told of comments is what happened to them.
    there, after = Counter(comments(text)), Counter(comments(done.text))
    assert Counter(done.along) == there - after
    assert not after - there
    assert not Counter(done.left) - after


@settings(max_examples=300)
@given(texts(), st.data())
def test_comments_told_as_moved_are_moved_and_no_others(text: str, data: st.DataObject) -> None:
    text = with_own_names(text)
    there = [path for path in elements(text) if path[-1] + 1 < len(values(text, path[:-1]))]
    assume(there)
    path = data.draw(st.sampled_from(there))
    one, other = values(text, path[:-1])[path[-1] : path[-1] + 2]
    assume(one != other)
    try:
        moved = exchange(text, path)
    except ChangeRefused:
        return
    before, after = (order(each, path) for each in (text, moved.text))
    left, along = ({0, 1, *told} for told in (moved.left, moved.along))
    assert [one for one in after if one in left] == [one for one in before if one in left]
    own = [one for one in before if one in along]
    between = range(own.index(0) + 1, own.index(1) + 1)
    places = {0: 1, 1: 0}
    assert [places.get(one, one) for one in after if one in along] in [
        own[split:] + own[:split] for split in between
    ]


def with_own_names(text: str) -> str:
    """The text with comments that all differ."""
    number = count()
    return COMMENT.sub(lambda m: f"# {next(number)}" if m["comment"] else m[0], text)


def order(text: str, path: KeyPath) -> list[str | int]:
    """The comments outside of an element and the next one, and 0 and 1 where those stand."""
    source, found = Source(text), []
    after = (*path[:-1], int(path[-1]) + 1)
    for name, at in enumerate((path, after)):
        span = source.value_span(at)
        piece = None if span else piece_at(text, source, at)
        found.append((*((span.start, span.end) if span else (piece.core, piece.core_end)), name))
    tokens: list[tuple[int, str | int]] = [(start, name) for start, _, name in found]
    for match in COMMENT.finditer(text):
        inside = any(start <= match.start() < end for start, end, _ in found)
        if match["comment"] and not inside:
            tokens.append((match.start(), match["comment"]))
    return [token for _, token in sorted(tokens, key=lambda token: token[0])]


WRITTEN = {
    "geometry": WITH_GEOMETRY,
    "crlf": WITH_GEOMETRY.replace("\n", "\r\n"),
    **{name: path.read_text("utf-8") for name, path in starting_profiles().items()},
    **{path.stem: path.read_text("utf-8") for path in EXAMPLES.rglob("*.toml")},
}


@pytest.mark.parametrize("name", WRITTEN)
def test_no_table_that_people_wrote_is_refused(name: str) -> None:
    text = WRITTEN[name]
    for *path, index in elements(text):
        at = (*path, index)
        count = len(values(text, tuple(path)))
        added = add(text, tuple(path), int(index) + 1).text
        assert take_out(added, (*path, int(index) + 1)).text == text
        assert (
            len(values(take_out(text, at).text, tuple(path))) == len(values(text, tuple(path))) - 1
        )
        if int(index) + 1 < count:
            assert exchange(exchange(text, at).text, at).text == text


APART = """\
#:schema ./x.json
# About the file.

# Hardware, from the plates.

# its own
[[flow_path]]  # first
part = "pump"
# rating = "400 bar"

[[flow_path]]
part = "mixer"
# of which?
[[flow_path]]
part = "column"
[flow_path.certificate]
pressure = "80 bar"

[conditions]
gradient = [
  { minute = 0, percent_b = 5 },  # start
  # in between
  { minute = 9, percent_b = 95 }  # end
] # by hand
"""


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_a_part_goes_with_the_comments_that_are_its_own(newline: str) -> None:
    text = APART.replace("\n", newline)
    done = take_out(text, ("flow_path", 0))
    assert done.along == ("# its own", "# first", '# rating = "400 bar"')
    assert done.left == ()
    start = APART.index("\n# its own")
    gone = APART[start : APART.index('\n[[flow_path]]\npart = "mixer"')]
    assert done.text == APART.replace(gone, "").replace("\n", newline)
    done = take_out(text, ("flow_path", 1))
    assert (done.along, done.left) == ((), ("# of which?",))
    assert done.text == APART.replace('\n\n[[flow_path]]\npart = "mixer"', "").replace(
        "\n", newline
    )


def test_a_moved_part_takes_its_own_comments_and_tables() -> None:
    clear = APART.replace("# of which?", "")
    down = exchange(clear, ("flow_path", 0))
    assert (down.along, down.left) == (("# its own", '# rating = "400 bar"'), ())
    pump = '# its own\n[[flow_path]]  # first\npart = "pump"\n# rating = "400 bar"'
    mixer = '[[flow_path]]\npart = "mixer"'
    assert down.text == clear.replace(pump, "-").replace(mixer, pump).replace("-", mixer, 1)
    last = exchange(clear, ("flow_path", 1)).text
    assert f'[flow_path.certificate]\npressure = "80 bar"\n\n{mixer}' in last


def test_comments_that_would_run_into_others_stay_and_are_told() -> None:
    down = exchange(APART, ("flow_path", 0))
    assert down.left == ("# of which?", "# its own", '# rating = "400 bar"')
    assert down.along == ()
    assert '# its own\n[[flow_path]]\npart = "mixer"' in down.text


def test_points_keep_their_remarks_and_lists_their_shape() -> None:
    moved = exchange(APART, (*POINTS, 0))
    assert "  { minute = 9, percent_b = 95 },  # end\n  # in between\n" in moved.text
    assert "  { minute = 0, percent_b = 5 }  # start\n] # by hand" in moved.text
    assert (moved.along, moved.left) == (("# start", "# end"), ("# in between",))
    more = add(APART, POINTS, 2).text
    assert "percent_b = 95 },  # end\n  {}\n] # by hand" in more
    only = take_out(APART, (*POINTS, 1))
    assert only.text.endswith("percent_b = 5 }  # start\n  # in between\n] # by hand\n")
    none = take_out(only.text, (*POINTS, 0))
    assert none.text.endswith("[conditions]\n# in between\n# by hand\n")
    assert none.left == ("# in between", "# by hand")
    assert add("[conditions]\r\nflow = 1\r\n", POINTS, 0).text.endswith("\r\ngradient = [{}]\r\n")


@pytest.mark.parametrize(
    ("text", "left_of_it", "along", "left"),
    [
        ("conditions = { gradient = [{}] } # x\n", "conditions = {} # x\n", (), ()),
        ("conditions = {gradient = [{}], a = 1} # x\n", "conditions = {a = 1} # x\n", (), ()),
        ("[conditions]\ngradient = [{}] # x\n", "[conditions]\n# x\n", (), ("# x",)),
        (
            "[conditions]\r\n\tgradient = [{ a = [1, # in\r\n] }] # x\r\n",
            "[conditions]\r\n\t# x\r\n",
            ("# in",),
            ("# x",),
        ),
        ("\ufeffconditions.gradient = [{}, # x\n# x\n]", "\ufeff# x\n# x", (), ("# x", "# x")),
        (
            "conditions = { gradient = [{}, # x\n] } # y\n",
            "conditions = { gradient = [ # x\n] } # y\n",
            (),
            ("# x",),
        ),
    ],
)
def test_what_is_told_of_a_comment_is_what_became_of_it(
    text: str, left_of_it: str, along: tuple[str, ...], left: tuple[str, ...]
) -> None:
    assert take_out(text, (*POINTS, 0)) == (left_of_it, along, left)


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
@pytest.mark.parametrize("between", ["  # why\n, ", "\n# why\n  , # so\n  ", "\n\n,"])
def test_a_comma_may_stand_on_a_later_line(between: str, newline: str) -> None:
    items = ["{ minute = 0 }", "{ minute = 1 }", "{ minute = 2 }"]
    text = f"conditions.gradient = [\n  {between.join(items)} # end\n]\n".replace("\n", newline)
    for place in (1, 2, 3):
        added = add(text, POINTS, place).text
        assert len(values(added, POINTS)) == 4
        assert take_out(added, (*POINTS, place)).text == text
    for place in (0, 1, 2):
        minutes = [
            point["minute"] for point in values(take_out(text, (*POINTS, place)).text, POINTS)
        ]
        assert minutes == [n for n in range(3) if n != place]


@pytest.mark.parametrize(
    ("text", "path", "index"),
    [
        ("", PARTS, 1),
        ("flow_path = 3", PARTS, 0),
        ("flow_path = [1]", PARTS, 1),
        ("conditions = 'x'", POINTS, 0),
        ("[[", PARTS, 0),
        ("[[flow_path]]\n[method]\n[flow_path.certificate]\n", PARTS, 1),
    ],
)
def test_what_cannot_be_done_is_refused(text: str, path: KeyPath, index: int) -> None:
    with pytest.raises(ChangeRefused):
        add(text, path, index)
    for change in (take_out, exchange):
        with pytest.raises(ChangeRefused):
            change(text, (*path, index))


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_a_comment_before_a_comma_further_down_keeps_its_line(newline: str) -> None:
    text = "gradient = [\n  { minute = 0 }\n  # why\n  , { minute = 1 }\n]\n"
    text = f"[conditions]\n{text}".replace("\n", newline)
    left = "[conditions]\ngradient = [\n  # why\n   { minute = 1 }\n]\n".replace("\n", newline)
    assert take_out(text, (*POINTS, 0)).text == left


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", BOM])
def test_a_table_at_the_top_leaves_no_blank_lines(mark: str, newline: str) -> None:
    text = mark + "[[measured]]\na = 1\n\n\n[b]\n".replace("\n", newline)
    assert take_out(text, ("measured", 0)).text == f"{mark}[b]{newline}"


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
@pytest.mark.parametrize("comma", ["", ","])
def test_a_new_line_of_a_list_ends_as_the_others(comma: str, newline: str) -> None:
    text = f"conditions.gradient = [\n  {{ a = 1 }}{comma}  # x\n]\n".replace("\n", newline)
    new = f"[\n  {{ a = 1 }},  # x\n  {{}}{comma}\n]\n".replace("\n", newline)
    assert add(text, POINTS, 1).text == f"conditions.gradient = {new}"

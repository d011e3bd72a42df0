"""Values of TOML text and their places, compared with the standard library's `tomllib`."""

from __future__ import annotations

import re
import tomllib
from decimal import Decimal
from random import Random
from types import ModuleType
from typing import Any

import pytest
import tomli_w
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.profile import places, toml
from limitcheck.profile.toml import DEPTH_LIMIT, TomlError, parse

from .documents import DATA, StyledWriter, holds_every_value, oracle, same, sorted_keys


@given(DATA, st.randoms(use_true_random=False))
def test_every_style_is_read_and_placed(data: dict[str, Any], random: Random) -> None:
    text = StyledWriter(random).write(data)
    assert same(sorted_keys(parse(text)), sorted_keys(oracle(text)))
    holds_every_value(text)


@given(DATA)
def test_what_tomli_w_writes_is_read_and_placed(data: dict[str, Any]) -> None:
    text = tomli_w.dumps(data, multiline_strings=True)
    assert same(sorted_keys(parse(text)), sorted_keys(oracle(text)))
    holds_every_value(text)


@given(DATA, st.randoms(use_true_random=False), st.data())
def test_a_damaged_text_is_refused_where_tomllib_refuses(
    data: dict[str, Any], random: Random, choose: st.DataObject
) -> None:
    text = StyledWriter(random).write(data)
    at = choose.draw(st.integers(0, len(text)))
    damaged = text[:at] + choose.draw(st.sampled_from("\"[]={'#,x"))
    damaged += text[at:]
    try:
        expected = oracle(damaged)
    except tomllib.TOMLDecodeError:
        with pytest.raises(TomlError) as refusal:
            parse(damaged)
        lines = damaged.removeprefix("\ufeff").split("\n")
        assert 1 <= refusal.value.line <= len(lines)
        assert 1 <= refusal.value.column <= len(lines[refusal.value.line - 1]) + 1
    else:
        assert same(sorted_keys(parse(damaged)), sorted_keys(expected))


HARD = {
    "quotes inside the closing run": 'a = """x""""\nb = """"""\nc = \'\'\'y\'\'\'\'\'\nd = 1\n',
    "line end trimmed by a backslash": 'a = """one \\\n\n  two"""\nb = 2\n',
    "comment signs and brackets in text": "a = '[#]' # ' \nb = [ '#', \"]\", '''}''' ]\n",
    "dates with a space or a letter": "a = 1979-05-27 07:32:00.5-07:00\nb = 1979-05-27T07:32:00Z\n"
    "c = 1979-05-27 # 07:32:00\nd = 07:32:00\ne = [1979-05-27 , 1979-05-27 07:32:00]\n",
    "a key that looks like a number": "3.14 = 1\n[5.6]\n7 = 8.9\n",
    "tables in tables in lists": "[[f]]\n[f.s]\na=1\n[[f.g]]\nb=2\n[[f.g]]\nb=3\n[[f]]\n"
    "[[f.g]]\nb=4\n",
    "header after a dotted key": "a.b.c = 1\na.b.d = 2\n[e]\na.b = 3\n[e.f]\na = 4\n",
    "an escape in a key": '"\\u0061\\t".b = 1\n["\\u0062"]\nc = 2\n',
    "no line end at the end": "a = 1\nb = [\n1, # one\n2 # two\n]",
    "a mark and old line ends": "\ufeffa = 1\r\n\r\n[t] # x\r\nb = '''\r\nx\r\n'''\r\nc = 2\r\n",
    "numbers of every kind": "a = 0xDEAD_beef\nb = 0o17\nc = 0b1_0\nd = 1_000.5e-3\n"
    "e = -0.0\nf = 6e3\n",
    "wide characters before a value": '"é𝄞" = ["é𝄞", 2]\n',
}


@pytest.mark.parametrize("text", HARD.values(), ids=HARD.keys())
def test_hard_cases(text: str) -> None:
    assert same(parse(text), oracle(text))
    holds_every_value(text)


@pytest.mark.parametrize("special", ["inf", "-inf", "nan", "+inf", "1e999"])
def test_special_numbers_pass_to_the_model(special: str) -> None:
    assert same(parse(f"a = {special}")["a"], Decimal(special))


REFUSED = [
    ("high = 400 bar\n", 1, 8, "expected a value, not '400'", 'rating = "400 bar"'),
    ("a = 1\nhigh = 5,5\n", 2, 9, "did not expect ','", "key = value"),
    ("a = 'é' x\n", 1, 9, "did not expect 'x'", "key = value"),
    ("a = 1\na = 2\n", 2, 1, "'a' is given twice", "keep one"),
    ("[a]\r\n[a]\r\n", 2, 2, "'a' is given twice", "keep one"),
    ("low\n", 1, 4, "a key without =", "key = value"),
    ("\n\na = {b = 1,\nc = 2}", 3, 12, "inside {...}", "one line"),
    ("a = 007", 1, 5, "not a number", "plain number"),
    ("a = {b = 1", 1, 11, "a {...} that never ends", "one line"),
    ("a = 2027-02-30", 1, 5, "not a date: '2027-02-30'", "2027-06-30"),
    ("a = True", 1, 5, "not 'True'", "small letters"),
    ('a = "x', 1, 7, "does not end on its line", "double quote"),
    ('a = "C:\\x"', 1, 9, "backslash", "single quotes"),
    ("a = [1, 2\nb = 3", 2, 1, "comma or ]", "close it with ]"),
    ("a = 1\rb = 2", 1, 7, "carriage return", "line feed"),
    ("a.b = 1\na.b.c = 2", 2, 3, "already has a value", "keep one"),
    ("[a\n", 1, 3, "not closed", "[cutoffs]"),
    ("é = 1", 1, 1, "a key cannot hold 'é'", "letters"),
    ("\ufeffa = é", 1, 5, "expected a value, not 'é'", "double quotes"),
    ("a = '\ud800'", 1, 6, "half of a pair", "UTF-8"),
    ("a = 1\nb = " + "9" * 5000, 2, 5, "too many digits", "digits it needs"),
    ("b = 0x" + "f" * 5000, 1, 7, "too many digits", "digits it needs"),
]


@pytest.mark.parametrize(("text", "line", "column", "message", "advice"), REFUSED)
def test_refusals_name_the_place_and_the_remedy(
    text: str, line: int, column: int, message: str, advice: str
) -> None:
    with pytest.raises(TomlError) as refusal:
        parse(text)
    assert (refusal.value.line, refusal.value.column) == (line, column)
    assert message in refusal.value.message
    assert advice in refusal.value.advice


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 10_000 + "]" * 10_000,
        "a = " + "{a = " * 10_000,
        "a" + ".a" * 10_000 + " = 1",
        "[a" + " . a" * 10_000 + "]",
        "x = '''y\n'''\nb = " + "[{c = " * 10_000,
        'x = "y\nb = ' + "[" * 10_000,
    ],
)
def test_deep_nesting_is_refused_before_the_parser_sees_it(text: str) -> None:
    with pytest.raises(TomlError, match="levels deep"):
        parse(text)


def test_depth_is_counted_exactly() -> None:
    wide = "w = [" + "{a.b = 0.5, c = '[[[...'}, # [[[\n" * 1000 + "]\n"
    deepest = "d = " + "[" * DEPTH_LIMIT + "]" * DEPTH_LIMIT
    assert same(parse(wide + deepest), oracle(wide + deepest))
    with pytest.raises(TomlError, match="levels deep"):
        parse(wide + deepest.replace("[", "[[", 1))


def test_long_text_is_no_long_number() -> None:
    text = f"a = '{'9' * 5000}'\nb = [1, {{c = 2}}]"
    assert same(parse(text), oracle(text))


@pytest.mark.parametrize("module", [places, toml])
def test_no_group_is_possessive(module: ModuleType) -> None:
    """Python before 3.11.5 matches those wrongly (cpython issue 106052)."""
    held = vars(module).values()
    patterns = [getattr(value, "pattern", value) for value in held]
    patterns = [text for text in patterns if isinstance(text, str)]
    assert any("(?:" in text for text in patterns)
    assert not [pattern for pattern in patterns if re.search(r"\)[*+?}]\+", pattern)]

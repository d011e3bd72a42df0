"""What a text says of the terminal, a screen says of itself."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import escape
from pathlib import Path

import pytest

from limitcheck.cli.app import run
from limitcheck.page.addresses import keeping
from limitcheck.page.onward import FIELDS, in_words_of_the_page

from .server import Client

AT = keeping("a b.toml")
SOURCES = Path(__file__).parents[2] / "limitcheck"


def shown(text: str, *, editing: bool = False) -> str:
    return in_words_of_the_page(f"<p>{text}</p>", AT, editing=editing)[3:-4]


def screen(address: str, label: str) -> str:
    return f'<a href="{address}?profile=a+b.toml">the screen “{label}”</a>'


BLOCKAGE = screen("/blockage", "Find the blockage")
READING = screen("/reading", "Today's pressure")


@pytest.mark.parametrize(
    ("told", "seen"),
    [
        ("step by step: limitcheck isolate", f"step by step: {BLOCKAGE}"),
        ("(see: limitcheck reading 0).", f"(see: {READING})."),
        ("(limitcheck reading --swing)", f"({READING})"),
        ("wrong: limitcheck check /a/b.toml", f"wrong: {screen('/profile', 'Profile')}"),
        ("limitcheck convert &#34;3 at&#34; --to bar.", f"{screen('/convert', 'Convert')}."),
        (
            "it: limitcheck baseline LOG --profile PROFILE --write",
            "it: <code>limitcheck baseline LOG --profile PROFILE --write</code> (in a terminal)",
        ),
        (
            "limitcheck accept FILE low-cutoff --reason TEXT --by NAME --until DATE",
            "<code>limitcheck accept FILE low-cutoff --reason TEXT --by NAME --until DATE</code>"
            " (in a terminal)",
        ),
        ("with limitcheck failed: x", "with limitcheck failed: x"),
        ("begin: limitcheck page --edit FOLDER", "begin: limitcheck page --edit FOLDER"),
        (
            "one with --column SERIAL, or",
            'one with <a href="/reading?profile=a+b.toml#column">the field “Only this column, by '
            "serial number”</a>, or",
        ),
        (
            "--since &#34;2026-01-12 08:40&#34; --until &#34;2026-02-09 11:56&#34;",
            '<a href="/reading?profile=a+b.toml#from">the field “Only from then on”</a>: '
            '&#34;2026-01-12 08:40&#34;, <a href="/reading?profile=a+b.toml#until">the field '
            "“Only up to then”</a>: &#34;2026-02-09 11:56&#34;",
        ),
        ("<code>limitcheck check</code>", "<code>limitcheck check</code>"),
        ("<a href='#x'>--until: no</a>", "<a href='#x'>the field “Only up to then”: no</a>"),
        ("<textarea>--use x</textarea>", "<textarea>--use x</textarea>"),
        ("<input value='--use limitcheck check'>", "<input value='--use limitcheck check'>"),
        ("a - b -- c --since-then", "a - b -- c --since-then"),
    ],
)  # fmt: skip
def test_commands_become_screens(told: str, seen: str) -> None:
    assert shown(told) == seen


def test_no_screen_sends_to_itself(page: Client) -> None:
    """The profile's screen has the findings and the cutoffs: it names its own parts."""
    told = "For what is wrong: limitcheck check /a/b.toml"
    seen = in_words_of_the_page(f"<p>{told}</p>", at=AT, editing=False, here="/profile")
    assert seen == '<p>For what is wrong: <a href="#chapter-1">the findings here</a></p>'
    assert in_words_of_the_page(
        "<p>limitcheck convert</p>", at=AT, editing=False, here="/convert"
    ) == ("<p>this screen</p>")
    answer = page.get("/profile", profile="transfer/harrow-mill-rounded.toml")
    assert "For what is wrong with the profile: the findings here" in answer.words
    assert "the screen “Profile”" not in answer.words
    headings = re.findall(r'<h3 id="chapter-(\d)-heading">([^<]*)', answer.text)
    parts = dict(headings)
    assert (parts["1"], parts["2"]) == ("Findings", "Proposed cutoffs")
    assert parts["3"].startswith("Predicted")


def test_a_new_profile_is_begun_on_the_page_where_it_may_be() -> None:
    told = "start from one: limitcheck new --list"
    assert screen("/new", "New profile") in shown(told, editing=True)
    assert "<code>limitcheck new --list</code> (in a terminal)" in shown(told)


def commands() -> Iterator[str]:
    """Every command that a text of the program names, as it is written."""
    for path in SOURCES.rglob("*.py"):
        if path.parent.name not in ("cli", "page", "qualify"):
            yield from re.findall(r'"[^"\n]*(limitcheck [a-z]+[^"\n]*)"', path.read_text("utf-8"))


def test_no_text_names_a_command_that_is_not_known(capsys: pytest.CaptureFixture[str]) -> None:
    run(["--help"])
    known = set(re.findall(r"^ {2,4}([a-z]+)\b", capsys.readouterr().out, re.M))
    told = [text for text in commands() if text.split()[1].strip(".,:;()") in known]
    assert len(told) > 15
    for text in told:
        now = shown(escape(text))
        assert "the screen" in now or "(in a terminal)" in now, text


def test_every_field_that_is_named_is_there(page: Client) -> None:
    answer = page.get("/reading")
    for name, label in FIELDS.values():
        assert f'<label for="{name}">{escape(label)}</label>' in answer.text

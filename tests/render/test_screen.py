"""Colour on a screen: it can be read, it never stands alone, and it goes only to a terminal."""

from __future__ import annotations

import io
import re
import sys
from itertools import product
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.cli.app import COMMANDS, run
from limitcheck.cli.terminal import forget, screen_of, wish
from limitcheck.errors import Refused
from limitcheck.render import run_text
from limitcheck.render.screen import INKS, Screen
from limitcheck.render.text import render

from ..reference.colour import contrast
from .runs import GOOD, HIGH_PSI, run_of
from .strategies import DOCUMENTS

Capture = pytest.CaptureFixture[str]
CODE = re.compile(r"\x1b\[[0-9;]*m")
"""Select graphic rendition: ECMA-48, 8.3.117."""


@pytest.mark.parametrize("role", [role for role, ink in INKS.items() if ink.rgb])
def test_every_colour_is_read_on_black_and_on_white(role) -> None:
    """WCAG 2.2, 1.4.3: 4.5 for text, 3 for bold text of 14 pt; 4 is held for all of them."""
    rgb = INKS[role].rgb
    assert contrast(rgb, (0, 0, 0)) >= 4.0
    assert contrast(rgb, (255, 255, 255)) >= 4.0


@given(DOCUMENTS, st.sampled_from([60, 80]), st.booleans(), st.sampled_from([16, 256]))
def test_without_its_colours_a_document_is_the_same(doc, width, record, colours) -> None:
    painted = render(doc, Screen(width, colours), record=record)
    assert CODE.sub("", painted) == render(doc, Screen(width), record=record)


@pytest.mark.parametrize(
    ("text", "form", "colours"), list(product([GOOD, HIGH_PSI], run_text.FORMS, [16, 256]))
)
def test_without_its_colours_a_run_is_the_same(text: str, form: str, colours: int) -> None:
    made = run_of(text)
    painted = "".join(run_text.FORMS[form](made, Screen(80, colours)))
    assert CODE.sub("", painted) == "".join(run_text.FORMS[form](made, Screen(80)))
    assert (painted != CODE.sub("", painted)) == (text == HIGH_PSI)


def test_place_grade_number_and_what_to_type_are_coloured() -> None:
    painted = "".join(run_text.render(run_of(HIGH_PSI), Screen(80, 256)))
    for role, words in (
        ("place", "tea.toml:15:8:"),
        ("error", "error:"),
        ("error", "1600"),
        ("error", "^^^^"),
        ("type", "high = 110 (bar), likely"),
    ):
        assert Screen(80, 256).paint(role, words) in painted


class Terminal(io.StringIO):
    """A stream that a person looks at."""

    encoding = "utf-8"

    def isatty(self) -> bool:
        return True

    def fileno(self) -> int:
        raise OSError


WISHES = [
    # --color, environment, on a terminal, in a pipe
    ("auto", {"TERM": "xterm-256color"}, 256, 0),
    ("auto", {"TERM": "xterm"}, 16, 0),
    ("auto", {"TERM": "xterm", "COLORTERM": "truecolor"}, 256, 0),
    ("auto", {"TERM": "dumb"}, 0, 0),
    ("auto", {}, 0, 0),
    ("auto", {"TERM": "xterm", "NO_COLOR": "1"}, 0, 0),
    ("auto", {"TERM": "xterm", "NO_COLOR": ""}, 16, 0),
    ("auto", {"TERM": "xterm", "FORCE_COLOR": "1"}, 16, 16),
    ("auto", {"TERM": "dumb", "FORCE_COLOR": "1"}, 16, 16),
    ("auto", {"TERM": "xterm", "FORCE_COLOR": "0"}, 16, 0),
    ("auto", {"TERM": "dumb", "FORCE_COLOR": ""}, 0, 0),
    ("auto", {"TERM": "dumb", "FORCE_COLOR": "false"}, 0, 0),
    ("auto", {"TERM": "xterm", "FORCE_COLOR": "1", "NO_COLOR": "1"}, 0, 0),
    ("always", {"TERM": "xterm", "NO_COLOR": "1"}, 16, 16),
    ("always", {"TERM": "dumb"}, 16, 16),
    ("never", {"TERM": "xterm-256color", "FORCE_COLOR": "1"}, 0, 0),
]


@pytest.fixture
def bare(monkeypatch: pytest.MonkeyPatch):
    for name in ("NO_COLOR", "FORCE_COLOR", "TERM", "COLORTERM", "COLUMNS", "CI"):
        monkeypatch.delenv(name, raising=False)
    yield monkeypatch
    forget()


@pytest.mark.skipif(sys.platform == "win32", reason="terminals by name")
@pytest.mark.parametrize(("when", "environment", "terminal", "pipe"), WISHES)
def test_who_decides_on_colour(when, environment, terminal, pipe, bare) -> None:
    for name, value in environment.items():
        bare.setenv(name, value)
    wish(when)
    assert screen_of(Terminal()).colours == terminal
    assert screen_of(io.StringIO()).colours == pipe


@pytest.mark.parametrize(
    ("columns", "width"),
    [("59", 60), ("0", 60), ("-5", 60), ("60", 60), ("72", 72), ("240", 240), ("wide", 80)],
)
def test_columns_of_the_environment_count_from_60_on(columns, width, bare) -> None:
    bare.setenv("COLUMNS", columns)
    assert screen_of(io.StringIO()).width == width


def test_a_terminal_is_given_only_the_colours_that_it_has() -> None:
    """ECMA-48, 8.3.117: 30 to 37 are the colours that every terminal has; 38;5 asks for one more.

    The lists of what is printed are by hand.
    """
    shown = {0: "x", 16: "\x1b[1;31mx\x1b[0m", 256: "\x1b[1;38;5;161mx\x1b[0m"}
    assert {n: Screen(80, n).paint("error", "x") for n in shown} == shown
    # A role without a colour among the 16 is bold only; one without any is plain.
    assert Screen(80, 16).paint("note", "x") == "\x1b[1mx\x1b[0m"
    assert Screen(80, 256).paint("plain", "x") == "x"
    styles = {0: "", 16: "bold color(1)", 256: "bold color(161)"}
    assert {n: Screen(80, n).style("error") for n in styles} == styles
    assert Screen(80, 0).style("strong") == ""


@pytest.mark.parametrize("role", INKS)
def test_of_nothing_nothing_is_painted(role) -> None:
    assert Screen(80, 256).paint(role, "") == ""


def test_a_choice_that_there_is_not(bare) -> None:
    with pytest.raises(Refused, match="--color sometimes"):
        wish("sometimes")


def test_a_terminal_that_shows_ascii_only_gets_ascii(bare) -> None:
    stream = Terminal()
    assert screen_of(stream).signs
    stream.encoding = "ascii"
    assert not screen_of(stream).signs
    scale = "".join(run_text.render(run_of(HIGH_PSI), Screen(80, signs=False)))
    assert scale.isascii()
    assert "> low cutoff 30" in scale


def test_a_narrow_terminal_is_filled_and_a_wide_one_is_not(bare) -> None:
    import os

    for columns, width in ((40, 60), (72, 72), (240, 100)):
        stream = Terminal()
        bare.setattr(stream, "fileno", lambda: 7, raising=False)
        bare.setattr(
            "limitcheck.cli.terminal.os.get_terminal_size",
            lambda _, columns=columns: os.terminal_size((columns, 24)),
        )
        assert screen_of(stream).width == width


@pytest.fixture
def profile(tmp_path: Path, bare) -> Path:
    bare.chdir(tmp_path)
    bare.setenv("TERM", "xterm-256color")
    Path("tea.toml").write_text(HIGH_PSI, "utf-8")
    return tmp_path


def test_every_command_takes_the_option(capsys: Capture) -> None:
    for entry in COMMANDS:
        assert run([entry.name, "--help"]) == 0
        assert "--color WHEN" in capsys.readouterr().out


def test_the_option_of_one_run_is_forgotten_in_the_next(profile: Path, capsys: Capture) -> None:
    assert run(["check", "tea.toml", "--color", "always"]) == 1
    assert CODE.search(capsys.readouterr().out)
    assert run(["check", "tea.toml"]) == 1
    assert not CODE.search(capsys.readouterr().out)
    assert run(["check", "tea.toml", "--color", "red"]) == 2
    assert "--color red: there is no such choice" in capsys.readouterr().err


@pytest.mark.parametrize("format", ["json", "sarif", "junit", "remarks-text", "remarks-json"])
def test_what_programs_read_is_never_coloured(format: str, profile: Path, capsys: Capture) -> None:
    assert run(["check", "tea.toml", "--format", format, "--color", "never"]) == 1
    plain = capsys.readouterr().out
    assert run(["check", "tea.toml", "--format", format, "--color", "always"]) == 1
    assert capsys.readouterr().out == plain
    assert "\x1b" not in plain


def test_files_are_never_coloured(profile: Path, capsys: Capture) -> None:
    assert run(["check", "tea.toml", "--color", "always", "-o", "out.txt"]) == 1
    assert run(["propose", "tea.toml", "--color", "always", "-o", "limits.txt"]) in (0, 1)
    assert CODE.search(capsys.readouterr().out)
    for name in ("out.txt", "limits.txt"):
        assert "\x1b" not in Path(name).read_text("utf-8")


def test_colour_goes_to_a_terminal_and_not_into_a_pipe(profile: Path, bare) -> None:
    terminal = Terminal()
    bare.setattr(sys, "stdout", terminal)
    assert run(["check", "tea.toml"]) == 1
    assert CODE.search(terminal.getvalue())
    pipe = io.StringIO()
    bare.setattr(sys, "stdout", pipe)
    assert run(["check", "tea.toml"]) == 1
    assert pipe.getvalue() == CODE.sub("", terminal.getvalue())

"""One bad file is one bad file: it is named, with its place and what to write; others are checked.

Each case stands beside a good profile in one folder. What is said of a file stays short whatever
is wrong with it, and however often.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from limitcheck.cli.app import run
from limitcheck.profile import text as profile_text
from limitcheck.profile.load import load_bytes
from limitcheck.profile.text import LARGEST_FILE, MOST_OF_A_KIND, UnreadableProfile
from tests.profiles_for_tests import TEXT

Capture = pytest.CaptureFixture[str]
MANY = 30_000


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    Path("lab").mkdir()
    Path("lab/good.toml").write_text(TEXT, "utf-8")
    return tmp_path


def in_method(line: str) -> str:
    """A profile with further lines in [method]."""
    assert TEXT.count("[method]\n") == 1
    return TEXT.replace("[method]\n", f"[method]\n{line}\n")


def rated(value: str) -> str:
    """A profile with one more part, of this rating."""
    return f'{TEXT}\n[[flow_path]]\npart = "waste"\nrating = {value}\n'


# The text, where in it (line of the added text, column), what is said, what to write instead.
TIMES = {
    "23:59:60": ("a leap second, :60, cannot be kept", "write 23:59:59"),
    "2027-01-01T23:59:60.5Z": ("a leap second", "write 2027-01-01T23:59:59Z"),
    "2027-01-01 23:59:60": ("a leap second", "write 2027-01-01 23:59:59"),
    "0000-01-01": ("there is no year 0000", "a year from 0001 to 9999"),
    "0000-01-01T00:00:00Z": ("there is no year 0000", "a year from 0001 to 9999"),
    "24:00:00": ("not a time: '24:00:00'", "from 00:00:00 to 23:59:59"),
    "07:30": ("not a time: '07:30'", "from 00:00:00 to 23:59:59"),
    "2027-02-30": ("not a date: '2027-02-30'", "write dates as 2027-06-30"),
    "2027-13-01": ("not a date: '2027-13-01'", "write dates as 2027-06-30"),
    "10000-01-01": ("not a date: '10000-01-01'", "write dates as 2027-06-30"),
    "2027-01-01T00:00:00+24:00": ("not an offset from UTC", "from -23:59 to +23:59"),
    "2027-01-01T00:00:00+23:60": ("not an offset from UTC", "from -23:59 to +23:59"),
    "1e999999999999999999999": ("too large or too small a number", "write a plain number"),
    "1e-99999999999999999999": ("too large or too small a number", "write a plain number"),
}


@pytest.mark.parametrize("value", TIMES)
@pytest.mark.parametrize("form", ["x = {}", "x = [1, {}]", "x = {{y = 1, z = {}}}", "{0} = {0}"])
def test_what_cannot_be_kept_is_refused_at_its_place(value: str, form: str) -> None:
    """In a list, in an inline table, and beside a key or a text of the same letters."""
    if form == "{0} = {0}":
        form = f"""a = '{value}' # {value}\nb = "[{value}" \nx = {{}}"""
    written = form.format(value) if "\n" not in form else form.replace("{}", value)
    text = in_method(written)
    with pytest.raises(UnreadableProfile) as refused:
        load_bytes(text.encode(), "bad.toml")
    (finding,) = refused.value.findings
    said, instead = TIMES[value]
    assert said in finding.message
    assert instead in finding.advice
    at = finding.location
    assert at is not None
    line = text.split("\n")[at.line - 1]
    assert line == written.split("\n")[-1]
    assert at.column == line.rindex(value) + 1


def test_a_key_that_looks_like_such_a_date_is_a_key() -> None:
    with pytest.raises(UnreadableProfile) as refused:
        load_bytes(f"{TEXT}\n[0000-01-01]\n0000-01-02 = 1\nx = 0000-01-03\n".encode(), "bad.toml")
    assert "'0000-01-03'" in refused.value.findings[0].message


FILES = {
    **{
        f"the time {value}": (in_method(f"x = {value}"), said) for value, (said, _) in TIMES.items()
    },
    "unknown keys": (
        in_method("".join(f"k{i} = 1\n" for i in range(MANY))),
        f"{MANY - MOST_OF_A_KIND:,} more of the same kind",
    ),
    "unknown keys on one line": (
        in_method("x = {" + ", ".join(f"k{i} = 1" for i in range(MANY)) + "}"),
        "unknown key x",
    ),
    "unknown tables": (
        TEXT + "".join(f"[t{i}]\n" for i in range(MANY)),
        f"{MANY - MOST_OF_A_KIND:,} more of the same kind",
    ),
    "one key again and again": (in_method("x = 1\n" * MANY), "'x' is given twice"),
    "parts": (TEXT + '[[flow_path]]\npart = "waste"\n' * MANY, "too many entries"),
    "parts without a name": (TEXT + "[[flow_path]]\n" * MANY, "has no part"),
    "parts of a file that is not there": (
        TEXT + '[[flow_path]]\nuse = "no.toml#x"\n' * 400,
        "380 more of the same kind",
    ),
    "far too many parts of a file that is not there": (
        TEXT + '[[flow_path]]\nuse = "no.toml#x"\n' * MANY,
        "give 500 at most",
    ),
    "acceptances": (
        TEXT + '[[accepted]]\ncheck = "x"\nreason = "y"\nby = "z"\n' * 20_000,
        "too many entries",
    ),
    "a long line": (in_method(f'title = "{"x" * 900_000}"'), "text of 900000 characters"),
    "a long key": (in_method(f"{'x' * 900_000} = 1"), "unknown key xxx"),
    "a long key of a table": (TEXT + f"[{'x' * 900_000}]\n", "unknown key xxx"),
    "a long text that is not closed": (in_method('x = "' + "x" * 900_000), "does not end"),
    "a long unit": (rated(f'"4 {"x" * 900_000}"'), "a text of 900,002 characters"),
    "a long number": (rated("9" * 900_000), "far too many digits"),
    "a long number in a text": (rated(f'"{"9" * 900_000} bar"'), "characters"),
    "a huge number": (rated("1e400"), "has no unit"),
    "a long path": (
        TEXT + f'[[flow_path]]\nuse = "{"../" * 200_000}x#y"\n',
        "a path of 600,003 characters",
    ),
    "spaces": (in_method(" " * 900_000 + "x = 1"), "unknown key x"),
    "quotes": (in_method("x = " + '"' * 900_000), "x"),
    "open lists": (in_method("x = " + "[" * 900_000), "levels deep"),
    "open tables": (in_method("x = " + "{a=" * 300_000), "levels deep"),
    "wide lists": (in_method("x = [" + "[[[1]]], " * 90_000 + "]"), "unknown key x"),
    "too large": (TEXT + "#" * LARGEST_FILE, "far too large for a profile"),
}


@pytest.mark.parametrize("name", FILES)
def test_it_fails_alone_and_says_little(name: str, capsys: Capture) -> None:
    text, said = FILES[name]
    Path("lab/bad.toml").write_text(text, "utf-8")
    for format in ("text", "json"):
        assert run(["check", "lab", "--format", format]) == 2
        shown = capsys.readouterr()
        assert said in " ".join(shown.out.split())
        assert len(shown.out) < 60_000
    assert run(["check", "lab"]) == 2
    shown = capsys.readouterr()
    assert "2 profiles, 1 unreadable" in shown.out
    assert "lab/bad.toml:" in shown.out
    assert shown.err == ""


@pytest.mark.parametrize("value", TIMES)
def test_a_policy_and_a_description_say_it_as_well(value: str, capsys: Capture) -> None:
    said = TIMES[value][0]
    Path("lab/limitcheck.toml").write_text(f'fail_on = "error"\nx = {value}\n', "utf-8")
    assert run(["check", "lab"]) == 2
    told = " ".join(capsys.readouterr().err.split())
    assert "lab/limitcheck.toml:2:5" in told
    assert said in told
    Path("lab/limitcheck.toml").unlink()
    Path("lab/part.toml").write_text(f'[[flow_path]]\npart = "waste"\nx = {value}\n', "utf-8")
    Path("lab/bad.toml").write_text(f'{TEXT}\n[[flow_path]]\nuse = "part.toml#waste"\n', "utf-8")
    assert run(["check", "lab/bad.toml", "lab/good.toml"]) == 2
    told = " ".join(capsys.readouterr().out.split())
    assert "lab/part.toml:3:5" in told
    assert said in told


@pytest.mark.parametrize("many", [10, 1000, MANY])
def test_the_work_for_unknown_keys_does_not_grow_with_them(
    many: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Places are looked up for what is told only: each look-up goes through the text."""
    looked_up = []
    locate = profile_text.ParsedText.locate

    def counting(self: profile_text.ParsedText, *path: object, **options: bool) -> object:
        looked_up.append(path)
        return locate(self, *path, **options)  # type: ignore[arg-type]

    monkeypatch.setattr(profile_text.ParsedText, "locate", counting)
    text = in_method("".join(f"k{i} = 1\n" for i in range(many)))
    with pytest.raises(UnreadableProfile) as refused:
        load_bytes(text.encode(), "bad.toml")
    told = min(many, MOST_OF_A_KIND + 1)
    assert len(refused.value.findings) == told
    assert len(looked_up) == told
    last = refused.value.findings[-1]
    first_untold = min(many - 1, MOST_OF_A_KIND)
    assert last.location is not None
    assert last.location.source_line == f"k{first_untold} = 1"


def test_other_kinds_are_still_told(capsys: Capture) -> None:
    """A thousand unknown keys do not hide the rating without a unit behind them."""
    text = in_method("".join(f"k{i} = 1\n" for i in range(1000)))
    Path("lab/bad.toml").write_text(f'{text}\n[[flow_path]]\npart = "waste"\nrating = 60\n')
    assert run(["check", "lab/bad.toml"]) == 2
    told = capsys.readouterr().out
    assert "980 more of the same kind" in told
    assert "60 has no unit" in told

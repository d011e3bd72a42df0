"""Reads TOML 1.0 text, and says in our own words why a text is not that.

Parsing is toml-rs, decimals kept exact. Pure: text in, values out.
"""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

import toml_rs

from ..errors import LimitcheckError

BOM = "\ufeff"
DEPTH_LIMIT = 64
"""Deepest nesting read. A profile needs four; toml-rs overflows the stack at some thousands."""
INTEGER_LIMIT = 1000
"""Digits of the longest whole number read; CPython will not print one of more than 4300."""
# A possessive group, (...)*+, matches wrongly before Python 3.11.5 (cpython issue 106052);
# possessive classes within do not.
STRING = (
    r'"""(?:[^"\\]++|\\.|"{1,2}(?!"))*(?:"{3,5}|\Z)'
    r"|'''(?:[^']++|'{1,2}(?!'))*(?:'{3,5}|\Z)"
    r'|"(?:[^"\\\n]++|\\[^\n])*"?'
    r"|'[^'\n]*+'?"
)
"""A text in quotes, as a pattern; one that does not end goes to the end of its line or file."""


class TomlError(LimitcheckError):
    """The text is not TOML 1.0; `line` and `column` count from 1, in code points."""

    def __init__(self, message: str, line: int, column: int, advice: str) -> None:
        super().__init__(message, advice)
        self.line = line
        self.column = column

    def __str__(self) -> str:
        return f"line {self.line}, column {self.column}: {self.message}"


def parse(text: str) -> dict[str, Any]:
    """Read TOML 1.0. A fraction or exponent gives a `Decimal`, with the digits as typed.

    A byte-order mark at the start is skipped. Raises `TomlError`.
    """
    body = text.removeprefix(BOM)
    if body.startswith(BOM):  # toml-rs would skip this one, too
        raise _refusal(
            body, 0, "a second byte-order mark", "save the file as UTF-8, with one or none"
        )
    # Few marks cannot nest deeply; the exact count is only made when there are many.
    if body.count("[") + body.count("{") + body.count(".") > 200:
        _refuse_deep(body)
    try:
        data = toml_rs.loads(body, parse_float=Decimal, toml_version="1.0.0")
    except toml_rs.TOMLDecodeError as error:
        raise _syntax(error.msg, body, error.pos) from None
    except UnicodeEncodeError as error:
        message = "this character is half of a pair and has no meaning alone"
        raise _refusal(body, error.start, message, "save the file as UTF-8") from None
    except (ValueError, ArithmeticError) as error:  # TOML, but no value that Python can hold
        raise _not_held(body, str(error)) from None
    if max(map(len, body.split("\n"))) > INTEGER_LIMIT and _has_long_integer(data):
        found = re.search(rf"[0-9A-Fa-f_]{{{INTEGER_LIMIT},}}", body)
        raise _refusal(
            body,
            found.start() if found else 0,
            "this whole number has far too many digits",
            "write the number with the digits it needs",
        )
    return data


def _has_long_integer(value: object) -> bool:
    if isinstance(value, dict):
        return any(map(_has_long_integer, value.values()))
    if isinstance(value, list):
        return any(map(_has_long_integer, value))
    return isinstance(value, int) and value.bit_length() > 4 * INTEGER_LIMIT


def _refuse_deep(body: str) -> None:
    """Raise `TomlError` where arrays, inline tables and dotted keys nest past the limit."""
    opened: list[int] = []
    depth = dots = 0
    pattern = rf"{STRING}|#[^\n]*|(?P<mark>[\[{{\]}}.,\n])"
    for token in re.finditer(pattern, body, re.DOTALL):
        match token["mark"]:
            case "[" | "{":
                opened.append(dots + 1)
                depth += dots + 1
                dots = 0
            case "]" | "}":
                depth -= opened.pop() if opened else 0
                dots = 0
            case ".":
                dots += 1
            case "," | "\n":
                dots = 0
        if depth + dots > DEPTH_LIMIT:
            raise _refusal(
                body,
                token.start(),
                f"nested more than {DEPTH_LIMIT} levels deep",
                "a profile nests four levels at most; remove the surplus",
            )


_VALUES = re.compile(
    rf"{STRING}|#[^\n]*|(?P<mark>[\[\]{{}}=,\n])"
    r"|(?P<word>[^\s,\[\]{}=#\"']++(?: \d\d:[^\s,\[\]{}=#\"']++)?)",
    re.DOTALL,
)


def _not_held(body: str, theirs: str) -> TomlError:
    """The refusal of the first number, date or time that no Python object holds."""
    opened: list[str] = []
    value = False  # whether a value may stand here, not a key or a header
    for token in _VALUES.finditer(body):
        match token["mark"]:
            case "=":
                value = True
            case "[" if value:
                opened.append("[")
            case "{":
                opened.append("{")
                value = False
            case "]" | "}":
                opened = opened[:-1]
                value = False
            case ",":
                value = opened[-1:] == ["["]
            case "\n":
                value = value and bool(opened)
        if token["word"] is not None and value and not _is_held(token["word"]):
            return _refusal(body, token.start(), *_why_not_held(token["word"]))
    return _refusal(body, 0, f"a value that cannot be kept ({theirs})", _NUMBER)


def _is_held(word: str) -> bool:
    try:
        toml_rs.loads(f"value = {word}", parse_float=Decimal, toml_version="1.0.0")
    except toml_rs.TOMLDecodeError:
        return True  # not the one that is looked for
    except (ValueError, ArithmeticError):
        return False
    return True


def _why_not_held(word: str) -> tuple[str, str]:
    """What is said of it, and what to write instead."""
    seen = repr(word[:40])
    if not re.match(r"\d{4}-|\d\d:", word):
        return f"{seen} is too large or too small a number", _NUMBER
    if word.startswith("0000"):
        return f"{seen}: there is no year 0000", f"{_DATE}, with a year from 0001 to 9999"
    instead = re.sub(r":60(\.\d+)?", ":59", word, count=1)
    return f"{seen}: a leap second, :60, cannot be kept", f"write {instead}"


def _refusal(body: str, at: int, message: str, advice: str) -> TomlError:
    start = body.rfind("\n", 0, at) + 1
    return TomlError(message, body.count("\n", 0, at) + 1, at - start + 1, advice)


_QUOTE = 'put text in double quotes: rating = "400 bar"'
_PAIR = 'write key = value, one on each line, text in double quotes: rating = "400 bar"'
_NUMBER = "write a plain number such as 260, 0.5 or 1e-3"
_ONE_LINE = "keep {...} on one line, with commas between pairs and no comma after the last"
_DATE = "write dates as 2027-06-30"
_TIME = "write times from 00:00:00 to 23:59:59, dates as 2027-06-30"
_OFFSET = "write Z or an offset from -23:59 to +23:59 behind the time, or leave it out"
_SAME = "keep one of the two"
_ESCAPE = "write \\u and four hexadecimal digits, or type the character itself"
_COMMA = "put one comma between the values of a list and close it with ]"
_UNENDED = "a text that does not end on its line, or holds a control character"
_LINE_END = "end lines with a line feed, or with carriage return and line feed"
_BACKSLASH = "write \\\\ for a backslash, or put the text in single quotes"

# Start of the parser's message -> what we say, what to do. {seen} is the word at the place.
_WORDS = {
    "duplicate key": ("{seen} is given twice", _SAME),
    "cannot extend": ("{seen} already has a value and cannot hold further keys", _SAME),
    "string values must be quoted": ("expected a value, not {seen}", _QUOTE),
    "unexpected key or value": ("did not expect {seen} here: the line should end", _PAIR),
    "key with no value": ("a key without = and a value", _PAIR),
    "extra `=`": ("one = too many", _PAIR),
    "unquoted keys cannot be empty": ("a key is missing here", _PAIR),
    "invalid unquoted key": ("a key cannot hold {seen}", "use letters, digits, - and _ in keys"),
    "keys cannot be multi-line": ("a key cannot be a multi-line text", _PAIR),
    "invalid boolean": ("expected a value, not {seen}", "write true or false, in small letters"),
    "missing escaped value": ("a backslash that starts no escape known in TOML", _BACKSLASH),
    "invalid value, expected unicode": ("an escape that names no character", _ESCAPE),
    "too few unicode": ("an escape with too few digits", _ESCAPE),
    "invalid multi-line": (
        "a multi-line text that never ends, or holds a control character",
        "close the text with the three quotes that opened it",
    ),
    "invalid basic string": (_UNENDED, "close the text with a double quote"),
    "invalid literal string": (_UNENDED, "close the text with a single quote"),
    "invalid comment": ("a control character in a comment", "remove the character"),
    "carriage return": ("a carriage return that ends no line", _LINE_END),
    "unclosed array table": ("a table name that is not closed", "write [[flow_path]]"),
    "unclosed table": ("a table name that is not closed", "write [cutoffs]"),
    "unclosed array": ("a list that never ends", "close the list with ]"),
    "unclosed inline table": ("a {...} that never ends", _ONE_LINE),
    "missing comma between array": ("a comma or ] is missing before {seen}", _COMMA),
    "extra comma in array": ("one comma too many in this list", _COMMA),
    "extra assignment": ("a comma is missing before {seen}", _ONE_LINE),
    "invalid date": ("not a date: {seen}", _DATE),
    "invalid time": ("not a time: {seen}", _TIME),
    "invalid offset": ("not an offset from UTC: {seen}", _OFFSET),
}
_INLINE = r"in(side)? inline tables?|inline table"
_NUMERIC = (
    r"leading zero|may only go between digits|sign|radix|digits|invalid (integer|float|hex|octal"
    r"|binary|mantissa|fraction|exponent)|integer number prefix"
)
_WORD = r"\"[^\"\n]*\"?|'[^'\n]*'?|[^\s=,\[\]{}#\"']+|\S"


def _syntax(theirs: str, body: str, position: int) -> TomlError:
    """The parser's refusal `theirs` at byte `position`, in our words."""
    at = len(body.encode()[:position].decode(errors="ignore"))
    theirs = theirs.rsplit("\n", 1)[-1]
    word = re.compile(_WORD).match(body, at)
    seen = (
        repr(word[0][:40]) if word else "the end of the " + ("line" if at < len(body) else "file")
    )
    for start, (message, advice) in _WORDS.items():
        if theirs.startswith(start):
            return _refusal(body, at, message.replace("{seen}", seen), advice)
    if re.search(_INLINE, theirs):
        return _refusal(body, at, f"did not expect {seen} inside {{...}}", _ONE_LINE)
    if re.search(_NUMERIC, theirs):
        return _refusal(body, at, f"not a number TOML can read, at {seen}", _NUMBER)
    return _refusal(body, at, f"did not expect {seen} here ({theirs})", _PAIR)

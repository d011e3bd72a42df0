"""Why a text is not TOML 1.0, in our own words. Loaded only for a text that is not."""

from __future__ import annotations

import re

from .scanner import STRING
from .source import DEPTH_LIMIT, INTEGER_LIMIT, TomlError

_NESTING = re.compile(rf"{STRING}|#[^\n]*|(?P<mark>[\[{{\]}}.,\n])", re.DOTALL)


def refuse_deep(body: str) -> None:
    """Raise `TomlError` where arrays, inline tables and dotted keys nest past the limit."""
    opened: list[int] = []
    depth = dots = 0
    for token in _NESTING.finditer(body):
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
            raise _at(
                body,
                token.start(),
                f"nested more than {DEPTH_LIMIT} levels deep",
                "a profile nests four levels at most; remove the surplus",
            )


def second_mark(body: str) -> TomlError:
    """The refusal of a byte-order mark after the first."""
    return _at(body, 0, "a second byte-order mark", "save the file as UTF-8, with one or none")


def long_integer(body: str) -> TomlError:
    """The refusal of a whole number of more than `INTEGER_LIMIT` digits."""
    found = re.search(rf"[0-9A-Fa-f_]{{{INTEGER_LIMIT},}}", body)
    return _at(
        body,
        found.start() if found else 0,
        "this whole number has far too many digits",
        "write the number with the digits it needs",
    )


def half_character(body: str, at: int) -> TomlError:
    """The refusal of half of a surrogate pair."""
    return _at(
        body,
        at,
        "this character is half of a pair and has no meaning alone",
        "save the file as UTF-8",
    )


def _at(body: str, at: int, message: str, advice: str) -> TomlError:
    start = body.rfind("\n", 0, at) + 1
    return TomlError(message, body.count("\n", 0, at) + 1, at - start + 1, advice)


_QUOTE = 'put text in double quotes: rating = "400 bar"'
_PAIR = 'write key = value, one to a line, text in double quotes: rating = "400 bar"'
_NUMBER = "write a plain number such as 260, 0.5 or 1e-3"
_ONE_LINE = "keep {...} on one line, pairs parted by commas, with no comma after the last"
_DATE = "write dates as 2027-06-30"
_SAME = "keep one of the two"

# Start of the parser's message -> what we say, what to do. {seen} is the word at the place.
_WORDS: tuple[tuple[str, str, str], ...] = (
    ("duplicate key", "{seen} is given twice", _SAME),
    ("cannot extend", "{seen} already has a value and cannot hold further keys", _SAME),
    ("string values must be quoted", "expected a value, not {seen}", _QUOTE),
    ("unexpected key or value", "did not expect {seen} here: the line should end", _PAIR),
    ("key with no value", "a key without = and a value", _PAIR),
    ("extra `=`", "one = too many", _PAIR),
    ("unquoted keys cannot be empty", "a key is missing here", _PAIR),
    ("invalid unquoted key", "a key cannot hold {seen}", "name keys with letters, digits, - and _"),
    ("keys cannot be multi-line", "a key cannot be a multi-line text", _PAIR),
    ("invalid boolean", "expected a value, not {seen}", "write true or false, in small letters"),
    (
        "missing escaped value",
        "a backslash that starts no escape known in TOML",
        "write \\\\ for a backslash, or put the text in single quotes",
    ),
    (
        "invalid value, expected unicode",
        "an escape that names no character",
        "write \\u and four hexadecimal digits, or type the character itself",
    ),
    (
        "too few unicode",
        "an escape with too few digits",
        "write \\u and four hexadecimal digits, or type the character itself",
    ),
    (
        "invalid multi-line",
        "a multi-line text that never ends, or holds a control character",
        "close the text with the three quotes that opened it",
    ),
    (
        "invalid basic string",
        "a text that does not end on its line, or holds a control character",
        "close the text with a double quote",
    ),
    (
        "invalid literal string",
        "a text that does not end on its line, or holds a control character",
        "close the text with a single quote",
    ),
    ("invalid comment", "a control character in a comment", "remove the character"),
    (
        "carriage return",
        "a carriage return that ends no line",
        "end lines with a line feed, or with carriage return and line feed",
    ),
    ("unclosed array table", "a table name that is not closed", "write [[flow_path]]"),
    ("unclosed table", "a table name that is not closed", "write [cutoffs]"),
    ("unclosed array", "a list that never ends", "close the list with ]"),
    ("unclosed inline table", "a {...} that never ends", _ONE_LINE),
    (
        "missing comma between array",
        "a comma or ] is missing before {seen}",
        "part the values of a list by commas and close it with ]",
    ),
    ("extra comma in array", "one comma too many in this list", "part the values by one comma"),
    ("extra assignment", "a comma is missing before {seen}", _ONE_LINE),
    ("invalid date", "not a date: {seen}", _DATE),
    ("invalid time", "not a time: {seen}", _DATE),
)
_MARKS = re.compile(r"in(side)? inline tables?|inline table")
_NUMERIC = re.compile(
    r"leading zero|may only go between digits|sign|radix|digits|invalid (integer|float|hex|octal"
    r"|binary|mantissa|fraction|exponent)|integer number prefix"
)
_WORD = re.compile(r"\"[^\"\n]*\"?|'[^'\n]*'?|[^\s=,\[\]{}#\"']+|\S")


def syntax(theirs: str, body: str, position: int) -> TomlError:
    """The parser's refusal `theirs` at byte `position`, in our words."""
    at = len(body.encode()[:position].decode(errors="ignore"))
    theirs = theirs.rsplit("\n", 1)[-1]
    word = _WORD.match(body, at)
    seen = (
        repr(word[0][:40]) if word else "the end of the " + ("line" if at < len(body) else "file")
    )
    for start, message, advice in _WORDS:
        if theirs.startswith(start):
            return _at(body, at, message.replace("{seen}", seen), advice)
    if _MARKS.search(theirs):
        return _at(body, at, f"did not expect {seen} inside {{...}}", _ONE_LINE)
    if _NUMERIC.search(theirs):
        return _at(body, at, f"not a number TOML can read, at {seen}", _NUMBER)
    return _at(body, at, f"did not expect {seen} here ({theirs})", _PAIR)

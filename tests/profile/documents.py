"""Generated TOML: nested data, and a writer that varies every style the format allows."""

from __future__ import annotations

import re
import tomllib
from datetime import date, datetime, time
from decimal import Decimal
from random import Random
from typing import Any

from hypothesis import strategies as st

from limitcheck.profile.places import Source

KEYS = st.one_of(
    st.sampled_from(["a", "b", "part", "rating-1", "0", "é", "a.b", "", '"', "'", "\\", "x y"]),
    st.text(st.characters(codec="utf-8", exclude_characters="\x7f"), max_size=4),
)
TEXTS = st.one_of(
    st.sampled_from(["", "400 bar", '"""', "'''", "# x", "[x]", "a\nb", "\r\n", "\\", "\t"]),
    st.text(st.characters(codec="utf-8"), max_size=12),
)
SCALARS = st.one_of(
    TEXTS,
    st.booleans(),
    st.integers(-(2**63), 2**63 - 1),
    st.floats(allow_nan=False),
    st.dates(),
    st.times(),
    st.datetimes(),
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=4),
    max_leaves=12,
)
DATA = st.dictionaries(KEYS, VALUES, max_size=5)


class StyledWriter:
    """Writes data as TOML, choosing freely between spellings that mean the same."""

    def __init__(self, random: Random) -> None:
        self.random = random
        self.newline = random.choice(["\n", "\r\n"])

    def write(self, data: dict[str, Any]) -> str:
        text = self.random.choice(["", "\ufeff"]) + self._rest()
        return text + self._table(data, ())

    def _table(self, table: dict[str, Any], path: tuple[str, ...]) -> str:
        lines, below = "", ""
        for key, value in table.items():
            here = (*path, key)
            choice = self.random.random()
            if isinstance(value, dict) and choice < 0.5:
                below += self._header(here, "[", "]") + self._table(value, here)
            elif isinstance(value, dict) and value and choice < 0.8:
                lines += self._dotted([key], value)
            elif isinstance(value, list) and value and choice < 0.7 and _all_tables(value):
                for element in value:
                    below += self._header(here, "[[", "]]") + self._table(element, here)
            else:
                lines += self._pair([key], value)
        return lines + below

    def _header(self, path: tuple[str, ...], opening: str, closing: str) -> str:
        return (
            f"{self._blank()}{opening}{self._blank()}{self._key(path)}{self._blank()}{closing}"
            + (self._rest())
        )

    def _dotted(self, keys: list[str], table: dict[str, Any]) -> str:
        lines = ""
        for key, value in table.items():
            if isinstance(value, dict) and value and self.random.random() < 0.5:
                lines += self._dotted([*keys, key], value)
            else:
                lines += self._pair([*keys, key], value)
        return lines

    def _pair(self, keys: list[str], value: Any) -> str:
        key = self._blank() + self._key(keys)
        return f"{key}{self._blank()}={self._blank()}{self._value(value)}{self._rest()}"

    def _value(self, value: Any) -> str:
        match value:
            case dict():
                pairs = [
                    f"{self._key([k])}{self._blank()}={self._blank()}{self._value(v)}"
                    for k, v in value.items()
                ]
                inside = f"{self._blank()},{self._blank()}".join(pairs)
                return f"{{{self._blank()}{inside}{self._blank()}}}"
            case list():
                inside = "".join(f"{self._gap()}{self._value(v)}{self._gap()}," for v in value)
                if inside and self.random.random() < 0.5:
                    inside = inside[:-1]
                return f"[{inside}{self._gap()}]"
            case str():
                return self._text(value)
            case bool():
                return str(value).lower()
            case int():
                sign = "-" if value < 0 else self.random.choice(["", "+"])
                spelled = f"{abs(value):_}" if self.random.random() < 0.3 else str(abs(value))
                if sign == "" and self.random.random() < 0.2:
                    return hex(value)
                return sign + spelled
            case float():
                spelled = repr(value)
                return spelled if re.search(r"[.en]", spelled) else spelled + ".0"
            case datetime():
                return value.isoformat(self.random.choice("T "))
            case date() | time():
                return value.isoformat()
        raise TypeError(value)

    def _key(self, keys: list[str] | tuple[str, ...]) -> str:
        return f"{self._blank()}.{self._blank()}".join(map(self._one_key, keys))

    def _one_key(self, key: str) -> str:
        if re.fullmatch(r"[A-Za-z0-9_-]+", key) and self.random.random() < 0.7:
            return key
        return self._line_text(key)

    def _line_text(self, text: str) -> str:
        if _plain(text) and "'" not in text and self.random.random() < 0.5:
            return f"'{text}'"
        return '"' + "".join(map(_escaped, text)) + '"'

    def _text(self, text: str) -> str:
        choice = self.random.random()
        if choice < 0.6:
            return self._line_text(text)
        first = self.newline if self.random.random() < 0.5 or text.startswith("\n") else ""
        if choice < 0.8 and _plain(text) and "''" not in text and not text.endswith("'"):
            return f"'''{first}{text}'''"
        inside = "".join(c if c in "\n\t" else _escaped(c) for c in text)
        trim = self.random.choice(["", f"\\ {self.newline}  "])
        return f'"""{first}{inside}{trim if not inside.endswith(chr(10)) else ""}"""'

    def _blank(self) -> str:
        return self.random.choice(["", "", " ", "  ", "\t"])

    def _gap(self) -> str:
        comment = f'# ] }} " é{self.newline}'
        return self.random.choice(["", " ", self.newline, comment])

    def _rest(self) -> str:
        comment = self.random.choice(["", "", ' # = "é" [', "#"])
        return comment + self.newline * self.random.choice([1, 1, 2])


def _all_tables(value: list[Any]) -> bool:
    return all(isinstance(element, dict) for element in value)


def _plain(text: str) -> bool:
    return not re.search(r"[\x00-\x08\x0a-\x1f\x7f]", text)


def _escaped(character: str) -> str:
    if character in '"\\':
        return "\\" + character
    return character if _plain(character) else f"\\u{ord(character):04X}"


def leaves(data: Any, path: tuple[str | int, ...] = ()) -> dict[tuple[str | int, ...], Any]:
    """Every scalar with its path."""
    if isinstance(data, dict | list):
        steps = data.items() if isinstance(data, dict) else enumerate(data)
        return {p: v for step, inner in steps for p, v in leaves(inner, (*path, step)).items()}
    return {path: data}


def oracle(text: str) -> dict[str, Any]:
    """What `tomllib` reads; it refuses a byte-order mark, which is no part of the document."""
    return tomllib.loads(text.removeprefix("\ufeff"), parse_float=Decimal)


def same(one: Any, other: Any) -> bool:
    return repr(one) == repr(other)


def holds_every_value(text: str) -> None:
    """The text at each value's span reads, alone, as the value `tomllib` gives at its path."""
    source = Source(text)
    for path, value in leaves(oracle(text)).items():
        span = source.value_span(path)
        assert span is not None, path
        alone = tomllib.loads(f"v = {text[span.start : span.end]}", parse_float=Decimal)
        assert same(alone["v"], value), path
        before = text[: span.start].removeprefix("\ufeff")
        assert span.line == before.count("\n") + 1
        assert span.column == len(before) - (before.rfind("\n") + 1) + 1
        assert source.nearest(path) == span
        if isinstance(path[-1], str):
            key = source.key_span(path)
            assert key is not None
            assert key.end <= span.start
            raw = text[key.start : key.end]
            assert list(tomllib.loads(f"{raw} = 0")) == [path[-1]]


def sorted_keys(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: sorted_keys(value[key]) for key in sorted(value)}
    if isinstance(value, list):
        return [sorted_keys(element) for element in value]
    return value

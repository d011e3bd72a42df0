"""A mapping file: which header is which key, in which unit; written once, read at every import.

It has no `format`: that begins a profile, and `check` may search the folder it lies in.

```toml
mapping = 1
decimal = "comma"          # the sign before decimals, where columns do not decide
delimiter = ";"            # what separates the cells of a CSV, where that does not show

[headers]                  # a key of the format, or "leave out"
"Pmax" = "cutoffs.high"

[units]                    # of pressures, where the table names none
"Pmax" = "bar"
```
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from difflib import get_close_matches
from typing import Any, NamedTuple

import tomli_w

from ..errors import Refused, cut
from ..profile.toml import TomlError, parse
from .header import LEFT_OUT, Chosen, Header
from .numbers import Sign
from .words import KEYS, units_kind

_TABLES = ("mapping", "decimal", "delimiter", "headers", "units")


class HeaderMap(NamedTuple):
    """What a mapping file says."""

    chosen: Chosen
    decimal: Sign | None = None
    delimiter: str | None = None


NOTHING = HeaderMap(Chosen({}, {}))


def read_mapping(path: str) -> HeaderMap:
    """The mapping in a file; raises Refused with what is wrong and what to write."""
    try:
        with open(path, encoding="utf-8") as file:
            data = parse(file.read(1_000_000))
    except OSError as error:
        raise Refused(f"{path} cannot be read: {error.strerror}", "check the name") from None
    except UnicodeDecodeError:
        raise Refused(f"{path} is not UTF-8 text", "name the file of --write-map") from None
    except TomlError as error:
        raise Refused(f"{path}: {error}", "correct it, or write it again: --write-map") from None
    if data.get("mapping") != 1:
        raise Refused(f"{path} is no mapping: no mapping = 1", "name the file of --write-map")
    for key in data:
        if key not in _TABLES:
            raise Refused(f'{path}: "{cut(key)}" is not known', _near(key, _TABLES))
    decimal = data.get("decimal")
    if decimal not in (None, "point", "comma"):
        raise Refused(f"{path}: decimal is {decimal!r}", 'write "point" or "comma"')
    delimiter = data.get("delimiter")
    if not isinstance(delimiter, str | None):
        raise Refused(f"{path}: delimiter is {delimiter!r}", 'write one sign, as in ";"')
    headers, units = (_table(data, name, path) for name in ("headers", "units"))
    for text, key in headers.items():
        if key != LEFT_OUT and key not in KEYS:
            known = (LEFT_OUT, *KEYS)
            raise Refused(
                f'{path}: headers."{cut(text)}": "{cut(key)}" is no key', _near(key, known)
            )
    for text, unit in units.items():
        if units_kind(unit) is None:
            raise Refused(f'{path}: units."{cut(text)}": "{cut(unit)}" is no unit', 'as in "bar"')
    return HeaderMap(Chosen(headers, units), decimal, delimiter)


def _table(data: Mapping[str, Any], name: str, path: str) -> dict[str, str]:
    table = data.get(name, {})
    if not isinstance(table, dict) or not all(isinstance(v, str) for v in table.values()):
        raise Refused(f"{path}: [{name}] is not a table of texts", 'write as in "Pmax" = "bar"')
    return {" ".join(text.split()).casefold(): value for text, value in table.items()}


def _near(name: str, known: Iterable[str]) -> str:
    listed = list(known)
    close = get_close_matches(name, listed, n=1)
    return f'did you mean "{close[0]}"?' if close else f"known: {', '.join(listed)}"


def mapping_text(
    headers: Iterable[Header], decimal: Sign | None, delimiter: str | None = None
) -> str:
    """The text of a mapping file with what was understood; what is to be asked as a comment."""
    keys: dict[str, str] = {}
    units: dict[str, str] = {}
    asked: list[str] = []
    for header in headers:
        for column in header.columns:
            if column.paths:
                asked.append(f'# "{column.text}": {" or ".join(column.paths)}?')
            else:
                keys[column.text] = column.key or LEFT_OUT
            if column.unit and column.unit_from == "the mapping":
                units[column.text] = column.unit
    data: dict[str, Any] = {"mapping": 1}
    if decimal is not None:
        data["decimal"] = decimal
    if delimiter is not None:
        data["delimiter"] = delimiter
    data["headers"] = keys
    if units:
        data["units"] = units
    return "\n".join(["# Which header of a table is which key.", *map(_comment, asked), ""]) + (
        tomli_w.dumps(data)
    )


def _comment(text: str) -> str:
    return "".join(letter if letter.isprintable() else " " for letter in text)

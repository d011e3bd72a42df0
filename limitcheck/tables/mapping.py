"""A mapping file: which header is which key, in which unit; written once, read at every import.

It has no `format`: that begins a profile, and `check` may search the folder it lies in.

```toml
mapping = 1
decimal = "comma"          # the sign before decimals, where columns do not decide
delimiter = ";"            # what separates the cells of a CSV, where that does not show

[headers]                  # a key of the format, or "leave out"
"Pmax" = "cutoffs.high"
"Columns!Pmax" = "column.rating"   # with its sheet, where two sheets have the header

[units]                    # of pressures, where the table names none
"Pmax" = "bar"
```
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from contextlib import suppress
from difflib import get_close_matches
from typing import Any, NamedTuple, TypeAlias

import tomli_w

from ..errors import LimitcheckError, Refused, cut
from ..profile.toml import TomlError, parse
from ..units import Pressure, find_unit
from .grid import Sheet
from .header import LEFT_OUT, Chosen, Header
from .header_text import header_of, units_kind
from .inert import one_line
from .numbers import Sign
from .words import KEYS, QUANTITY

_TABLES = ("mapping", "decimal", "delimiter", "headers", "units")


_Lines: TypeAlias = Mapping[tuple[str, str], tuple[int, str]]
Lines: TypeAlias = dict[tuple[str, str], tuple[int, str]]
"""By table and header: the line of a mapping file, and the header as it is spelled there."""


class HeaderMap(NamedTuple):
    """What a mapping file says; a header may begin with its sheet, as in "Columns!Pmax"."""

    chosen: Chosen
    decimal: Sign | None = None
    delimiter: str | None = None
    path: str = ""
    lines: Mapping[tuple[str, str], tuple[int, str]] = {}

    def of(self, sheet: Sheet) -> Chosen:
        """What it says of the headers of one sheet."""
        return Chosen(*(_of_sheet(table, _plain(f"{sheet.name}!")) for table in self.chosen))

    def refuse_misfits(self, headers: Iterable[Header]) -> None:
        """Raise Refused for a line whose header no sheet has, or two, or that contradicts it."""
        found = list(headers)
        sheets: dict[str, dict[str, str]] = {}
        for header in found:
            for column in header.columns:
                sheets.setdefault(_plain(column.text), {})[header.sheet.name] = column.text
        known = {text: name for text, names in sheets.items() for name in names.values()}
        for text, names in sheets.items():
            known |= {_plain(f"{sheet}!{text}"): f"{sheet}!{name}" for sheet, name in names.items()}
        for (table, text), (line, spelled) in self.lines.items():
            at = _at(self.path, table, text, {(table, text): (line, spelled)})
            if text not in known:
                close = get_close_matches(text, known, n=1)
                advice = "correct the line or take it out"
                if close:
                    advice = f'did you mean "{known[close[0]]}"? Else take the line out'
                raise Refused(f"{at}: the table has no such header", advice)
            several = [
                s for s in sheets.get(text, {}) if (table, _plain(f"{s}!{text}")) not in self.lines
            ]
            if len(several) > 1:
                told = " and ".join(several)
                raise Refused(
                    f"{at}: the header stands on the sheets {told}",
                    f'write a line for each sheet, as in "{several[0]}!{spelled}"',
                )
        for header in found:
            self._refuse_other_units(header)

    def _refuse_other_units(self, header: Header) -> None:
        told = self.of(header.sheet).units
        for column in header.columns:
            text = _plain(column.text)
            said = told.get(text, "")
            kind = QUANTITY.get(KEYS[column.key].kind, "") if column.key else ""
            own = header_of(column.text, header.kind).unit
            if said and kind and units_kind(said) != kind:
                why, advice = f", no unit of {kind}", "write one, or take the line out"
            elif _unit(said) and _unit(own) and _unit(said) != _unit(own):
                why = f', and the header itself says "{_unit(own)}"'
                advice = "take the line out, or correct the header in the table"
            else:
                continue
            names = _plain(f"{header.sheet.name}!{text}"), text
            name = next(name for name in names if ("units", name) in self.lines)
            place = _at(self.path, "units", name, self.lines)
            raise Refused(f'{place} is "{_unit(said) or said}"{why}', advice)


def _unit(spelling: str) -> str:
    """A unit of pressure by its name; empty for anything else."""
    with suppress(LimitcheckError):
        return find_unit(spelling, Pressure) if spelling else ""
    return ""


NOTHING = HeaderMap(Chosen({}, {}))


def read_mapping(path: str) -> HeaderMap:
    """The mapping in a file; raises Refused with what is wrong and what to write."""
    try:
        with open(path, encoding="utf-8") as file:
            text = file.read(1_000_000)
            data = parse(text)
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
    lines: Lines = {}
    headers, units = (_table(data, name, path, text, lines) for name in ("headers", "units"))
    for header, key in headers.items():
        if key != LEFT_OUT and key not in KEYS:
            known, at = (LEFT_OUT, *KEYS), _at(path, "headers", header, lines)
            raise Refused(f'{at}: "{cut(key)}" is no key', _near(key, known))
    for header, unit in units.items():
        if units_kind(unit) is None:
            at = _at(path, "units", header, lines)
            raise Refused(f'{at}: "{cut(unit)}" is no unit', 'write it as in "bar"')
    return HeaderMap(Chosen(headers, units), decimal, delimiter, path, lines)


def _at(path: str, table: str, header: str, lines: _Lines) -> str:
    """The line of a header in a mapping file, as messages name it."""
    line, spelled = lines[table, header]
    return f'{path}:{line}: [{table}] "{cut(spelled)}"'


def _plain(header: str) -> str:
    return " ".join(header.split()).casefold()


def _of_sheet(table: Mapping[str, str], sheet: str) -> dict[str, str]:
    own = {text[len(sheet) :]: value for text, value in table.items() if text.startswith(sheet)}
    return {**table, **own}


def _lines(text: str) -> dict[tuple[str, str], int]:
    """The line of each key by its table; a line that is none alone is passed over."""
    found, table = {}, ""
    for number, line in enumerate(text.splitlines(), 1):
        with suppress(TomlError):
            for key, value in parse(line).items():
                if value == {}:
                    table = key
                else:
                    found[table, key] = number
    return found


def _table(
    data: Mapping[str, Any], name: str, path: str, text: str, lines: Lines
) -> dict[str, str]:
    table = data.get(name, {})
    if not isinstance(table, dict) or not all(isinstance(v, str) for v in table.values()):
        raise Refused(f"{path}: [{name}] is not a table of texts", 'write as in "Pmax" = "bar"')
    at, plain = _lines(text), {}
    for header, value in table.items():
        line = at.get((name, header), 1)
        if _plain(header) in plain:
            raise Refused(
                f'{path}:{line}: [{name}] "{cut(header)}" stands there twice, in other letters',
                "leave one of the two lines",
            )
        plain[_plain(header)] = value
        lines[name, _plain(header)] = line, header
    return plain


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
    found = list(headers)
    sheets: dict[str, set[str]] = {}
    for header in found:
        for column in header.columns:
            sheets.setdefault(_plain(column.text), set()).add(header.sheet.name)
    for header in found:
        for column in header.columns:
            alone = len(sheets[_plain(column.text)]) == 1
            name = column.text if alone else f"{header.sheet.name}!{column.text}"
            if column.paths:
                asked.append(f'# "{name}": {" or ".join(column.paths)}?')
            else:
                keys[name] = column.key or LEFT_OUT
            if column.unit and column.unit_from == "the mapping":
                units[name] = column.unit
    data: dict[str, Any] = {"mapping": 1}
    if decimal is not None:
        data["decimal"] = decimal
    if delimiter is not None:
        data["delimiter"] = delimiter
    data["headers"] = keys
    if units:
        data["units"] = units
    return "\n".join(["# Which header of a table is which key.", *map(one_line, asked), ""]) + (
        tomli_w.dumps(data)
    )

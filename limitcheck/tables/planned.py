"""The files that a table gives: profiles, and the instruments and columns they share.

Each profile is validated as it will be read; what the format refuses becomes a question about the
cell it came from.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, NamedTuple, TypeAlias

from ..findings import KeyPath
from ..profile.model import Profile
from ..profile.write import dump_profile
from .cells import Amount, Text
from .inert import one_line
from .joined import OF_COLUMN, Joined, Thing
from .named import FileNames
from .remembered import Remembered
from .rows import Given, Record

_Keys: TypeAlias = tuple[tuple[str, str, KeyPath], ...]


def _keys(table: str, *names: str) -> _Keys:
    """The keys of a table of a profile: each with its name in a record, and its place."""
    return tuple((name, f"{table}.{name}", (table, name)) for name in names)


_METHOD = _keys("method", "id", "title", "revision", "site")
_CUTOFFS, _EXPECTED = _keys("cutoffs", "high", "low"), _keys("expected", "low", "high")
_CONDITIONS = _keys(
    *("conditions", "flow", "temperature", "ambient", "solvent_a", "solvent_b", "percent_b"),
    "injection_volume",
)
_INSTRUMENT = _keys("instrument", "pressure_unit", "display_step", "entry_max", "dwell_volume")
_COLUMN = tuple((path.partition(".")[2], path) for path in OF_COLUMN)
_PARTS = ("pump", "tubing", "injector", "fitting", "column", "detector cell")
"""In flow order; pump and column are always there."""


class SharedFile(NamedTuple):
    """A described instrument or column: where it is written, and its tables."""

    path: str
    data: Mapping[str, Any]
    thing: Thing


class _PathOf(NamedTuple):
    """The flow path on an instrument, as written and whole, without the column that stands `at`.

    All its rows share these tables, which is not to be changed.
    """

    own: tuple[Mapping[str, Any], ...]
    whole: tuple[Mapping[str, Any], ...]
    at: int
    cells: Mapping[KeyPath, Given]


@dataclass(slots=True)
class Planned:
    """A profile that a row gives. `data` is what is written, `whole` with shared values filled in.

    `cells` says by key path from which cell a value is.
    """

    record: Record
    path: str
    data: dict[str, Any]
    whole: dict[str, Any]
    cells: dict[KeyPath, Given] = field(default_factory=dict)
    profile: Profile | None = None
    shared: tuple[str, ...] = ()
    """The paths of the files it uses."""


class Origin(NamedTuple):
    """The table that files come from, for their first lines."""

    table: str
    sha256: str


class Plan:
    """Makes the files of one import."""

    def __init__(self, joined: Joined, origin: Origin, remembered: Remembered) -> None:
        self.joined, self.origin, self.names = joined, origin, FileNames()
        self._remembered = remembered
        self._texts: dict[str, str] = {}
        self.shared: dict[str, SharedFile] = {}
        self.instruments: dict[str, SharedFile] = {}
        self._paths: dict[str, _PathOf] = {}
        for thing in joined.instruments.values():
            if thing.unit:
                self.describe(thing)
        self.columns = {
            name: self._shared("columns/", thing, {"flow_path": [self._column(thing.given, name)]})
            for name, thing in joined.columns.items()
        }

    def describe(self, instrument: Thing) -> None:
        """Give an instrument its file, with the unit that it has now."""
        file = self._shared("instruments/", instrument, self._instrument_tables(instrument))
        self.instruments[instrument.name] = file
        self._paths[instrument.name] = _path_of(file)

    def _shared(self, folder: str, thing: Thing, data: Mapping[str, Any]) -> SharedFile:
        file = SharedFile(self.names.give(folder, thing.name), data, thing)
        self.shared[file.path] = file
        return file

    @staticmethod
    def _instrument_tables(thing: Thing) -> dict[str, Any]:
        table: dict[str, Any] = {"id": thing.name, "pressure_unit": thing.unit}
        for key in ("display_step", "entry_max", "dwell_volume"):
            if given := thing.given.get(f"instrument.{key}"):
                table[key] = _value(given)
        parts = []
        for part in (part for part in _PARTS if part != "column"):
            given = thing.given.get(f"{part}.rating")
            if given or part == "pump":
                parts.append({"part": part} | ({"rating": _value(given)} if given else {}))
        return {"instrument": table, "flow_path": parts}

    @staticmethod
    def _column(given: Mapping[str, Given], label: str) -> dict[str, Any]:
        column: dict[str, Any] = {"part": "column"} | ({"label": label} if label else {})
        for key, path in _COLUMN:
            if (one := given.get(path)) is not None:
                column[key] = _value(one)
        return column

    def profile(self, record: Record) -> Planned | None:
        """The profile of a row; None where the unit or the name of its instrument is open."""
        instrument = self.instruments.get(record.text("instrument.id"))
        planned = self._remembered.tried.pop(id(record), None)
        if instrument is None or not record.text("method.id"):
            return None
        if planned is None or planned.whole["instrument"]["pressure_unit"] != instrument.thing.unit:
            planned = self._made(record, instrument)
        else:
            self._instrument(planned, instrument)
            self._flow_path(planned, instrument)
        ids = [record.text(f"method.{key}") for key in ("id", "revision")]
        planned.path = self.names.give("", ids[0], record.text("instrument.id"), ids[1])
        return planned

    def attempt(self, record: Record) -> Planned | None:
        """The profile of a row without a path, in the unit that its instrument is tried in."""
        instrument = self.instruments[record.text("instrument.id")]
        return self._made(record, instrument) if record.text("method.id") else None

    def _made(self, record: Record, instrument: SharedFile) -> Planned:
        unit = instrument.thing.unit
        planned = Planned(record, "", {"format": 1}, {"format": 1})
        self._put(planned, "method", _METHOD)
        self._instrument(planned, instrument)
        self._put(planned, "cutoffs", _CUTOFFS, unit)
        self._band(planned, unit)
        self._put(planned, "conditions", _CONDITIONS)
        self._gradient(planned)
        if "conditions" in planned.data:
            table = self._remembered.one(planned.data["conditions"])
            planned.data["conditions"] = planned.whole["conditions"] = table
        self._flow_path(planned, instrument)
        return planned

    @staticmethod
    def _instrument(planned: Planned, instrument: SharedFile) -> None:
        planned.data["instrument"] = {"use": instrument.path}
        planned.whole["instrument"] = instrument.data["instrument"]

    def _put(self, planned: Planned, table: str, keys: _Keys, unit: str | None = None) -> None:
        values, found, cells = {}, planned.record.given, planned.cells
        for key, path, place in keys:
            given = found.get(path)
            if given is not None:
                values[key] = _value(given, unit)
                cells[place] = given
        if values:
            planned.data[table] = planned.whole[table] = values

    def _band(self, planned: Planned, unit: str) -> None:
        given = planned.record.given.get("expected")
        if given is None or not isinstance(given.value, tuple):
            self._put(planned, "expected", _EXPECTED, unit)
            return
        values = {}
        for key, amount in zip(("low", "high"), given.value, strict=True):
            assert isinstance(amount, Amount)
            values[key] = _amount(amount, unit)
            planned.cells[("expected", key)] = given
        planned.data["expected"] = planned.whole["expected"] = values

    @staticmethod
    def _gradient(planned: Planned) -> None:
        given = planned.record.given.get("conditions.gradient")
        if given is None or isinstance(given.value, Text | Amount):
            return
        numbers = [bare_number(amount.number) for amount in given.value]
        points = [
            {"minute": minute, "percent_b": percent}
            for minute, percent in zip(numbers[::2], numbers[1::2], strict=True)
        ]
        conditions = {**planned.data.get("conditions", {}), "gradient": points}
        planned.data["conditions"] = planned.whole["conditions"] = conditions
        planned.cells[("conditions", "gradient")] = given

    def _flow_path(self, planned: Planned, instrument: SharedFile) -> None:
        label, path = planned.record.text("column.label"), self._paths[instrument.thing.name]
        planned.shared = (instrument.path,)
        if label in self.columns:
            file = self.columns[label]
            own: Mapping[str, Any] = {"use": f"{file.path}#{label}"}
            whole: Mapping[str, Any] = file.data["flow_path"][0]
            given: Mapping[str, Given] = file.thing.given
            planned.shared += (file.path,)
        else:
            given = planned.record.given
            own = whole = self._remembered.one(self._column(given, ""))
        guard = planned.record.given.get("guard column.rating")
        guards = [] if guard is None else [{"part": "guard column", "rating": _value(guard)}]
        at = path.at + len(guards)
        planned.data["flow_path"] = [*path.own[: path.at], *guards, own, *path.own[path.at :]]
        before, after = path.whole[: path.at], path.whole[path.at :]
        planned.whole["flow_path"] = [*before, *guards, whole, *after]
        planned.cells.update(path.cells if guard is None else _moved(path))
        if guard is not None:
            planned.cells[("flow_path", path.at, "rating")] = guard
        for key, name in _COLUMN:
            if (one := given.get(name)) is not None:
                planned.cells[("flow_path", at, key)] = one

    def text(self, planned: Planned) -> str:
        """The text of a profile, with where it comes from."""
        sheet = planned.record.header.sheet
        where = f"row {planned.record.row + 1}"
        if not sheet.lone:
            where = f"sheet {sheet.name}, {where}"
        noted = ((given, _note(given)) for given in planned.record.given.values())
        notes = [f"{given.cell}: {note}" for given, note in noted if note]
        return self._begin(where, notes) + dump_profile(planned.data, self._texts)

    def shared_text(self, file: SharedFile) -> str:
        """The text of a shared file, with where it comes from."""
        cells = dict.fromkeys(given.cell for given in file.thing.given.values())
        records = dict.fromkeys(r.header.sheet.name for r in file.thing.records)
        where = ", ".join(list(cells)[:8]) or f"sheet {', '.join(records)}"
        notes = []
        if file.thing.unit_from:
            notes.append(f"Unit: {file.thing.unit_from}. Look at the front panel.")
        return self._begin(where, notes) + dump_profile(file.data).lstrip("\n")

    def _begin(self, where: str, notes: list[str]) -> str:
        lines = [f"Imported from {self.origin.table}, {where}.", f"SHA-256 {self.origin.sha256}"]
        return "".join(f"# {one_line(line)}\n" for line in (*lines, *notes))


def _path_of(file: SharedFile) -> _PathOf:
    """The flow path of all rows on an instrument."""
    given, described = file.thing.given, file.data["flow_path"]
    cells: dict[KeyPath, Given] = {}
    names = [part["part"] for part in described]
    at = sum(_PARTS.index(name) < _PARTS.index("column") for name in names)
    for number, name in enumerate(names):
        place = number if number < at else number + 1
        for path, one in given.items():
            if path.startswith(f"{name}."):
                cells[("flow_path", place, path.partition(".")[2])] = one
    for _, path, key in _INSTRUMENT:
        if (told := given.get(path)) is not None:
            cells[key] = told
    own = tuple({"use": f"{file.path}#{name}"} for name in names)
    return _PathOf(own, tuple(described), at, cells)


def _moved(path: _PathOf) -> dict[KeyPath, Given]:
    """The cells of an instrument's parts where a guard column stands before the column."""
    return {
        (place[0], place[1] + 1, *place[2:])
        if place[0] == "flow_path" and isinstance(place[1], int) and place[1] > path.at
        else place: given
        for place, given in path.cells.items()
    }


def _note(given: Given) -> str:
    """What stands beside a value in its cell, or was answered of it."""
    one = given.value
    if isinstance(one, Text):
        return ""
    return one.note if isinstance(one, Amount) else one[0].note


def _value(given: Given, unit: str | None = None) -> object:
    """A value as the profile has it: bare in the instrument's unit, else with its own."""
    if isinstance(given.value, Text):
        return given.value.text
    assert isinstance(given.value, Amount)
    return _amount(given.value, unit)


def _amount(amount: Amount, unit: str | None) -> object:
    if unit is not None and amount.unit in ("", unit):
        return bare_number(amount.number)
    if amount.unit in ("", "%"):
        return bare_number(amount.number)
    return f"{amount.number} {amount.unit}"


def bare_number(number: str) -> int | Decimal:
    """A number as a profile has it: whole, or with its digits."""
    return Decimal(number) if "." in number else int(number)

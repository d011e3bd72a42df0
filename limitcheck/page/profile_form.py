"""The form of a profile: sections and fields as the format has them, with what the text holds."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Literal, NamedTuple, get_args, get_origin

from pydantic import BaseModel

from ..findings import KeyPath
from ..profile.fields import (
    CutoffField,
    ExpectedField,
    NumberField,
    ProfileField,
    QuantityField,
    TruthField,
    UnitField,
)
from ..profile.measured import MeasuredPair
from ..profile.model import (
    Conditions,
    Cutoffs,
    Expected,
    GradientPoint,
    Instrument,
    MarginSettings,
    Method,
)
from ..profile.places import Source
from ..profile.problems import part_models
from ..units import TRADE_UNITS, Pressure
from .arranging import LISTS, Button, buttons, count_of, first_button, naming
from .draft import NUMBER, TEXT, TRUTH, named, shown
from .words import SECTIONS, usual, words

MOST_PARTS = 60
"""Parts, pairs or points with fields of their own; further ones are changed in the text."""
_ASKED = ("rating", "length", "bore", "particle_size")
"""Keys of a part that are asked for at once, although a part may be without."""
_TABLES: Mapping[str, type[BaseModel]] = {
    "method": Method,
    "instrument": Instrument,
    "cutoffs": Cutoffs,
    "expected": Expected,
    "conditions": Conditions,
}


class Field(NamedTuple):
    """One value of the profile: how it is asked for, and what the text holds."""

    path: KeyPath
    label: str
    kind: str
    """How its value is written: TEXT, NUMBER or TRUTH."""
    value: str
    required: bool = False
    options: tuple[str, ...] = ()
    """The only values it may have; empty for any."""
    beside: str = ""
    """Its unit, or the units it may be given in."""
    help: str = ""

    @property
    def name(self) -> str:
        """Its name in the form."""
        return named(self.path)


class Group(NamedTuple):
    """A table of the profile, as a part of the form."""

    path: KeyPath
    heading: str
    help: str
    fields: tuple[Field, ...]
    """Those that are given or needed."""
    further: tuple[Field, ...] = ()
    """Those that may be given."""
    buttons: tuple[Button, ...] = ()
    """What can be done with it as an element of a list."""
    what: str = ""
    """Its name as such an element, as in "column, part 4 of 7"."""

    @property
    def name(self) -> str:
        """What leads to it."""
        return named(self.path)

    @property
    def all(self) -> tuple[Field, ...]:
        """Every field."""
        return (*self.fields, *self.further)


def groups(data: Mapping[str, Any], source: Source) -> Iterator[Group]:
    """The form of a text that is TOML, whatever else is wrong with it."""
    unit = (
        data["instrument"].get("pressure_unit") if isinstance(data.get("instrument"), dict) else ""
    )
    reader = _Reader(data, source, unit if unit in TRADE_UNITS else "the instrument's unit")
    for name, model in _TABLES.items():
        yield reader.group((name,), model, *SECTIONS[name])
    yield from reader.listed("conditions.gradient")
    yield from reader.listed("flow_path")
    yield from reader.listed("measured")
    yield reader.group(("margins",), MarginSettings, *SECTIONS["margins"])


class _Reader:
    def __init__(self, data: Mapping[str, Any], source: Source, unit: str) -> None:
        self.data, self.source, self.unit = data, source, unit

    def at(self, path: KeyPath) -> Any:
        """What the text has at a path; None for nothing."""
        value: Any = self.data
        for step in path:
            try:
                value = value[step]
            except (KeyError, IndexError, TypeError):
                return None
        return value

    def elements(self, path: KeyPath) -> Iterator[KeyPath]:
        """The tables of a list."""
        listed = self.at(path)
        if isinstance(listed, list):
            for index, item in enumerate(listed[:MOST_PARTS]):
                if isinstance(item, dict):
                    yield (*path, index)

    def listed(self, name: str) -> Iterator[Group]:
        """The elements of a list with their buttons; of an empty one the button to begin it."""
        listing = LISTS[name]
        count = count_of(self.data, listing)
        for path in self.elements(listing.path):
            group, index = self._element(path), int(path[-1])
            kind = group.fields[0].value if name == "flow_path" else ""
            what = naming(listing, index, count, kind)
            acts = buttons(listing, index, count, what, MOST_PARTS) if count else ()
            yield group._replace(buttons=acts, what=what)
        if not self.at(listing.path):
            told = "None is given."
            yield Group(listing.path, listing.heading, told, (), buttons=(first_button(listing),))

    def _element(self, path: KeyPath) -> Group:
        number = int(path[-1]) + 1
        if path[0] == "flow_path":
            return self.part(path, number)
        if path[0] == "measured":
            return self.group(path, MeasuredPair, f"Measured pair {number}", "Read at the pump.")
        return self.group(path, GradientPoint, f"Point {number} of the gradient", "")

    def part(self, path: KeyPath, number: int) -> Group:
        """A part of the flow path, by its kind."""
        table, kinds = self.at(path), part_models()
        kind = table.get("part")
        kind = kind if isinstance(kind, str) else ""
        label = table.get("label")
        heading = f"{number}. {kind or 'part'}" + (f", {label}" if isinstance(label, str) else "")
        model = kinds.get(kind, kinds["fitting"])
        group = self.group(path, model, heading, "", kind if kind in kinds else "")
        choose = Field(
            (*path, "part"), "Part", TEXT, kind, "use" not in table, tuple(kinds), "", ""
        )
        given, further = (
            tuple(field for field in fields if field.path != choose.path)
            for fields in (group.fields, group.further)
        )
        return group._replace(fields=(choose, *given), further=further)

    def group(
        self, path: KeyPath, model: type[BaseModel], heading: str, help: str, part: str = ""
    ) -> Group:
        """The fields of a table, in the order of the format."""
        table = self.at(path)
        table = table if isinstance(table, dict) else {}
        fields = list(self._fields(path, model, table, part))
        known = {field.path[len(path)] for field in fields}
        for key, value in table.items():
            if key not in known and key not in model.model_fields and not _holds_more(value):
                kind = TEXT if isinstance(value, str) else NUMBER
                at = (*path, key)
                told = "The format has no such key: empty it to take it out."
                fields.append(Field(at, key, kind, shown(self.data, self.source, at), help=told))
        asked = {(*path, key) for key in _ASKED if part}
        given = tuple(f for f in fields if f.required or f.value or f.path in asked)
        return Group(path, heading, help, given, tuple(f for f in fields if f not in given))

    def _fields(
        self, path: KeyPath, model: type[BaseModel], table: Mapping[str, Any], part: str
    ) -> Iterator[Field]:
        for key, info in model.model_fields.items():
            at = (*path, key)
            marks = next((m for m in info.metadata if isinstance(m, ProfileField)), None)
            marks = marks or _marks(info.annotation)
            inner = marks if isinstance(marks, type) else None
            if inner is not None:  # a table of its own, or a list of such
                if get_origin(info.annotation) is tuple or _is_list(info.annotation):
                    if path[:1] == ("flow_path",):
                        for element in self.elements(at):
                            yield from self._within(element, inner, part)
                elif not isinstance(table.get(key), list):
                    yield from self._within(at, inner, part)
                continue
            used = "use" in table and key != "use"
            needed = info.is_required() and not used
            yield self._field(at, marks, needed, part)

    def _within(self, path: KeyPath, model: type[BaseModel], part: str) -> Iterator[Field]:
        """The fields of a table within a part, under its name."""
        number = f" {int(path[-1]) + 1}" if isinstance(path[-1], int) else ""
        name = words(path[:-1] if number else path)[0]
        table = self.at(path)
        there = isinstance(table, dict)
        for field in self._fields(path, model, table if there else {}, part):
            label = f"{name}{number}: {field.label.lower()}"
            yield field._replace(label=label, required=field.required and there)

    def _field(self, path: KeyPath, marks: Any, required: bool, part: str) -> Field:
        label, help = words(path)
        value = shown(self.data, self.source, path)
        kind, beside = TEXT, ""
        options: tuple[str, ...] = ()
        if isinstance(marks, TruthField):
            kind, options = TRUTH, ("true", "false")
        elif isinstance(marks, UnitField):
            options = TRADE_UNITS
        elif isinstance(marks, QuantityField):
            units = TRADE_UNITS if marks.kind is Pressure else tuple(marks.kind.UNITS)
            beside = " ".join(units)
            help = f"{help} With its unit, as in {marks.kind.EXAMPLE}.".strip()
        elif isinstance(marks, CutoffField):
            kind, beside = NUMBER, self.unit
        elif isinstance(marks, ExpectedField):
            kind, beside = NUMBER, self.unit
            help = f"{help} Or with a unit of its own, as in 120 bar.".strip()
        elif isinstance(marks, NumberField):
            kind, beside = NUMBER, _BESIDE.get(str(path[-1]), "")
            if path[0] == "instrument":
                beside = self.unit
        elif isinstance(marks, tuple):
            options = marks
        if range_ := usual(path, part):
            help = f"{help} Usual: {range_}.".strip()
        if options and value and value not in options:
            options = (value, *options)
        return Field(path, label, kind, value, required, options, beside, help)


_BESIDE = {"percent_b": "%", "minute": "min", "injection_minute": "min"}


def _marks(annotation: Any) -> Any:
    """What reads a value: a field type, the choices, or the model of a table; None for others."""
    if get_origin(annotation) is Literal:
        return tuple(map(str, get_args(annotation)))
    if _is_model(annotation):
        return annotation
    for inner in (*getattr(annotation, "__metadata__", ()), *get_args(annotation)):
        if isinstance(inner, ProfileField):
            return inner
        found = _marks(inner)
        if found is not None:
            return found
    return None


def _is_model(annotation: Any) -> bool:
    return isinstance(annotation, type) and issubclass(annotation, BaseModel)


def _is_list(annotation: Any) -> bool:
    return get_origin(annotation) is tuple or any(map(_is_list, get_args(annotation)))


def _holds_more(value: object) -> bool:
    return isinstance(value, dict | list)


def field_of_any_part(name: str) -> Field | None:
    """A field of a part by its name, whatever kind the part is; None where no part has it.

    A part whose kind was just changed has fields that its text does not know yet.
    """
    steps = name.split(".")
    if len(steps) < 3 or steps[0] != "flow_path" or not steps[1].isdecimal():
        return None
    place = int(steps[1]) if len(steps[1]) < 4 else MOST_PARTS
    if place >= MOST_PARTS:
        return None
    for kind, model in part_models().items():
        reader = _Reader({}, Source(""), "")
        for field in reader.group(("flow_path", place), model, "", "", kind).all:
            if field.name == name:
                return field
    return None

"""The form of a profile: sections and fields as the format has them, with what the text holds."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import BaseModel

from ..findings import KeyPath
from ..policy import Margins
from ..profile.measured import MeasuredPair
from ..profile.model import (
    Conditions,
    Cutoffs,
    Expected,
    GradientPoint,
    Instrument,
    MarginSettings,
    Method,
    Profile,
)
from ..profile.places import Source
from ..profile.problems import part_models
from ..profile.text import Merged
from ..units import TRADE_UNITS
from .arranging import LISTS, Listing, buttons, count_of, first_button, listing_within, naming
from .draft import NUMBER, TEXT, shown
from .form_fields import Field, Group, field_of, goes_when_empty, is_list, marks_of, with_own
from .held import Held
from .words import SECTIONS, label

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


def groups(
    data: Mapping[str, Any],
    source: Source,
    shared: Merged | None = None,
    margins: Margins | None = None,
) -> Iterator[Group]:
    """The form of a text that is TOML, whatever else is wrong with it.

    `shared` is the same text with the values of shared descriptions, where they can be read;
    `margins` are those of the policy.
    """
    reader = _Reader(data, source, Held(shared, margins))
    for name, model in _TABLES.items():
        yield reader.group((name,), model, *SECTIONS[name])
    yield from reader.listed("conditions.gradient")
    yield from reader.listed("flow_path")
    yield from reader.listed("measured")
    yield reader.group(("margins",), MarginSettings, *SECTIONS["margins"])


class _Reader:
    def __init__(self, data: Mapping[str, Any], source: Source, held: Held) -> None:
        self.data, self.source, self.held = data, source, held
        unit = self._text(("instrument", "pressure_unit"))
        self.unit = unit if unit in TRADE_UNITS else "the instrument's unit"

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
        for path in self.elements(listing.path):
            if name != "flow_path":
                yield self._arranged(self._element(path), listing)
                continue
            group = self._element(path)
            part = self._arranged(group, listing, self._text((*path, "part")))
            lists = list(self._lists_within(part))
            empty = (one for one, _ in lists if not self.at(one.path))
            yield part._replace(first=tuple(first_button(one, part.what) for one in empty))
            for one, model in lists:
                yield from self._within_part(part, one, model)
        yield from self._too_many(listing, listing.heading)
        if not self.at(listing.path):
            told = "None is given."
            yield Group(listing.path, listing.heading, told, (), buttons=(first_button(listing),))

    def _arranged(self, group: Group, listing: Listing, of: str = "") -> Group:
        """An element with its buttons; `of` says what it is, or what it is of."""
        index, count = int(group.path[-1]), count_of(self.data, listing)
        what = naming(listing, index, count, of)
        acts = buttons(listing, index, count, what, MOST_PARTS) if count else ()
        return group._replace(buttons=acts, what=what)

    def _too_many(self, listing: Listing, heading: str, within: bool = False) -> Iterator[Group]:
        if (count := count_of(self.data, listing)) > MOST_PARTS:
            told = f"Fields for {MOST_PARTS} of {count} are above: change the others in the text."
            yield Group(listing.path, heading, told, (), within=within)

    def _lists_within(self, part: Group) -> Iterator[tuple[Listing, type[BaseModel]]]:
        """The lists that a part of its kind may have, with what one of each is."""
        for key, info in self._model(part.path).model_fields.items():
            if is_list(info.annotation):
                yield listing_within(part.path, key), marks_of(info)

    def _within_part(
        self, part: Group, listing: Listing, model: type[BaseModel]
    ) -> Iterator[Group]:
        """The elements of a list of a part."""
        for path in self.elements(listing.path):
            heading = f"{part.heading}: {listing.one} {int(path[-1]) + 1}"
            point = self.group(path, model, heading, "")._replace(within=True)
            yield self._arranged(point, listing, part.what)
        yield from self._too_many(listing, f"{part.heading}: {listing.one}", within=True)

    def _element(self, path: KeyPath) -> Group:
        number = int(path[-1]) + 1
        if path[0] == "flow_path":
            return self.part(path, number)
        if path[0] == "measured":
            return self.group(path, MeasuredPair, f"Measured pair {number}", "Read at the pump.")
        return self.group(path, GradientPoint, f"Point {number} of the gradient", "")

    def _text(self, path: KeyPath) -> str:
        """A text of a part, its own or that of its description; empty for none."""
        value = self.at(path) or self.held.value(path)
        return value if isinstance(value, str) else ""

    def _model(self, part: KeyPath) -> type[BaseModel]:
        """The model of a part, by its kind."""
        kinds = part_models()
        return kinds.get(self._text((*part, "part")), kinds["fitting"])

    def part(self, path: KeyPath, number: int) -> Group:
        """A part of the flow path, by its kind."""
        kinds, kind = part_models(), self._text((*path, "part"))
        label = self._text((*path, "label"))
        heading = f"{number}. {kind or 'part'}" + (f", {label}" if label else "")
        group = self.group(path, self._model(path), heading, "", kind if kind in kinds else "")
        choose = next(
            field._replace(label="Part", options=with_own(tuple(kinds), field.value), help="")
            for field in group.all
            if field.path == (*path, "part")
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
        found = self.at(path)
        table = found if isinstance(found, dict) else {}
        fields = list(self._fields(path, model, table, part))
        alone = len(path) == 1 and goes_when_empty(Profile.model_fields[str(path[0])], model)
        fields = [field._replace(alone=alone) for field in fields]
        known = {field.path[len(path)] for field in fields}
        for key, value in table.items():
            if key not in known and key not in model.model_fields and not _holds_more(value):
                kind = TEXT if isinstance(value, str) else NUMBER
                at = (*path, key)
                told = "The format has no such key: empty it to take it out."
                fields.append(Field(at, key, kind, shown(self.data, self.source, at), help=told))
        asked = {(*path, key) for key in _ASKED if part}
        given = tuple(f for f in fields if f.required or f.value or f.held or f.path in asked)
        further = tuple(f for f in fields if f not in given)
        if alone and found is None:  # needed only where one of them is given
            given = tuple(field._replace(required=False) for field in given)
        held = tuple(self.held.lists(path)) if "use" in table else ()
        return Group(path, heading, help, given, further, held=held)

    def _fields(
        self, path: KeyPath, model: type[BaseModel], table: Mapping[str, Any], part: str
    ) -> Iterator[Field]:
        for key, info in model.model_fields.items():
            at = (*path, key)
            marks = marks_of(info)
            inner = marks if isinstance(marks, type) else None
            if inner is not None:  # a table of its own, or a list of such, which has groups
                if not is_list(info.annotation) and not isinstance(table.get(key), list):
                    alone = goes_when_empty(info, inner)
                    yield from (one._replace(alone=alone) for one in self._within(at, inner, part))
                continue
            held = self.held.at(at) if key not in table else ""
            unknown = "use" in table and not self.held.known
            yield field_of(
                at,
                marks,
                shown(self.data, self.source, at),
                table=model.__name__,
                required=info.is_required() and not held and not unknown,
                part=part,
                unit=self.unit,
                held=held,
            )

    def _within(self, path: KeyPath, model: type[BaseModel], part: str) -> Iterator[Field]:
        """The fields of a table within a part, under its name."""
        name = label(str(path[-1]))
        table = self.at(path)
        there = isinstance(table, dict)
        for field in self._fields(path, model, table if there else {}, part):
            told = f"{name}: {field.label[:1].lower()}{field.label[1:]}"
            yield field._replace(label=told, required=field.required and there)


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
        reader = _Reader({}, Source(""), Held(None))
        for field in reader.group(("flow_path", place), model, "", "", kind).all:
            if field.name == name:
                return field
    return None

"""Validation errors in the user's words: what was seen, and what to write instead."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from itertools import islice
from typing import Any, NamedTuple, get_args

from pydantic import BaseModel, ValidationError

from ..errors import cut
from ..findings import KeyPath, path_text
from .fields import kind_of
from .model import Column, Device, Profile, Pump, Tube
from .text import MOST_OF_A_KIND, further


class Problem(NamedTuple):
    """One thing wrong at a key path."""

    path: KeyPath
    message: str
    advice: str
    at_key: bool = False
    """Whether the key itself is wrong, not its value."""


_BELONGS = {
    "model_type": "a table",
    "model_attributes_type": "a table",
    "dict_type": "a table",
    "tuple_type": "a list",
    "date_type": "a date",
    "bool_type": "true or false",
    "is_instance_of": "a date",
}
_SHAPE = {
    "a table": "write a table: [name] on a line of its own, or {key = value}",
    "a list": "write a list: [first, second], or [[name]] tables",
    "true or false": "write true or false, without quotes",
    "a date": "write a date without quotes, as in 2027-06-30",
}
_UNKNOWN = "extra_forbidden"
_MOST_COMPARED = 100
"""Unknown keys of a table that are looked at for one that is missing there."""
_PARTS: dict[str, type[BaseModel]] = {
    part: model
    for model in (Pump, Device, Tube, Column)
    for part in get_args(model.model_fields["part"].annotation)
}


def part_models() -> Mapping[str, type[BaseModel]]:
    """Every kind of part with its model."""
    return _PARTS


def explain(error: ValidationError, root: type[BaseModel] = Profile) -> Iterator[Problem]:
    """What is wrong after a failed validation, without what only follows from another problem.

    Of many problems of one kind the first are told, and how many more there are.
    """
    details = error.errors(include_url=False, include_input=True)
    paths = [_key_path(detail["loc"]) for detail in details]
    above = {path[:length] for path in paths for length in range(len(path))}
    unknown: dict[KeyPath, list[str]] = {}
    for path, detail in zip(paths, details, strict=True):
        if detail["type"] == _UNKNOWN:
            unknown.setdefault(path[:-1], []).append(str(path[-1]))
    kinds: Counter[tuple[str, str | int]] = Counter()
    beyond: dict[tuple[str, str | int], KeyPath] = {}
    for path, detail in zip(paths, details, strict=True):
        if detail["type"] == "too_short" and path in above:
            continue
        beside = unknown.get(path[:-1], ()) if detail["type"] == "missing" else ()
        if any(_closest(other, [str(path[-1])]) for other in islice(beside, _MOST_COMPARED)):
            continue  # misspelt
        kind = _kind(path, detail["type"])
        kinds[kind] += 1
        if kinds[kind] <= MOST_OF_A_KIND:
            yield _problem(path, detail, root)
        else:
            beyond.setdefault(kind, path)
    for kind, path in beyond.items():
        number = kinds[kind] - MOST_OF_A_KIND
        yield Problem(path, *further(number), at_key=True)


def _kind(path: KeyPath, problem: str) -> tuple[str, str | int]:
    """What problems have in common: what is wrong and, where the format names it, of which key."""
    free = problem in (_UNKNOWN, "literal_error")
    named = [step for step in path if isinstance(step, str)]
    return problem, "" if free or not named else named[-1]


def _key_path(location: tuple[str | int, ...]) -> KeyPath:
    """The path in the file: without the part's name that a tagged union puts in."""
    if location[:1] == ("flow_path",) and len(location) > 2:
        return location[:2] + location[3:]
    return location


def _problem(path: KeyPath, detail: Mapping[str, Any], root: type[BaseModel]) -> Problem:
    kind, seen, context = detail["type"], detail["input"], detail.get("ctx", {})
    if kind == "refused":
        return Problem(path, f"{_where(path)}{context['message']}", context["advice"])
    if kind == "missing":
        key, table = path[-1], path[:-1]
        advice = f"{_how_to_add(path)}{_or_leave_out(table, detail, root)}"
        return Problem(table, f"{key} is missing from {_table(table)}", advice)
    if kind == _UNKNOWN:
        advice = near(str(path[-1]), _known_keys(detail["loc"], root), "known keys here")
        message = f"unknown key {cut(str(path[-1]))} in {_table(path[:-1])}"
        return Problem(path, message, advice, at_key=True)
    if kind == "literal_error":
        return Problem(
            path,
            f"{_where(path)}{_quote(seen)} is not one of its values",
            near(str(seen), _choices(context), "write one of"),
        )
    if kind == "union_tag_not_found":
        return Problem(path, f"{_table(path)} has no part", f"write one of: {', '.join(_PARTS)}")
    if kind == "union_tag_invalid":
        part = context["tag"]
        return Problem(
            (*path, "part"),
            f"there is no part {_quote(part)}",
            near(str(part), list(_PARTS), "parts"),
        )
    if kind == "too_long":
        most = context["max_length"]
        return Problem(path, f"{_where(path)}too many entries", f"give {most} at most")
    if kind == "too_short":
        least = context["min_length"]
        advice = _or_leave_out(path, detail, root)
        return Problem(path, f"{_where(path)}too few entries", f"give {least} or more{advice}")
    belongs = _BELONGS.get(kind)
    if belongs is None:
        return Problem(path, f"{_where(path)}{_quote(seen)} does not fit", detail["msg"])
    return Problem(path, f"{_where(path)}{kind_of(seen)} where {belongs} belongs", _SHAPE[belongs])


def _where(path: KeyPath) -> str:
    return f"{cut(path_text(path), 100)}: " if path else ""


def _quote(value: object) -> str:
    return cut(f'"{value}"' if isinstance(value, str) else str(value))


def _table(path: KeyPath) -> str:
    return f"[{cut(path_text(path), 100)}]" if path else "the file"


def _how_to_add(path: KeyPath) -> str:
    key = path[-1]
    if key in ("method", "instrument"):
        return f"add a table [{key}]"
    if key == "flow_path":
        return 'add [[flow_path]] tables in flow order, the pump first: part = "pump"'
    examples = {"format": "format = 1", "pressure_unit": 'pressure_unit = "bar"'}
    return f"add {examples.get(str(key), f'{key} = ...')}"


def _or_leave_out(path: KeyPath, detail: Mapping[str, Any], root: type[BaseModel]) -> str:
    """What else can be done with an empty table or list that need not be there."""
    location = detail["loc"][: len(detail["loc"]) - (detail["type"] == "missing")]
    if detail["input"] or not location or not isinstance(location[-1], str):
        return ""
    field = _model_around(location, root).model_fields[location[-1]]
    return "" if field.is_required() else f", or take out {cut(str(path[-1]))}"


def near(word: str, known: list[str], label: str) -> str:
    """Advice that lists what is known, the nearest match first."""
    close, listed = _closest(word, known), f"{label}: {', '.join(known)}"
    return f"did you mean {close}? {listed}" if close else listed


def _closest(word: str, known: list[str]) -> str | None:
    from difflib import get_close_matches

    plain = word.lower().replace("-", "_")
    close = get_close_matches(word, known, 1) or get_close_matches(plain, known, 1)
    return close[0] if close else None


def _known_keys(location: tuple[str | int, ...], root: type[BaseModel]) -> list[str]:
    """The keys of the table around a place."""
    return sorted(_model_around(location, root).model_fields)


def _model_around(location: tuple[str | int, ...], root: type[BaseModel]) -> type[BaseModel]:
    """The model of the table around a place; of a part, the location names its kind."""
    model = root
    for step in location[:-1]:
        if isinstance(step, str):
            field = model.model_fields.get(step)
            model = _PARTS[step] if field is None else next(_models_in(field.annotation))
    return model


def _models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in get_args(annotation):
        yield from _models_in(inner)


def _choices(context: Mapping[str, Any]) -> list[str]:
    return re.findall(r"'([^']*)'", context["expected"])

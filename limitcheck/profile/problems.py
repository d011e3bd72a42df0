"""Validation errors in the user's words: what was seen, and what to write instead."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from ..findings import KeyPath, path_text
from .fields import kind_of
from .model import Column, Device, Profile, Tube


@dataclass(frozen=True, slots=True)
class Problem:
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
    "is_instance_of": "a date",
}


def explain(
    error: ValidationError, data: Mapping[str, Any], root: type[BaseModel] = Profile
) -> Iterator[Problem]:
    """Every problem of a failed validation, without those that only follow from another."""
    details = [
        (_key_path(detail["loc"]), detail)
        for detail in error.errors(include_url=False, include_input=True)
    ]
    paths = [path for path, _ in details]
    for path, detail in details:
        follows = any(len(p) > len(path) and p[: len(path)] == path for p in paths)
        if not (follows and detail["type"] == "too_short"):
            yield _problem(path, detail, data, root)


def _key_path(location: tuple[str | int, ...]) -> KeyPath:
    """The path in the file: without the part's name that a tagged union puts in."""
    if location[:1] == ("flow_path",) and len(location) > 2:
        return location[:2] + location[3:]
    return location


def _problem(
    path: KeyPath, detail: Mapping[str, Any], data: Mapping[str, Any], root: type[BaseModel]
) -> Problem:
    kind, seen, context = detail["type"], detail["input"], detail.get("ctx", {})
    if kind == "refused":
        return Problem(path, f"{_where(path)}{context['message']}", context["advice"])
    if kind == "missing":
        key, table = path[-1], path[:-1]
        return Problem(table, f"{key} is missing from {_table(table)}", _how_to_add(path))
    if kind == "extra_forbidden":
        known = sorted(_keys_at(path[:-1], data, root))
        advice = near(str(path[-1]), known, "known keys here")
        message = f"unknown key {path[-1]} in {_table(path[:-1])}"
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
            (*path, "part"), f'there is no part "{part}"', near(str(part), list(_PARTS), "parts")
        )
    if kind == "too_short":
        least = context["min_length"]
        return Problem(path, f"{_where(path)}too few entries", f"give {least} or more")
    belongs = _BELONGS.get(kind)
    if belongs is None:
        return Problem(path, f"{_where(path)}{_quote(seen)} does not fit", detail["msg"])
    return Problem(path, f"{_where(path)}{kind_of(seen)} where {belongs} belongs", _shape(belongs))


def _where(path: KeyPath) -> str:
    return f"{path_text(path)}: " if path else ""


def _quote(value: object) -> str:
    text = f'"{value}"' if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else text[:57] + "..."


def _table(path: KeyPath) -> str:
    return f"[{path_text(path)}]" if path else "the file"


def _how_to_add(path: KeyPath) -> str:
    key = path[-1]
    if key in ("method", "instrument"):
        return f"add a table [{key}]"
    if key == "flow_path":
        return 'add [[flow_path]] tables in flow order, the pump first: part = "pump"'
    examples = {"format": "format = 1", "pressure_unit": 'pressure_unit = "bar"'}
    return f"add {examples.get(str(key), f'{key} = ...')}"


def _shape(belongs: str) -> str:
    return {
        "a table": "write a table: [name] on a line of its own, or {key = value}",
        "a list": "write a list: [first, second], or [[name]] tables",
        "a date": "write a date without quotes, as in 2027-06-30",
    }[belongs]


def near(word: str, known: list[str], label: str) -> str:
    """Advice that lists what is known, the nearest match first."""
    from difflib import get_close_matches

    close = get_close_matches(word, known, n=1, cutoff=0.6)
    listed = f"{label}: {', '.join(known)}"
    return f"did you mean {close[0]}? {listed}" if close else listed


def _part_model(part: object) -> type[BaseModel] | None:
    return _PARTS.get(part) if isinstance(part, str) else None


_PARTS: dict[str, type[BaseModel]] = {
    part: model
    for model in (Device, Tube, Column)
    for part in get_args(model.model_fields["part"].annotation)
}


def _model_at(
    path: KeyPath, data: Mapping[str, Any], root: type[BaseModel]
) -> type[BaseModel] | None:
    """The model of the table at a key path; a part's model is chosen by its `part`."""
    model: type[BaseModel] | None = root
    value: Any = data
    for step in path:
        try:
            value = value[step]
        except (KeyError, IndexError, TypeError):
            return None
        if isinstance(step, str) and model is not None:
            field = model.model_fields.get(step)
            models = [] if field is None else list(_models_in(field.annotation))
            model = models[0] if models else None
        elif model in (Device, Tube, Column) and isinstance(value, Mapping):
            model = _part_model(value.get("part")) or model
    return model


def _models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in get_args(annotation):
        yield from _models_in(inner)


def _keys_at(path: KeyPath, data: Mapping[str, Any], root: type[BaseModel]) -> list[str]:
    model = _model_at(path, data, root)
    return list(model.model_fields) if model is not None else []


def _choices(context: Mapping[str, Any]) -> list[str]:
    return re.findall(r"'([^']*)'", context["expected"])

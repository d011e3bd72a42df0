"""Faulty profiles with the findings a check of them must give, and the schemas of the output."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable, Iterable, Iterator
from datetime import date
from importlib.resources import files
from typing import Any, NamedTuple

from ..checking.results import FileReport
from ..checking.run import Run, check_content, finish
from ..findings import Finding, path_text
from ..policy import DEFAULT_POLICY
from ..profile.schema import schema_text
from ..profile.toml import parse
from ..schemas import command_schema
from .results import Group, Result, Verdict

RenderJson = Callable[[Run], Iterable[str]]
_DAY = date(2026, 1, 1)
"""No profile here depends on the day."""
_OWN = "limitcheck"


class Case(NamedTuple):
    """A profile of data/profiles.toml and what was found in it."""

    title: str
    expected: tuple[str, ...]
    text: str
    report: FileReport


def cases() -> list[Case]:
    """Every profile of the data file, checked under the default policy."""
    text = (files(__package__) / "data" / "profiles.toml").read_text("utf-8")
    found = []
    for table in parse(text)["profiles"]:
        title, content = table["title"], table["text"].encode()
        (report,) = check_content(content, f"{title}.toml", DEFAULT_POLICY, _DAY).reports
        found.append(Case(title, tuple(table["expect"]), table["text"], report))
    return found


def faulty_profiles() -> Iterator[Group]:
    """Each profile with its findings as grade, check and key path, and what to type instead."""
    results = []
    for case in cases():
        found = sorted(map(_line, case.report.findings))
        found += [f"type {item.text}" for item in case.report.recommendations]
        results.append(
            Result.of(
                case.title,
                "; ".join(case.expected) or "nothing",
                "; ".join(found) or "nothing",
                passed=tuple(found) == case.expected,
            )
        )
    yield Group(
        "Findings of faulty profiles",
        f"{_OWN}: worked out from the rules of the checks",
        "exact",
        tuple(results),
    )


def _line(finding: Finding) -> str:
    return f"{finding.severity} {finding.check} {path_text(finding.path)}".rstrip()


def schemas(render_json: RenderJson) -> Iterator[Group]:
    """The JSON output of all these profiles, and the readable profiles, against their schemas."""
    title, source = "Output and input schemas", f"{_OWN}: schemas in the package, draft 2020-12"
    packaged = (files("limitcheck.profile") / "profile.schema.json").read_text("utf-8")
    results = [
        Result.of(
            "profile.schema.json",
            "as the models of the format give it",
            "the same" if packaged == schema_text() else "different",
            passed=packaged == schema_text(),
        )
    ]
    try:
        results += _against_schemas(render_json, json.loads(packaged))
    except ModuleNotFoundError as error:
        results.append(
            Result(
                "documents against their schemas",
                "conforms",
                f"{error.name} is not installed: pip install 'limitcheck[qualify]'",
                Verdict.NOT_RUN,
            )
        )
    yield Group(title, source, "exact", tuple(results))


def _against_schemas(render_json: RenderJson, profile_schema: Any) -> Iterator[Result]:
    from jsonschema import Draft202012Validator  # type: ignore[import-untyped]

    checked = cases()
    output = json.loads("".join(render_json(finish([case.report for case in checked]))))
    output_schema = json.loads(command_schema("check"))
    documents = [("check --format json of the profiles above", output, output_schema)]
    documents += [
        (f"profile: {case.title}", tomllib.loads(case.text), profile_schema)
        for case in checked
        if case.report.status != "unreadable"
    ]
    for name, document, schema in documents:
        Draft202012Validator.check_schema(schema)
        errors = [error.message for error in Draft202012Validator(schema).iter_errors(document)]
        yield Result.of(name, "conforms", "; ".join(errors) or "conforms", passed=not errors)

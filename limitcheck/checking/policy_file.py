"""A repository's policy: `limitcheck.toml`, or `[tool.limitcheck]` in pyproject.toml.

The nearest one upward from a profile holds for it. Unknown keys are errors.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from os.path import isfile
from pathlib import Path
from typing import Any, Literal

from pydantic import Field, ValidationError

from ..checks.documentation import DOCUMENTED
from ..checks.required import may_be_required
from ..findings import Finding, KeyPath, Severity
from ..policy import DEFAULT_POLICY, Margins, Policy
from ..profile.model import FormatTable, RatioQuantity
from ..profile.problems import Problem, explain, near
from ..profile.text import ParsedText, UnreadableProfile, parsed, read_file

OWN_FILE, SHARED_FILE = "limitcheck.toml", "pyproject.toml"
_CHECK = "unreadable-settings"
Grade = Literal["error", "warning", "note", "off"]


class PolicyMargins(FormatTable):
    """`[margins]` of a policy."""

    high: RatioQuantity | None = None
    low: RatioQuantity | None = None
    headroom: RatioQuantity | None = None
    high_thin: RatioQuantity | None = None
    high_wide: RatioQuantity | None = None
    low_thin: RatioQuantity | None = None
    low_wide: RatioQuantity | None = None


class RequireTable(FormatTable):
    """`[require]` of a policy: checks that may not be left undecided."""

    checks: tuple[str, ...]


class SettingsTable(FormatTable):
    """The keys of a policy file."""

    fail_on: Literal["error", "warning", "note"] | None = None
    exclude: tuple[str, ...] = ()
    margins: PolicyMargins = Field(default_factory=PolicyMargins)
    severity: dict[str, Grade] = Field(default_factory=dict)
    require: RequireTable | None = None


def policy_for(path: Path) -> Policy:
    """The policy that holds for a file; raises UnreadableProfile for a policy in error."""
    return _policy_of_folder(path.absolute().parent)


def policy_requiring(checks: tuple[str, ...], path: Path) -> Policy:
    """The policy that holds for a file, with other checks required than it says."""
    return policy_for(path)._replace(require=checks)


def forget_policies() -> None:
    """Read every policy again, in a process that outlives an edit."""
    _policy_of_folder.cache_clear()


@lru_cache(maxsize=4096)
def _policy_of_folder(folder: Path) -> Policy:
    found = _read_folder(folder)
    if found is not None:
        return found
    return DEFAULT_POLICY if folder.parent == folder else _policy_of_folder(folder.parent)


def _read_folder(folder: Path) -> Policy | None:
    own, shared = folder / OWN_FILE, folder / SHARED_FILE
    if isfile(own):  # not Path.is_file, which raises for names and folders out of reach
        return read_policy(own)
    if isfile(shared) and b"tool.limitcheck" in read_file(shared):
        return read_policy(shared)
    return None


def read_policy(path: Path) -> Policy:
    """The policy in a file; raises UnreadableProfile with everything wrong in it."""
    name = str(path)
    try:
        own = parsed(read_file(path), name, empty=True)
    except UnreadableProfile as error:
        findings = tuple(finding._replace(check=_CHECK) for finding in error.findings)
        raise UnreadableProfile(name, findings) from None
    table: Any = own.data
    prefix: KeyPath = ("tool", "limitcheck") if path.name == SHARED_FILE else ()
    for step in prefix:
        table = table.get(step, {}) if isinstance(table, Mapping) else {}
    try:
        settings = SettingsTable.model_validate(table)
    except ValidationError as error:
        problems = list(explain(error, SettingsTable))
    else:
        problems = [
            _unknown_check(("severity", name), name, names)
            for name in settings.severity
            if name not in (names := _names())
        ]
        asked = settings.require.checks if settings.require is not None else ()
        problems += [
            _unknown_check(("require", "checks", index), name, may_be_required())
            for index, name in enumerate(asked)
            if name not in may_be_required()
        ]
    if problems:
        raise _refused(own, problems, prefix)
    return _policy(settings, name)


def _policy(settings: SettingsTable, name: str) -> Policy:
    given = {
        key: quantity.value
        for key in PolicyMargins.model_fields
        if (quantity := getattr(settings.margins, key)) is not None
    }
    origin = {**Margins().origin, **{k: name for k in given if k in Margins().origin}}
    return Policy(
        margins=Margins()._replace(**given, origin=origin),
        fail_on=Severity(settings.fail_on or DEFAULT_POLICY.fail_on),
        severities={
            check: None if grade == "off" else Severity(grade)
            for check, grade in settings.severity.items()
        },
        require=DEFAULT_POLICY.require if settings.require is None else settings.require.checks,
        exclude=settings.exclude,
        source=name,
    )


def _names() -> list[str]:
    return sorted(DOCUMENTED.keys() - {"unreadable-profile"})


def _unknown_check(path: KeyPath, check: str, names: list[str]) -> Problem:
    return Problem(path, f'there is no check "{check}"', near(check, names, "checks"))


def _refused(own: ParsedText, problems: list[Problem], prefix: KeyPath) -> UnreadableProfile:
    findings = tuple(
        Finding(
            Severity.ERROR,
            p.message,
            p.advice,
            (*prefix, *p.path),
            check=_CHECK,
            location=own.locate((*prefix, *p.path)),
        )
        for p in problems
    )
    return UnreadableProfile(own.name, findings)

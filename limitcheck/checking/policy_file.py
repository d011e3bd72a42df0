"""A repository's policy: `limitcheck.toml`, or `[tool.limitcheck]` in pyproject.toml.

The nearest one upward from a profile holds for it, whole. Unknown keys are errors, and so is
what only looks like a policy: a name that is nearly right must not mean that nothing is read.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any, Literal, NoReturn

from pydantic import Field, ValidationError

from ..checks.documentation import ABOUT_FILES, SWITCHED
from ..checks.required import NOT_DECIDED, may_be_required
from ..findings import Finding, KeyPath, Severity
from ..policy import DEFAULT_POLICY, MARGIN_NAMES, NOTHING_ASKED, CommandLine, Margins, Policy
from ..profile.model import FormatTable, RatioQuantity
from ..profile.problems import Problem, explain, near
from ..profile.text import ParsedText, UnreadableProfile, parsed, read_file, refusal

OWN_FILE, SHARED_FILE = "limitcheck.toml", "pyproject.toml"
TABLE = ("tool", "limitcheck")
"""Where a policy stands in the shared file."""
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
    margins: PolicyMargins = PolicyMargins()
    severity: dict[str, Grade] = Field(default_factory=dict)
    require: RequireTable | None = None


def policy_for(path: Path, command: CommandLine = NOTHING_ASKED) -> Policy:
    """The policy that holds for a file, with what the command line sets over it.

    It is looked for from the real folder of the file upward, however its path was typed. Raises
    UnreadableProfile for a policy in error.
    """
    return _policy_under(command, real_folder(str(path.parent), os.getcwd()))


@lru_cache(maxsize=4096)
def real_folder(folder: str, here: str) -> Path:
    """A folder without links and dots; one that is relative is so to `here`."""
    return Path(os.path.realpath(os.path.join(here, folder)))


def forget_policies() -> None:
    """Read every policy again, in a process that outlives an edit."""
    real_folder.cache_clear()
    _policy_under.cache_clear()
    _policy_of_folder.cache_clear()


@lru_cache(maxsize=4096)
def _policy_under(command: CommandLine, folder: Path) -> Policy:
    return _policy_of_folder(folder)._replace(command=command)


@lru_cache(maxsize=4096)
def _policy_of_folder(folder: Path) -> Policy:
    found = _read_folder(folder)
    if found is not None:
        return found
    return DEFAULT_POLICY if folder.parent == folder else _policy_of_folder(folder.parent)


def _read_folder(folder: Path) -> Policy | None:
    """The policy of one folder; raises UnreadableProfile for one in error, and for two."""
    own = [folder / name for name in _names_like_ours(folder)]
    shared = folder / SHARED_FILE
    found = own + ([shared] if os.path.isfile(shared) and _holds_policy(shared) else [])
    if len(found) > 1:
        first, second = (path.name for path in found[:2])
        _refuse(folder / second, f"{first} beside it is a policy, too", f"keep one: {first}")
    return read_policy(found[0]) if found else None


def _names_like_ours(folder: Path) -> list[str]:
    """Names of the policy file in any case; raises for one misspelt that holds a policy."""
    try:
        names = [name for name in os.listdir(folder) if name[-5:].lower() == OWN_FILE[-5:]]
    except OSError:  # a folder that may be passed through, but not listed
        names = [OWN_FILE] if os.path.lexists(folder / OWN_FILE) else []
    ours = [name for name in names if name.lower() == OWN_FILE]
    for name in () if ours else names:
        if _nearly(name.lower(), OWN_FILE):
            _refuse_a_policy_in(folder / name)
    return sorted(ours)


def _nearly(name: str, ours: str) -> bool:
    """Whether a name is probably ours, misspelt."""
    if not (name.lstrip("._-").startswith("li") or "check" in name):
        return False
    from difflib import SequenceMatcher  # only for the few names that might be

    return SequenceMatcher(None, name.lower(), ours).ratio() > 0.85


def _refuse_a_policy_in(path: Path) -> None:
    """Refuse a file whose name is nearly a policy's where it holds one, too."""
    try:
        data = parsed(read_file(path), str(path), empty=True).data
    except UnreadableProfile:
        return
    if data.keys() & SettingsTable.model_fields and "format" not in data:
        _refuse(path, "not read, but it holds a policy", f"rename it {OWN_FILE}")


def _holds_policy(path: Path) -> bool:
    """Whether the shared file has our table; raises UnreadableProfile for one nearly ours."""
    try:
        own = parsed(read_file(path), str(path), empty=True)
    except UnreadableProfile:
        if not _names_us(path):
            return False  # nothing of ours: somebody else's fault to find
        raise
    if TABLE[1] in own.data:
        _refuse_key(own, TABLE[1:], f"write [{'.'.join(TABLE)}]")
    for name, table in own.data.items():
        if name.lower() == TABLE[0] and isinstance(table, Mapping):
            for key in table:
                if (name, key) != TABLE and _nearly(key, TABLE[1]):
                    _refuse_key(own, (name, key), f"did you mean [{'.'.join(TABLE)}]?")
    table = own.data.get(TABLE[0])
    return isinstance(table, Mapping) and TABLE[1] in table


def _names_us(path: Path) -> bool:
    """Whether our name stands in a file, of whatever size; so it may where it cannot be read."""
    name, rest = TABLE[1].encode(), b""
    try:
        with open(path, "rb") as file:
            while piece := file.read(1_000_000):
                if name in rest + piece:
                    return True
                rest = piece[-len(name) :]
    except OSError:
        return True
    return False


def _refuse_key(own: ParsedText, path: tuple[str, ...], advice: str) -> NoReturn:
    told = f"[{'.'.join(path)}] is not read: it is no policy"
    raise _refused(own, [Problem(path, told, advice, at_key=True)], ())


def _refuse(path: Path, message: str, advice: str) -> NoReturn:
    raise _as_settings(refusal(str(path), message, advice))


def _as_settings(error: UnreadableProfile) -> UnreadableProfile:
    findings = tuple(finding._replace(check=_CHECK) for finding in error.findings)
    return UnreadableProfile(error.path, findings)


def read_policy(path: Path) -> Policy:
    """The policy in a file; raises UnreadableProfile with everything wrong in it."""
    try:
        own = parsed(read_file(path), str(path), empty=True)
    except UnreadableProfile as error:
        raise _as_settings(error) from None
    table: Any = own.data
    prefix: KeyPath = TABLE if path.name == SHARED_FILE else ()
    for step in prefix:
        table = table.get(step, {}) if isinstance(table, Mapping) else {}
    try:
        stated = SettingsTable.model_validate(table)
    except ValidationError as error:
        problems = list(explain(error, SettingsTable))
    else:
        problems = list(_wrong_names(stated))
    if problems:
        raise _refused(own, problems, prefix)
    return _policy(stated, own)


def _policy(stated: SettingsTable, own: ParsedText) -> Policy:
    given = {
        key: quantity.value
        for key in MARGIN_NAMES
        if (quantity := getattr(stated.margins, key)) is not None
    }
    named = {"fail_on": "fail_on", "exclude": "exclude", "require": "require.checks"}
    top = {named[key] for key in stated.model_fields_set if key in named}
    return Policy(
        margins=Margins()._replace(**given, origin=dict.fromkeys(given, own.name)),
        fail_on=Severity(stated.fail_on or DEFAULT_POLICY.fail_on),
        severities={
            check: None if grade == "off" else Severity(grade)
            for check, grade in stated.severity.items()
        },
        require=DEFAULT_POLICY.require if stated.require is None else stated.require.checks,
        exclude=stated.exclude,
        source=own.name,
        sha256=own.sha256,
        stated=frozenset(top | {f"margins.{key}" for key in given}),
    )


def check_problem(check: str) -> tuple[str, str] | None:
    """What is wrong with the name of a check that is to be graded or turned off, and advice."""
    if check == NOT_DECIDED:
        return f"{check} is about other checks", "name these"
    if check in SWITCHED:
        return None
    if check in ABOUT_FILES:
        return f"{check} is no check: it always fails", "leave it out"
    return f'there is no check "{check}"', near(check, sorted(SWITCHED), "checks")


def require_problem(name: str) -> tuple[str, str] | None:
    """What is wrong with a name that is to be required, and advice."""
    names = may_be_required()
    return None if name in names else (f'there is no check "{name}"', near(name, names, "checks"))


def _wrong_names(stated: SettingsTable) -> Iterator[Problem]:
    for check, grade in stated.severity.items():
        if check == NOT_DECIDED and grade == "off":
            told = "what is required and not decided cannot be turned off"
            yield Problem(("severity", check), told, "require less: [require] checks = [...]")
        elif wrong := None if check == NOT_DECIDED else check_problem(check):
            yield Problem(("severity", check), *wrong)
    asked = stated.require.checks if stated.require is not None else ()
    for index, name in enumerate(asked):
        if wrong := require_problem(name):
            yield Problem(("require", "checks", index), *wrong)


def _refused(own: ParsedText, problems: list[Problem], prefix: KeyPath) -> UnreadableProfile:
    findings = tuple(
        Finding(
            Severity.ERROR,
            p.message,
            p.advice,
            (*prefix, *p.path),
            check=_CHECK,
            location=own.locate((*prefix, *p.path), key=p.at_key),
        )
        for p in problems
    )
    return UnreadableProfile(own.name, findings)

"""The tables of a policy file as pydantic models, and the policy that they come to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, StrictBool, ValidationError

from ..checks.documentation import ABOUT_FILES, SWITCHED
from ..checks.required import may_be_required
from ..findings import NOT_DECIDED, KeyPath, Severity
from ..policy import DEFAULT_POLICY, MARGIN_NAMES, AcceptanceRules, Margins, Policy
from ..profile.problems import Problem, explain, near
from ..profile.table import MOST, FormatTable, Headroom, MarginAbove, MarginBelow, RatioQuantity
from ..profile.text import ParsedText, UnreadableProfile, parsed, read_file
from .excludes import pattern_problem
from .misread_policies import SHARED_FILE, TABLE, as_settings, refused
from .transfer_table import TransferTable, adjustment_limits

Grade = Literal["error", "warning", "note", "off"]
Names = Annotated[tuple[str, ...], Field(max_length=MOST)]


class PolicyMargins(FormatTable):
    """`[margins]` of a policy."""

    high: MarginAbove | None = None
    low: MarginBelow | None = None
    headroom: Headroom | None = None
    high_thin: RatioQuantity | None = None
    high_wide: MarginAbove | None = None
    low_thin: MarginBelow | None = None
    low_wide: Headroom | None = None


class PolicyAcceptances(FormatTable):
    """`[acceptances]` of a policy."""

    allowed: StrictBool = True
    until_required: StrictBool = True
    never: Names = AcceptanceRules().never


class RequireTable(FormatTable):
    """`[require]` of a policy: checks that may not be left undecided."""

    checks: Names


class SettingsTable(FormatTable):
    """The keys of a policy file."""

    fail_on: Literal["error", "warning", "note"] | None = None
    exclude: Names = ()
    margins: PolicyMargins = Field(default_factory=PolicyMargins)
    acceptances: PolicyAcceptances = Field(default_factory=PolicyAcceptances)
    severity: dict[str, Grade] = Field(default_factory=dict, max_length=MOST)
    require: RequireTable | None = None
    transfer: TransferTable = TransferTable.model_construct()


def read_policy(path: Path) -> Policy:
    """The policy in a file; raises UnreadableProfile with everything wrong in it."""
    try:
        own = parsed(read_file(path), str(path), empty=True)
    except UnreadableProfile as error:
        raise as_settings(error) from None
    table: Any = own.data
    prefix: KeyPath = TABLE if path.name == SHARED_FILE else ()
    for step in prefix:
        table = table.get(step, {}) if isinstance(table, Mapping) else {}
    try:
        stated = SettingsTable.model_validate(table)
    except ValidationError as error:
        problems = list(explain(error, SettingsTable))
    else:
        problems = list(_wrong_values(stated))
    if problems:
        raise refused(own, problems, prefix)
    return _policy(stated, own)


def _policy(stated: SettingsTable, own: ParsedText) -> Policy:
    given = {
        key: quantity.value
        for key in MARGIN_NAMES
        if (quantity := getattr(stated.margins, key)) is not None
    }
    named = {"fail_on": "fail_on", "exclude": "exclude", "require": "require.checks"}
    top = {named[key] for key in stated.model_fields_set if key in named}
    answered = {f"acceptances.{key}" for key in stated.acceptances.model_fields_set}
    answered |= {f"transfer.{key}" for key in stated.transfer.model_fields_set}
    return Policy(
        margins=Margins()._replace(**given, origin=dict.fromkeys(given, own.name)),
        fail_on=Severity(stated.fail_on or DEFAULT_POLICY.fail_on),
        severities={
            check: None if grade == "off" else Severity(grade)
            for check, grade in stated.severity.items()
        },
        require=DEFAULT_POLICY.require if stated.require is None else stated.require.checks,
        exclude=stated.exclude,
        acceptances=AcceptanceRules(**stated.acceptances.model_dump()),
        adjustments=adjustment_limits(stated.transfer),
        source=own.name,
        sha256=own.sha256,
        stated=frozenset(top | {f"margins.{key}" for key in given} | answered),
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


def _wrong_values(stated: SettingsTable) -> Iterator[Problem]:
    for index, pattern in enumerate(stated.exclude):
        if wrong := pattern_problem(pattern):
            yield Problem(("exclude", index), *wrong)
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
    for index, name in enumerate(stated.acceptances.never):
        check = name.removesuffix(":error")
        if check != NOT_DECIDED and (wrong := check_problem(check)):
            yield Problem(("acceptances", "never", index), *wrong)

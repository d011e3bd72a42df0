"""Writes an acceptance into a profile's text: for one finding, its place and its numbers.

Every other byte of the text stays. Nothing is written to a file here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import NamedTuple

import tomli_w

from ..checks.acceptances import (
    ABOUT_ACCEPTANCES,
    given_numbers,
    is_given_for,
    never,
    numbers_text,
    shared_name,
)
from ..checks.documentation import DOCUMENTED
from ..checks.identity import holds
from ..checks.repository import REPOSITORY_CHECKS
from ..errors import Refused
from ..findings import Finding, KeyPath, Limit, path_text
from ..policy import Policy
from ..profile.answered import AcceptedFinding
from ..profile.load import ProfileFile, load_bytes
from ..profile.problems import near
from ..profile.text import UnreadableProfile
from ..profile.write import ChangeRefused, append_table, assign
from .file import add_findings, check_file

Answer = tuple[str, str, date | None]
"""The reason, who answers for it, and the last day."""


class Accepted(NamedTuple):
    """A profile's text with an acceptance in it, and the finding it was given for."""

    after: str
    finding: Finding
    renewed: bool


def accept(
    file: ProfileFile,
    check: str,
    at: str | None,
    answer: Answer,
    policy: Policy,
    today: date,
    conflicts: Iterable[Finding] = (),
) -> Accepted:
    """The text of a profile that answers for a finding; `conflicts` are findings of other files.

    An entry that was given for the same finding is renewed. Raises Refused where no finding fits,
    several do, or this one may not be accepted.
    """
    against = tuple(conflicts)
    findings = _found(file, policy, today, against)
    finding = _chosen(findings, file, check, at)
    _refuse(finding, file, answer, policy)
    pairs = _pairs(finding, answer)
    others = [other for other in findings if other is not finding and other.accepted]
    index = _entry_for(file.profile.accepted, finding, others)
    try:
        if index is None:
            after = append_table(file.text, "accepted", pairs)
        else:
            changes: dict[KeyPath, str] = {("accepted", index, k): v for k, v in pairs.items()}
            after = assign(file.text, changes)
        again = _found(load_bytes(after.encode("utf-8"), file.path), policy, today, against)
    except (ChangeRefused, UnreadableProfile) as error:
        one_line = "give --reason and --by as text of one line"
        advice = one_line if isinstance(error, UnreadableProfile) else "write the entry by hand"
        raise Refused(f"{file.path}: nothing written: {error}", advice) from None
    now = [f for f in again if (f.check, f.place) == (check, finding.place)]
    if not any(f.accepted and f.accepted[:2] == answer[:2] for f in now):
        raise Refused(
            f"{file.path}: nothing written: the acceptance would not hold",
            "look at the findings about acceptances: limitcheck check FILE",
        )
    return Accepted(after, finding, index is not None)


def _found(
    file: ProfileFile, policy: Policy, today: date, conflicts: tuple[Finding, ...]
) -> tuple[Finding, ...]:
    return add_findings(check_file(file, policy, today), file, conflicts, policy, today).findings


def _chosen(findings: Sequence[Finding], file: ProfileFile, check: str, at: str | None) -> Finding:
    """The one finding that is meant: an open one before one that is accepted already."""
    if check not in DOCUMENTED:
        raise Refused(f'there is no check "{check}"', near(check, list(DOCUMENTED), "checks"))
    named = [finding for finding in findings if finding.check == check]
    if not named:
        advice = "limitcheck check FILE lists what there is"
        if check in REPOSITORY_CHECKS:
            advice = "it compares files: name the other one with --beside PATH"
        raise Refused(f"{file.path} has no finding {check}", advice)
    fitting = [finding for finding in named if at is None or at in _names(finding)]
    if not fitting:
        raise Refused(f"{file.path} has no finding {check} at {at}", _which(named))
    chosen = [finding for finding in fitting if finding.accepted is None] or fitting
    if len(chosen) > 1:
        raise Refused(f"{file.path} has {len(chosen)} findings {check}", _which(chosen))
    return chosen[0]


def _names(finding: Finding) -> set[str]:
    """What a place may be called: by the names of parts, as printed, or by the part at stake."""
    limit = finding.compared.limit
    return {finding.place, path_text(finding.path), *(() if isinstance(limit, str) else limit)}


def _which(findings: Sequence[Finding]) -> str:
    places = list(dict.fromkeys(finding.place for finding in findings))
    if len(places) == len(findings):
        return "name one: " + " or ".join(f'--at "{place}"' for place in places)
    told = (f"{finding.place}: {numbers_text(finding.compared)}" for finding in findings)
    return f"name the part with --at, or give parts labels of their own ({'; '.join(told)})"


def _refuse(finding: Finding, file: ProfileFile, answer: Answer, policy: Policy) -> None:
    """Raise Refused for a finding that nobody may answer for, or not in this way."""
    refused = never(finding, policy) or shared_name(finding.place, file.profile)
    if refused is not None:
        what = "cannot be accepted" if finding.check in ABOUT_ACCEPTANCES else refused.message
        raise Refused(f"{file.path}: {finding.check}: {what}", refused.advice)
    if answer[2] is None and policy.acceptances.until_required:
        raise Refused("an acceptance needs a last day", "add --until DATE, as in 2027-06-30")


def _entry_for(
    entries: Sequence[AcceptedFinding], finding: Finding, others: Sequence[Finding]
) -> int | None:
    """The entry to renew: of this check and place, or without one; not one that others rest on."""
    for index, entry in enumerate(entries):
        about = entry.check == finding.check and entry.at in (None, finding.place)
        needed = any(
            is_given_for(entry, other) and holds(given_numbers(entry), other.compared)
            for other in others
        )
        if about and not needed:
            return index
    return None


def _pairs(finding: Finding, answer: Answer) -> Mapping[str, str]:
    """The keys of the entry, each as TOML writes its value."""
    reason, by, until = answer
    value, limit, _ = finding.compared
    pairs = {"check": _text(finding.check), "at": _text(finding.place), "value": _text(value)}
    if limit:
        pairs["limit"] = _limit(limit)
    pairs |= {"reason": _text(reason), "by": _text(by)}
    return pairs if until is None else pairs | {"until": until.isoformat()}


def _text(value: str) -> str:
    return tomli_w.dumps({"key": value}).partition(" = ")[2].rstrip("\n")


def _limit(limit: Limit) -> str:
    if isinstance(limit, str):
        return _text(limit)
    return "{" + ", ".join(f"{_key(k)} = {_text(v)}" for k, v in limit.items()) + "}"


def _key(name: str) -> str:
    return tomli_w.dumps({name: 0}).rpartition(" = ")[0]

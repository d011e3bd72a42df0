"""The answer to a number about to be typed, as a document and as plain data."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from ..charts.scale import profile_scale
from ..checking.entry import Answer
from ..checking.results import weight
from ..findings import Finding, Severity
from ..profile.hardware import under_pressure, weakest
from ..units import Pressure, is_all
from ..units.conversion import Amount, Rounded
from .blocks import Block, Chapter, Document, Section, Text
from .cautions import CAUTIONS
from .conversion import rounded_data, rounding_text
from .data import frame, pressure_data
from .findings import finding_blocks, finding_data, recommendation_data, to_type
from .settings import policies_data, policy_section


def entry_document(answer: Answer, day: date) -> Document:
    """May it be typed, what to type instead, why, and where the number lies on the scale."""
    verdict = entry_verdict(answer)
    sections = [Section("Why", tuple(_why(answer))), *policy_section([answer.policy])]
    scale = (profile_scale(answer.profile, doubt=answer.band_doubt),)
    sections.append(Section("The cutoff beside what the profile says", scale, in_record=True))
    summary = (Text(verdict, strong=True), *_instead(answer))
    cautions = (CAUTIONS["who-decides"],)
    return Document(
        verdict, summary, (Chapter("Record", tuple(sections)),), cautions, day.isoformat()
    )


def entry_verdict(answer: Answer) -> str:
    """Whether the number may be typed, and what it was not compared with."""
    wrong = any(finding.worst == "error" for finding in answer.findings)
    open_only = replace(answer, not_decided=()).may_be_typed
    stored = f"{answer.pressure} is " if answer.converted is not None else ""
    if open_only and answer.not_compared:
        verdict = f"{stored}not compared with {_either(answer.not_compared)}"
        if answer.field == "high":
            verdict = f"{stored}not above a rating that is given, but {verdict[len(stored) :]}"
    elif open_only and answer.not_decided:
        verdict = _reason(answer.not_decided[0])
    elif open_only:
        verdict = f"type {answer.pressure}" if answer.converted is not None else "may be typed"
        part = weakest(under_pressure(answer.profile))
        if answer.stated and answer.field == "high" and part is not None:
            verdict += f", if no part from pump to column is rated lower than {part.pressure}"
    elif wrong or not answer.undecided:
        verdict = "do not type it"
    else:
        verdict = "cannot be decided"
    if open_only and answer.not_decided:
        verdict = f"not decided: {verdict}"
    return f"{answer.shown} as the {answer.field} cutoff: {verdict}."


def _either(names: Sequence[str]) -> str:
    """The names with "or" before the last."""
    return " or ".join(filter(None, (", ".join(names[:-1]), names[-1])))


def _reason(finding: Finding) -> str:
    """Why something is not decided, without what that leaves open."""
    return finding.message.removeprefix("Not decided: ").partition(". This leaves open")[0]


def _instead(answer: Answer) -> Iterator[Block]:
    if answer.undecided:
        yield Text(f"First correct the profile: {answer.undecided}.")
    elif answer.enter is not None:
        yield Text("Type:")
        yield to_type(answer.enter)
        if answer.enter.then_text:
            yield Text(answer.enter.then_text)
    elif answer.withheld:
        yield Text(f"Nothing to type instead: {answer.withheld}.")
    elif answer.doubted:
        yield Text("Nothing to type instead: it would rest on this number.")
    for finding in answer.not_decided:
        add = finding.advice if not answer.stated else "Give --expected-low and --expected-high."
        yield Text(f"{_reason(finding)[:1].upper()}{_reason(finding)[1:]}. {add}")
    if not _is_worse(answer):
        yield from _exposed(answer)
    if answer.doubted:
        yield Text(f"{answer.doubted[0].upper()}{answer.doubted[1:]}.")
    if answer.typed is not None and answer.typed.note:
        yield Text(answer.typed.note)
    if answer.converted is not None and answer.may_be_typed:
        yield Text(rounding_text(_rounded(answer, answer.converted), answer.field))


def _rounded(answer: Answer, typed: Pressure) -> Rounded:
    instrument, stored = answer.profile.instrument, answer.pressure
    exact = Amount(typed.to(stored.unit), stored.unit, typed.value)
    number = Amount(stored.to(stored.unit), stored.unit, stored.value)
    return Rounded(exact, number, instrument.step, instrument.display_step is None)


def _why(answer: Answer) -> Iterator[Block]:
    if answer.typed is not None:
        subject = "It" if answer.converted is None else str(answer.pressure)
        yield Text(f"{subject} {is_all(answer.pressure)}.")
    if answer.converted is not None and not answer.may_be_typed:
        yield Text(rounding_text(_rounded(answer, answer.converted), answer.field))
    if answer.not_compared:
        yield Text(f"Not compared with {_either(answer.not_compared)}: none is given.")
    # What to type is said above, once.
    yield from finding_blocks(sorted(answer.findings, key=weight), typed=False)
    if _is_worse(answer):
        yield from _exposed(answer)


def _exposed(answer: Answer) -> Iterator[Block]:
    """What the cutoff does not protect behind the column."""
    yield from finding_blocks(sorted(answer.exposes, key=weight), typed=False)


def _is_worse(answer: Answer) -> bool:
    """Whether something is found of the number that is worse than what it exposes."""
    found = min(map(weight, answer.findings), default=len(Severity))
    return found < min(map(weight, answer.exposes), default=0)


def entry_data(answer: Answer) -> dict[str, Any]:
    """The answer as plain data."""
    return frame(
        field=answer.field,
        typed=pressure_data(answer.pressure if answer.typed is None else answer.typed.pressure),
        judged=pressure_data(answer.pressure),
        converted=None
        if answer.converted is None
        else rounded_data(_rounded(answer, answer.converted)),
        note=None if answer.typed is None else answer.typed.note or None,
        doubted=answer.doubted or None,
        may_be_typed=answer.may_be_typed,
        undecided=answer.undecided or None,
        not_compared=_either(answer.not_compared) if answer.not_compared else None,
        not_decided=[finding_data(finding) for finding in answer.not_decided],
        exposes=[finding_data(finding) for finding in answer.exposes],
        recommendation=None if answer.enter is None else recommendation_data(answer.enter),
        withheld=answer.withheld or None,
        findings=[finding_data(finding) for finding in answer.findings],
        policies=policies_data([answer.policy]),
    )

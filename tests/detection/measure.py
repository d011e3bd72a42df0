"""Runs the real checks over clean and slipped profiles and notes what they said."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import permutations

from limitcheck.checks.engine import CRASHED, check_profile
from limitcheck.findings import Finding, KeyPath, Severity
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.model import Profile, validate_profile
from limitcheck.units import TRADE_UNITS

from .generator import Clean, generate
from .method import Document
from .order import Order
from .slips import FIELDS, PAIRS, RULES, Slip, slip_fields, slip_instrument, slip_rule

UNIT_PAIRS = tuple(permutations(TRADE_UNITS, 2))
CONFUSION = "unit-confusion"
RULE_CHECKS = ("rule-of-thumb-conversion", "rounded-over-rating", "high-cutoff-above-rating")
STORED = ("high", "low", "expected")
KINDS = (
    *FIELDS,
    "instrument",
    *(" + ".join(pair) for pair in PAIRS),
    *(f"{field}, stored" for field in STORED),
)
_DAY = date(2026, 1, 1)


@dataclass(frozen=True, slots=True)
class CleanCase:
    """What the checks said of a clean profile."""

    index: int
    as_they_occur: bool
    """Its display unit is drawn as units occur, not in turn."""
    unit_confusion: bool
    findings: tuple[tuple[str, Severity], ...]


@dataclass(frozen=True, slots=True)
class SlipCase:
    """What the checks said of one slip, against the truth."""

    kind: str
    index: int
    meant: str
    read: str
    apart: float
    flagged: bool
    """An error or a warning on a field of the slip that the clean profile did not have."""
    flagged_all: bool
    """The same of every field of the slip; for the instrument: said of its unit itself."""
    confusion: bool
    """The finding is unit-confusion."""
    named: str | None
    """The unit the first suggestion on a field of the slip takes as meant."""
    tie: bool
    """That finding leaves more than one explanation open."""
    in_order: bool
    """As typed, the numbers are still in their order: nothing exact contradicts them."""
    fitting: tuple[str, ...]
    """The units that put the numbers in order (bar also stands for kgf/cm2)."""
    tags: Mapping[str, str]
    crashed: bool
    """A check failed on the slipped profile."""


@dataclass(frozen=True, slots=True)
class RuleCase:
    """What the checks said of a high cutoff converted from memory."""

    index: int
    factor: str
    given: str
    read: str
    error: float
    over_rating: bool
    flagged: bool
    named_rule: bool
    """By the check for such conversions, not only by the rating it breaks."""


Case = CleanCase | SlipCase | RuleCase


def measure(seed: int, indices: Sequence[int]) -> Iterator[Case]:
    """Every case of the profiles with these indices."""
    for index in indices:
        realistic = generate(seed, index)
        yield clean_case(realistic, as_they_occur=True)
        yield from _rules(realistic)
        before: dict[str, frozenset[object]] = {}
        for kind, clean, slip in slips_of(seed, index):
            display = clean.profile.instrument.pressure_unit
            if display not in before:
                yield clean_case(clean, as_they_occur=False)
                before[display] = frozenset(map(_key, _check(clean.profile)))
            yield _slip_case(kind, clean, slip, before[display])


def slips_of(seed: int, index: int) -> Iterator[tuple[str, Clean, Slip]]:
    """Every slip of one index with its kind; the index decides the unit pair."""
    meant, read = UNIT_PAIRS[index % len(UNIT_PAIRS)]
    clean = generate(seed, index, display=read)
    for fields in (*((field,) for field in FIELDS), *PAIRS):
        slip = slip_fields(clean, fields, meant)
        if slip is not None:
            yield " + ".join(fields), clean, slip
    for field in STORED:
        slip = slip_fields(clean, (field,), meant, stored=True)
        if slip is not None:
            yield f"{field}, stored", clean, slip
    other = generate(seed, index, display=meant)
    yield "instrument", other, slip_instrument(other, read)


def clean_case(clean: Clean, *, as_they_occur: bool) -> CleanCase:
    findings = _check(clean.profile)
    return CleanCase(
        clean.index,
        as_they_occur,
        any(f.check == CONFUSION for f in findings),
        tuple((f.check, f.severity) for f in findings),
    )


def _rules(clean: Clean) -> Iterator[RuleCase]:
    for factor, given, read in RULES:
        if read != clean.profile.instrument.pressure_unit:
            continue
        slip = slip_rule(clean, factor, given)
        if slip is not None:
            checks = {f.check for f in checked(slip.document)}
            yield RuleCase(
                clean.index,
                factor,
                given,
                read,
                slip.error,
                slip.over_rating,
                not checks.isdisjoint(RULE_CHECKS),
                not checks.isdisjoint(RULE_CHECKS[:2]),
            )


def _slip_case(kind: str, clean: Clean, slip: Slip, before: frozenset[object]) -> SlipCase:
    profile = validate_profile(slip.document)
    findings = [
        f for f in _check(profile) if f.severity is not Severity.NOTE and _key(f) not in before
    ]
    if kind == "instrument":
        on_fields = [f for f in findings if f.check == CONFUSION]
        flagged_all = any(_on(f, path) for f in on_fields for path in slip.fields)
        naming = on_fields
    else:
        on_fields = [f for f in findings if any(_on(f, path) for path in slip.fields)]
        flagged_all = all(any(_on(f, path) for f in findings) for path in slip.fields)
        naming = [f for f in on_fields if _names(f, slip.fields)]
    order = Order.of(profile)
    first = naming[0] if naming else None
    return SlipCase(
        kind,
        clean.index,
        slip.meant,
        slip.read,
        slip.apart,
        bool(on_fields),
        flagged_all,
        any(f.check == CONFUSION for f in on_fields),
        first.suggestion.meant_unit if first is not None and first.suggestion else None,
        first is not None and _is_tie(first),
        order.holds,
        () if kind == "instrument" else order.fitting_units(slip.fields),
        clean.tags,
        any(f.check == CRASHED for f in findings),
    )


def checked(document: Document) -> tuple[Finding, ...]:
    """What the checks say of a document."""
    return _check(validate_profile(document))


def _check(profile: Profile) -> tuple[Finding, ...]:
    return check_profile(profile, DEFAULT_POLICY, _DAY).findings


def _key(finding: Finding) -> object:
    """What makes a finding the same one: said before the slip, it says nothing of the slip."""
    meant = finding.suggestion.meant_unit if finding.suggestion else None
    return finding.check, finding.path, meant


def _inside(path: KeyPath, field: KeyPath) -> bool:
    return path[: len(field)] == field


def _is_tie(finding: Finding) -> bool:
    return bool(finding.data.get("ties"))


def _on(finding: Finding, field: KeyPath) -> bool:
    return _inside(finding.path, field) or (
        finding.suggestion is not None and _inside(finding.suggestion.path, field)
    )


def _names(finding: Finding, fields: Sequence[KeyPath]) -> bool:
    suggestion = finding.suggestion
    return (
        suggestion is not None
        and suggestion.meant_unit is not None
        and any(_inside(suggestion.path, field) for field in fields)
    )

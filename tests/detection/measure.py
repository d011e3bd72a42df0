"""Runs the real checks over clean and slipped profiles and notes what they said, and whether it
was right. Everything is compared with the truth, nothing with the inference."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from random import Random

import tomli_w

from limitcheck.checking.corrections import NotFixed, fix
from limitcheck.checking.file import check_file
from limitcheck.checking.results import FileReport
from limitcheck.findings import CRASHED, Finding, KeyPath, Severity, Suggestion
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.load import ProfileFile, load_bytes
from limitcheck.profile.model import Profile
from limitcheck.units import Flow, Length, Pressure, Quantity

from . import mistakes, slips
from .generator import Clean, generate
from .method import Document
from .mistakes import value_at
from .order import in_order
from .slips import INSTRUMENT, Slip

SLIP_CHECKS = ("unit-confusion", "mistyped-number", "geometry-implausible")
UNIT, PAIR, END, ENTRY = "unit", "two units", "one end", "entry field"
TYPING, GEOMETRY, RULE = "typing", "geometry", "rule of thumb"
KINDS: Mapping[str, tuple[str, Callable[[Clean, Random], Slip | None]]] = {
    "high": (UNIT, slips.whole_field("high")),
    "low": (UNIT, slips.whole_field("low")),
    "expected": (UNIT, slips.whole_field("expected")),
    "rating": (UNIT, slips.whole_field("rating")),
    "instrument": (UNIT, slips.instrument),
    "high + low": (PAIR, slips.whole_field("high", "low")),
    "high + expected": (PAIR, slips.whole_field("high", "expected")),
    "low + expected": (PAIR, slips.whole_field("low", "expected")),
    "two, own units": (PAIR, slips.two_units),
    "one end of band": (END, slips.one_end),
    "entry_max": (ENTRY, slips.largest_entry),
    "geometry x1000": (GEOMETRY, mistakes.BY_1000),
    "geometry x10": (GEOMETRY, mistakes.BY_10),
    "radius for bore": (GEOMETRY, mistakes.radius),
    "flow x1000": (GEOMETRY, mistakes.flow),
    "typing, high": (TYPING, mistakes.typing("high")),
    "typing, low": (TYPING, mistakes.typing("low")),
    "typing, band end": (TYPING, mistakes.typing("end of band")),
    "typing, rating": (TYPING, mistakes.typing("rating")),
    "typing, entry_max": (TYPING, mistakes.typing("entry_max")),
    "rule of thumb": (RULE, mistakes.rule_of_thumb),
}
"""Kind of slip: its family, and what makes it."""
FAMILIES = (UNIT, PAIR, END, ENTRY, TYPING, GEOMETRY, RULE)
NEAR = Fraction(25, 1000)
"""bar and kgf/cm2 are this close: taken as one unit where that is said."""
_DAY = date(2026, 1, 1)


@dataclass(frozen=True, slots=True)
class Claim:
    """A finding that says which number was meant: how surely, and whether it was."""

    check: str
    confidence: str
    right: bool
    near: bool
    """Right if bar and kgf/cm2 are one unit."""
    cause: bool
    """Right, and the kind of slip is the one that was made."""
    probability: float
    """As the finding gives it; 0 if it does not."""


@dataclass(frozen=True, slots=True)
class Written:
    """Values that a fix writes, and how many of them are wrong."""

    values: int
    wrong: int


@dataclass(frozen=True, slots=True)
class Case:
    """What was said of one profile; `kind` is "clean" or a kind of slip."""

    kind: str
    index: int
    apart: float
    flagged: bool
    """An error or a warning on a field of the slip that the clean profile did not have."""
    as_slip: bool
    """One of the checks that say which number was meant did so, on such a field."""
    named: bool
    """The first claim on a field of the slip is right, bar and kgf/cm2 taken as one."""
    wrongly: bool
    """The first claim of all is wrong."""
    claims: tuple[Claim, ...]
    fixed: Written
    fixed_likely: Written
    in_order: bool
    """As typed, the pressures are still in their order: nothing exact contradicts them."""
    tags: Mapping[str, str]
    findings: tuple[tuple[str, Severity], ...]
    crashed: bool

    @property
    def family(self) -> str:
        """The family of the kind."""
        return KINDS[self.kind][0] if self.kind in KINDS else self.kind


def measure(seed: int, indices: Iterable[int], kinds: Sequence[str]) -> Iterator[Case]:
    """The clean profiles of these indices, and a slip of each kind in each of them."""
    for index in indices:
        clean = generate(seed, index)
        file, report = checked(clean.document)
        before = frozenset(map(_key, report.findings))
        yield _case("clean", clean, Slip(clean.document), file, report, frozenset())
        for kind in kinds:
            slip = slip_of(kind, seed, clean)
            if slip is not None:
                yield _case(kind, clean, slip, *checked(slip.document), before)


def slip_of(kind: str, seed: int, clean: Clean) -> Slip | None:
    """The slip of a kind in a clean profile; None where there is nothing to slip."""
    return KINDS[kind][1](clean, Random(f"{seed}:{clean.index}:{kind}"))


def checked(document: Document) -> tuple[ProfileFile, FileReport]:
    """The document as a file, and what the checks say of it."""
    file = load_bytes(tomli_w.dumps(document).encode(), "profile.toml")
    return file, check_file(file, DEFAULT_POLICY, _DAY)


def written(
    file: ProfileFile, report: FileReport, *, likely: bool
) -> tuple[list[KeyPath], Profile]:
    """The paths that a fix changes, and the profile it leaves."""
    try:
        fixed = fix(file, report, DEFAULT_POLICY, _DAY, likely=likely)
    except NotFixed:
        fixed = None
    if fixed is None:
        return [], file.profile
    paths = [path for path, _, _ in fixed.changes]
    return paths, load_bytes(fixed.after.encode(), "profile.toml").profile


def _case(
    kind: str,
    clean: Clean,
    slip: Slip,
    file: ProfileFile,
    report: FileReport,
    before: frozenset[object],
) -> Case:
    findings, fields = report.findings, tuple(slip.truth)
    claims = [(f, _claim(f, clean.profile, slip, kind)) for f in findings if _says(f)]
    on_fields = [(f, claim) for f, claim in claims if any(_on(f, path) for path in fields)]
    new = [f for f in findings if f.severity is not Severity.NOTE and _key(f) not in before]
    return Case(
        kind,
        clean.index,
        slip.apart,
        bool(on_fields) or any(_on(f, path) for f in new for path in fields),
        bool(on_fields),
        bool(on_fields) and on_fields[0][1].near,
        bool(claims) and not claims[0][1].near,
        tuple(claim for _, claim in claims),
        _score(clean.profile, slip, *written(file, report, likely=False)),
        _score(clean.profile, slip, *written(file, report, likely=True)),
        in_order(file.profile),
        clean.tags,
        tuple((f.check, f.severity) for f in findings),
        any(f.check == CRASHED for f in findings),
    )


def _claim(finding: Finding, clean: Profile, slip: Slip, kind: str) -> Claim:
    assert finding.suggestion is not None
    said = [(s.path, _meant(s)) for s in (finding.suggestion, *finding.also)]
    strict = all(same(clean, slip, path, value) for path, value in said)
    near = all(same(clean, slip, path, value, NEAR) for path, value in said)
    family = KINDS[kind][0] if kind in KINDS else kind
    called = {"mistyped-number": (TYPING,), "geometry-implausible": (GEOMETRY,)}
    causes = called.get(finding.check, (UNIT, PAIR, END, ENTRY))
    return Claim(
        finding.check,
        finding.confidence,
        strict,
        near,
        strict and family in causes,
        finding.data.get("probability", 0.0),
    )


def _meant(suggestion: Suggestion) -> Quantity | str:
    if suggestion.path == INSTRUMENT:
        return suggestion.enter
    for quantity in (Pressure, Length, Flow):
        if suggestion.unit in quantity.UNITS:
            return quantity.of(suggestion.enter, suggestion.unit)
    raise ValueError(suggestion.unit)


def _score(clean: Profile, slip: Slip, paths: Sequence[KeyPath], after: Profile) -> Written:
    wrong = sum(not same(clean, slip, path, value_at(after, path)) for path in paths)
    return Written(len(paths), wrong)


def same(
    clean: Profile,
    slip: Slip,
    path: KeyPath,
    value: Quantity | str | None,
    share: Fraction = Fraction(5, 1000),
) -> bool:
    """Whether a value is the true one, to half a percent (a rounding over a rating) and, of what is
    typed at the instrument, the step of its field."""
    true = slip.truth.get(path) or value_at(clean, path)
    if not isinstance(true, Quantity) or not isinstance(value, Quantity):
        return true == value
    step = Pressure.of(clean.instrument.step, clean.instrument.pressure_unit).value
    far = true.value * share
    return abs(true.value - value.value) <= (far + step if isinstance(true, Pressure) else far)


def _says(finding: Finding) -> bool:
    return finding.check in SLIP_CHECKS and finding.suggestion is not None


def _key(finding: Finding) -> object:
    """What makes a finding the same one: said before the slip, it says nothing of the slip."""
    meant = finding.suggestion.meant_unit if finding.suggestion else None
    return finding.check, finding.path, meant


def _on(finding: Finding, field: KeyPath) -> bool:
    paths = [finding.path, *(s.path for s in (finding.suggestion, *finding.also) if s)]
    return any(path[: len(field)] == field for path in paths)

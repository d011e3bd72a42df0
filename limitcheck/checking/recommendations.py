"""What to type, decided once: at most one number for a place, the same in every output.

It rests on a slip corrected, on a rating or a step rounded the safe way, or on the proposed
limits. What is recommended is meant to be typed together; it never brings a finding that was not
there. Where a number that it would rest on is in doubt, nothing is recommended, and why is said.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from typing import Literal, NamedTuple

from ..checks import Subject
from ..checks.engine import Examined, check_again
from ..checks.subject import NO_HIGH
from ..findings import (
    Confidence,
    Finding,
    KeyPath,
    Recommendation,
    Severity,
    Suggestion,
    Withheld,
    path_text,
)
from ..limits import Limit
from ..profile.edited import with_values
from ..profile.model import Profile
from ..units import Pressure, UnitError, percent
from .brought import brought, brought_told
from .doubts import CUTOFFS, HIGH, LOW, doubt, doubts

Basis = Literal["slip", "rounding", "step", "proposal"]
_BASIS: Mapping[str, Basis] = {"rounding": "rounding", "step": "step"}
_LIKELY = "it is only likely: check the number at its origin"
_MOVED = "a number that the field cannot store may be another: check it at its origin"
_PASSES = {HIGH: "high-cutoff-below-expected", LOW: "low-cutoff-above-expected"}
"""The check of each cutoff that asks whether normal runs pass it."""
_MARGIN = "it sets a margin: limitcheck propose --write writes it"


class Advised(NamedTuple):
    """Findings, of which the first about a slip says what its correction removes; what to type."""

    findings: tuple[Finding, ...]
    recommendations: tuple[Recommendation, ...] = ()
    withheld: tuple[Withheld, ...] = ()


def recommend(examined: Examined, *, propose: bool = False) -> Advised:
    """What to type for the findings of a profile; with `propose`, for both cutoffs in any case."""
    if not examined.findings and not propose:
        return Advised(())
    try:
        return _recommend(examined, propose=propose)
    except UnitError as error:  # numbers beyond what a quantity holds: nothing fits beside them
        reason = f"a number of the profile is out of any range ({error.message})"
        return Advised(examined.findings, (), tuple(Withheld(path, reason) for path in CUTOFFS))


def _recommend(examined: Examined, *, propose: bool) -> Advised:
    profile = examined.subject.profile
    slips = tuple(_slips(examined.findings, doubts(examined)))
    corrected = check_again(examined, _typed(profile, slips)) if slips else examined
    known = {(): examined, _values(slips): corrected}
    new = brought(corrected.findings, examined.findings)
    if new and any(slip.why_not_written == "" for slip in slips):
        # What it would uncover has to be typed with it.
        slips = tuple(slip._replace(why_not_written=_alone(new)) for slip in slips)
    limits, replaced, withheld = _limits(corrected, slips, propose=propose)
    near = tuple(s for s in slips if s.path in replaced and _too_near(s, corrected.subject))
    slips = tuple(slip for slip in slips if slip.path not in replaced)
    if (over := _over_as_stated(examined, (*limits, *slips))) is not None:
        limits = [item for item in limits if item.path != HIGH]
        slips = tuple(slip for slip in slips if slip.path != HIGH)
        withheld = [*withheld, over]
    chosen, lost = _harmless(examined, known, (*limits, *slips), slips)
    if not doubt(corrected):
        told = ("slip", "rounding", "step") if propose else ("rounding",)
        chosen = tuple(
            _with_limit(item, corrected.subject) if item.basis in told else item for item in chosen
        )
    chosen = tuple(sorted(chosen, key=lambda item: (item.path[0] != "cutoffs", item.path == LOW)))
    # Of a cutoff with neither the number meant nor a limit nothing is corrected.
    near = tuple(slip for slip in near if any(item.path == slip.path for item in chosen))
    findings = _explaining(examined, corrected, (*slips, *near))
    for slip in near:
        kept = _not_meant(slip, corrected.subject)
        findings = tuple(_with_advice(finding, slip.path, kept) for finding in findings)
    return Advised(_with_reasons(findings, (*withheld, *lost)), chosen, (*withheld, *lost))


def _over_as_stated(examined: Examined, items: Iterable[Recommendation]) -> Withheld | None:
    """Why no high cutoff: it would pass a rating that is only likely to have been misread."""
    read = {item.path: item for item in items}
    high = read.get(HIGH)
    if high is None:
        return None
    pressure = Pressure.parse(f"{high.enter} {high.unit}")
    for part in examined.subject.loaded:
        other = read.get(part.path)
        sure = other is not None and other.confidence is Confidence.CERTAIN
        if pressure > part.pressure and not sure:
            where = path_text(part.path)
            return Withheld(HIGH, f"{where} is in doubt, and as stated it allows no such cutoff")
    return None


def _slips(findings: Iterable[Finding], doubted: Set[KeyPath]) -> Iterator[Recommendation]:
    """What numbers were meant to be, where that is certain or likely; the first of each place.

    A number in doubt is not rounded, as if it were only that.
    """
    taken: set[KeyPath] = set()
    for finding in findings:
        if finding.accepted is not None or finding.confidence is Confidence.POSSIBLE:
            continue
        for meant in (finding.suggestion, *finding.also):
            rounded = meant is not None and meant.kind == "step" and meant.path in doubted
            if meant is not None and meant.path not in taken and not rounded:
                taken.add(meant.path)
                yield _slip(meant, finding.confidence)


def _slip(meant: Suggestion, confidence: Confidence) -> Recommendation:
    why_not = "" if meant.exact and meant.kind != "step" else _MOVED
    if confidence is not Confidence.CERTAIN:
        why_not = _LIKELY
    basis = _BASIS.get(meant.kind, "slip")
    return Recommendation(meant.path, meant.enter, meant.unit, basis, confidence, why_not)


def _limits(
    corrected: Examined, slips: Sequence[Recommendation], *, propose: bool
) -> tuple[list[Recommendation], set[KeyPath], list[Withheld]]:
    """Proposed cutoffs where a finding asks for one, the slips they replace; why there is none."""
    found: list[Recommendation] = []
    withheld: list[Withheld] = []
    replaced: set[KeyPath] = set()
    by_path = {slip.path: slip for slip in slips}
    doubted = doubt(corrected)
    for path in CUTOFFS:
        slip, left = by_path.get(path), _open(corrected.findings, path)
        worst = min((finding.worst.rank for finding in left), default=Severity.NOTE.rank)
        rounding = slip is not None and slip.basis == "rounding"
        near = slip is not None and _too_near(slip, corrected.subject)
        will_do = worst == Severity.NOTE.rank or (rounding and worst > 0)
        if slip is not None and will_do and not near:
            continue  # what was meant will do
        if slip is None and not (propose or worst < Severity.NOTE.rank):
            continue
        limit, why = _limit(path, corrected.subject)
        if limit is not None and not doubted:
            if propose or limit.pressure != _now(path, corrected.subject.profile):
                likely = any(s.confidence is not Confidence.CERTAIN for s in slips)
                likely |= _rests_on_what_is_open(path, corrected)
                sure = Confidence.LIKELY if likely else Confidence.CERTAIN
                unit = limit.pressure.unit
                found.append(Recommendation(path, limit.enter, unit, "proposal", sure, _MARGIN))
                replaced.add(path)
        elif slip is None or near or worst == Severity.ERROR.rank:
            withheld.append(Withheld(path, doubted or why))
            replaced.add(path)
    return found, replaced, withheld


def _rests_on_what_is_open(path: KeyPath, examined: Examined) -> bool:
    """Whether nobody knows if normal runs pass a cutoff: no band, or one that leaves it open."""
    profile, check = examined.subject.profile, _PASSES[path]
    open_ones = {item.check for item in examined.undecided if item.reason != NO_HIGH}
    return profile.expected is None or check in open_ones


def _too_near(slip: Recommendation, subject: Subject) -> bool:
    """Whether a cutoff leaves less under the weakest rating than the margins ask for, or may stop
    runs.

    No check says so of a number that was typed; one that is recommended keeps the headroom. A
    rounding is taken back to the number typed, before anything is proposed.
    """
    if slip.basis == "rounding" or slip.path not in CUTOFFS:
        return False
    if _may_stop(slip, subject):
        return True
    if slip.path != HIGH:
        return False
    pressure = Pressure.of(slip.enter, slip.unit)
    of_parts = (b for b in subject.proposal.high_bounds if b.path[0] == "flow_path")
    return any(pressure > bound.pressure for bound in of_parts)


def _may_stop(slip: Recommendation, subject: Subject) -> bool:
    """Whether a cutoff lies within what runs are only predicted to make, as in ``propose``."""
    pressure = float(Pressure.of(slip.enter, slip.unit))
    if slip.path == HIGH:
        return (top := subject.reached) is not None and pressure <= top.most
    return (bottom := subject.at_lowest) is not None and pressure >= bottom.least


def _with_limit(item: Recommendation, subject: Subject) -> Recommendation:
    """A number that is corrected first, with the limit that is proposed after that."""
    if item.path not in CUTOFFS:
        return item
    limit, _ = _limit(item.path, subject)
    if limit is None or limit.pressure == Pressure.of(item.enter, item.unit):
        return item
    return item._replace(then=limit.enter)


def _not_meant(slip: Recommendation, subject: Subject) -> str:
    """Why not the cutoff that was meant."""
    told = f"leaves less than {percent(subject.margins.headroom)} under the weakest rating"
    if _may_stop(slip, subject):
        end, which = subject.reached, "highest"
        if slip.path != HIGH:
            end, which = subject.at_lowest, "lowest"
        assert end is not None
        told = f"may stop runs, whose {which} pressure is predicted to be {end.told}"
    return f"The number meant {told}: type the proposed limit instead."


def _with_advice(finding: Finding, path: KeyPath, kept: str) -> Finding:
    """A finding that says which cutoff was meant, with why another one is to be typed."""
    meant = (finding.suggestion, *finding.also)
    if finding.accepted is not None or all(m is None or m.path != path for m in meant):
        return finding
    return finding._replace(advice=f"{finding.advice} {kept}".strip())


def _open(findings: Iterable[Finding], path: KeyPath) -> list[Finding]:
    return [f for f in findings if f.path == path and f.accepted is None]


def _limit(path: KeyPath, subject: Subject) -> tuple[Limit | None, str]:
    proposal = subject.proposal
    if path == HIGH:
        return proposal.high, proposal.no_high or ""
    return proposal.low, proposal.no_low or ""


def _now(path: KeyPath, profile: Profile) -> Pressure | None:
    return profile.cutoffs.high if path == HIGH else profile.cutoffs.low


def _harmless(
    examined: Examined,
    known: Mapping[tuple[tuple[KeyPath, str, str], ...], Examined],
    chosen: tuple[Recommendation, ...],
    slips: tuple[Recommendation, ...],
) -> tuple[tuple[Recommendation, ...], tuple[Withheld, ...]]:
    """What can be typed without bringing a new finding; else less of it, and why.

    `known` holds what comes of values that were tried already.
    """
    reason = ""
    for fewer in dict.fromkeys((chosen, slips, ())):
        after = known.get(_values(fewer))
        if after is None:
            after = check_again(examined, _typed(examined.subject.profile, fewer))
        new = brought(after.findings, examined.findings)
        if not new:
            kept = {item.path for item in fewer}
            lost = (item.path for item in chosen if item.path not in kept)
            return fewer, tuple(Withheld(path, reason) for path in lost)
        told = " and ".join(item.text for item in fewer)
        reason = f"{told} would bring another finding: {brought_told(new)}"
    raise AssertionError("typing nothing brings nothing")


def _values(items: Iterable[Recommendation]) -> tuple[tuple[KeyPath, str, str], ...]:
    return tuple((item.path, item.enter, item.unit) for item in items)


def _typed(profile: Profile, items: Iterable[Recommendation]) -> Profile:
    return with_values(profile, _values(items))


def _alone(new: Iterable[Finding]) -> str:
    return f"alone it would bring another finding ({brought_told(new)}): type all recommended"


def _explaining(
    examined: Examined, corrected: Examined, slips: Sequence[Recommendation]
) -> tuple[Finding, ...]:
    """The findings, where the first about a slip lists those that its correction removes."""
    paths = {slip.path for slip in slips}
    left = {(finding.check, finding.path) for finding in corrected.findings}
    first = next(
        (f for f in examined.findings if f.suggestion and f.suggestion.path in paths), None
    )
    if first is None:
        return examined.findings
    gone = [
        [finding.check, path_text(finding.path)]
        for finding in examined.findings
        if finding.accepted is None
        and (finding.check, finding.path) not in left
        and (finding.suggestion is None or finding.confidence is Confidence.POSSIBLE)
    ]
    explaining = first._replace(data={**first.data, "explains": gone})
    return tuple(explaining if finding is first else finding for finding in examined.findings)


def _with_reasons(
    findings: tuple[Finding, ...], withheld: Iterable[Withheld]
) -> tuple[Finding, ...]:
    why = {item.path: item.reason for item in withheld}
    return tuple(
        finding._replace(withheld=why.get(finding.path, "")) if finding.path in why else finding
        for finding in findings
    )

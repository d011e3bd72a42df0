"""Proposed limits as text and as plain dictionaries."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from ...checking.results import FileReport
from ...findings import Finding, KeyPath
from ...limits import Bound, Limit, Proposal, percent
from ...limits.feasible import Remedies
from ...policy import Margins
from ...profile.hardware import under_pressure
from ...profile.load import ProfileFile
from ...render.lines import WIDTH, safe, wrap
from ...units import Pressure, plain_or_rounded, show, show_all
from ...version import __version__
from ..cautions import IN_A_RECORD, texts

_LABEL = 52
ROOM = "Any one of these would make room:"


@dataclass(frozen=True, slots=True)
class Proposed:
    """One profile with its proposed limits, the margins they come of, and what would help.

    `report` is the check of the profile as it is.
    """

    file: ProfileFile
    report: FileReport
    margins: Margins
    proposal: Proposal
    remedies: Remedies

    @property
    def doubts(self) -> tuple[Finding, ...]:
        """Open findings that the proposal's own basis may be in another unit."""
        return tuple(
            finding
            for finding in self.report.findings
            if finding.check == "unit-confusion"
            and finding.accepted is None
            and finding.path[0] != "cutoffs"
        )

    @property
    def changes(self) -> dict[KeyPath, str]:
        """The numbers to put into the file; none without a safe high cutoff."""
        if self.proposal.high is None:
            return {}
        cutoffs = self.file.profile.cutoffs
        limits = (
            ("high", self.proposal.high, cutoffs.high),
            ("low", self.proposal.low, cutoffs.low),
        )
        return {
            ("cutoffs", name): limit.enter
            for name, limit, now in limits
            if limit is not None and limit.pressure != now
        }


def render(found: Iterable[Proposed]) -> Iterator[str]:
    """Every proposal as text, in pieces."""
    for proposed in found:
        yield "\n".join(_lines(proposed)) + "\n\n"
    for caution in texts(IN_A_RECORD):
        yield "\n".join(wrap(caution)) + "\n"


def _lines(proposed: Proposed) -> Iterator[str]:
    profile, proposal = proposed.file.profile, proposed.proposal
    instrument = profile.instrument
    unit, step = instrument.pressure_unit, plain_or_rounded(instrument.step)
    named = f"{proposed.file.path}: {profile.method.id} on {instrument.id}"
    yield from wrap(f"{named}, which shows {unit} in steps of {step}")
    yield from _limit(
        "High cutoff", "down", proposal.high, proposal.no_high, unit, profile.cutoffs.high
    )
    if proposal.high is None:
        yield from (line for bound in proposal.high_bounds for line in _bound(bound, unit))
        yield from _remedies(proposed.remedies)
    yield from _limit("Low cutoff", "up", proposal.low, proposal.no_low, unit, profile.cutoffs.low)
    for note in note_texts(proposed):
        yield from wrap(note, "  ")


def _limit(
    title: str, way: str, limit: Limit | None, reason: str | None, unit: str, now: Pressure | None
) -> Iterator[str]:
    yield from wrap(enter_text(title, limit, reason, now), "  ", "    ")
    if limit is None:
        return
    for bound in limit.bounds:
        yield from _bound(bound, unit)
    yield from wrap(binding_text(limit, way), "    ", "      ")
    yield from wrap(units_text(limit, unit), "    ", "      ")


def enter_text(title: str, limit: Limit | None, reason: str | None, now: Pressure | None) -> str:
    """The number to enter for a cutoff, or why there is none."""
    if limit is None:
        return f"{title}: none is safe: {reason}"
    was = "as it is" if limit.pressure == now else f"now {now}" if now is not None else "none now"
    return f"{title}: enter {limit.enter} ({was})"


def binding_text(limit: Limit, way: str) -> str:
    """What binds a cutoff; `way` is how it is rounded."""
    rounded = f", stored rounded {way}" if limit.binding.pressure != limit.pressure else ""
    return f"bound by: {limit.binding.reason}{rounded}"


def units_text(limit: Limit, unit: str) -> str:
    """The number to enter in the other units."""
    apart = [limit.binding.pressure]
    return f"{limit.enter} {unit} is {show_all(limit.pressure, skip=unit, apart=apart)}"


def _bound(bound: Bound, unit: str) -> Iterator[str]:
    value = show(bound.pressure, unit, digits=8)
    if len(bound.reason) <= _LABEL:
        yield f"    {safe(bound.reason):{_LABEL}} {value:>{WIDTH - _LABEL - 5}}"
    else:
        yield from wrap(bound.reason, "    ", "      ")
        yield f"    {value:>{WIDTH - 4}}"


def _remedies(remedies: Remedies) -> Iterator[str]:
    if remedies.found:
        yield f"    {ROOM}"
    for remedy in remedies.found:
        yield from wrap(remedy.text, "    - ", "      ")
    if remedies.not_computed is not None:
        yield from wrap(not_computed_text(remedies.not_computed), "    ", "      ")


def not_computed_text(reason: str) -> str:
    """Why some remedies are missing."""
    return f"Flow, temperature and length could not be worked out: {reason}."


def note_texts(proposed: Proposed) -> Iterator[str]:
    """What the proposal leaves out, what must be settled first, and its margins."""
    if proposed.proposal.unrated:
        yield f"Not held against, for want of a rating: {', '.join(proposed.proposal.unrated)}."
    for part in under_pressure(proposed.file.profile):
        for derating in part.deratings:
            if derating.beyond:
                yield (
                    f"What the {part.name} holds at {derating.at} is not stated, at most "
                    f"{derating.pressure}: ask the maker before these are used."
                )
    for finding in proposed.doubts:
        yield f"Settle the unit first: {finding.message} {finding.advice}"
    yield f"Margins: {_margins_text(proposed.margins)}."


def _margins_text(margins: Margins) -> str:
    shares = {"high": margins.high, "low": margins.low, "headroom": margins.headroom}
    return ", ".join(
        f"{name} {percent(share)} ({margins.origin[name]})" for name, share in shares.items()
    )


def document(found: Iterable[Proposed]) -> dict[str, Any]:
    """Every proposal as plain dictionaries; exact values are fractions of the unit."""
    return {
        "format": 1,
        "tool": {"name": "limitcheck", "version": __version__},
        "proposals": [_dictionary(proposed) for proposed in found],
    }


def _dictionary(proposed: Proposed) -> dict[str, Any]:
    profile, proposal, margins = proposed.file.profile, proposed.proposal, proposed.margins
    unit = profile.instrument.pressure_unit
    return {
        "path": proposed.file.path,
        "sha256": proposed.file.sha256,
        "method": profile.method.id,
        "instrument": profile.instrument.id,
        "unit": unit,
        "high": limit_dictionary(proposal.high, unit),
        "no_high": proposal.no_high,
        "high_bounds": [_bound_dictionary(bound, unit) for bound in proposal.high_bounds],
        "low": limit_dictionary(proposal.low, unit),
        "no_low": proposal.no_low,
        "doubts": [finding.message for finding in proposed.doubts],
        "unrated": list(proposal.unrated),
        "margins": {
            name: {"share": plain_or_rounded(share), "from": margins.origin[name]}
            for name, share in (
                ("high", margins.high),
                ("low", margins.low),
                ("headroom", margins.headroom),
            )
        },
        "remedies": [
            {"kind": remedy.kind, "text": remedy.text} for remedy in proposed.remedies.found
        ],
        "remedies_not_computed": proposed.remedies.not_computed,
    }


def limit_dictionary(limit: Limit | None, unit: str) -> dict[str, Any] | None:
    """One proposed cutoff."""
    if limit is None:
        return None
    return {
        "enter": limit.enter,
        "unit": unit,
        "bounds": [_bound_dictionary(bound, unit) for bound in limit.bounds],
        "binding": _bound_dictionary(limit.binding, unit),
    }


def _bound_dictionary(bound: Bound, unit: str) -> dict[str, Any]:
    value = bound.pressure.to(unit)
    return {
        "reason": bound.reason,
        "path": list(bound.path),
        "value": plain_or_rounded(value),
        "exact": str(value),
    }

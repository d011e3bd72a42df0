"""The record of a transfer as text and as plain dictionaries."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ...findings import path_text
from ...profile.hardware import RatedPart
from ...render.lines import safe, wrap
from ...render.run_text import finding_text
from ...transfer.adjustment import ColumnChange
from ...transfer.expected_pressure import ExpectedMoved
from ...transfer.receiving_cutoffs import EntryMoved
from ...transfer.record import RatingPair, Side, Transfer
from ...units import Pressure, plain_or_rounded, show
from ...version import __version__
from ..cautions import IN_A_RECORD, texts
from ..findings import finding_data

_LABEL = 38
_ROW = f"  {{:{_LABEL}}} {{:>18}} {{:>18}}"


def render(found: Transfer) -> str:
    """The record for people, to print and sign."""
    return "\n".join([*_decision(found), *_lines(found)]) + "\n"


def render_brief(found: Transfer) -> str:
    """The decision with its reasons."""
    return "\n".join(_decision(found)) + "\n"


def _decision(found: Transfer) -> Iterator[str]:
    first, second = found.sending, found.receiving
    method = first.profile.method
    revision = f" revision {method.revision}" if method.revision else ""
    yield from wrap(
        f"Transfer of {method.id}{revision}: {first.profile.instrument.id} to "
        f"{second.profile.instrument.id}"
    )
    yield ""
    yield from wrap(f"Decision: {found.decision}")
    for reason in found.reasons:
        yield from wrap(reason.text, "  - " if reason.blocking else "  . ", "    ")
    if any(not reason.blocking for reason in found.reasons):
        yield "  (- stands against it; . to be looked at)"


def _lines(found: Transfer) -> Iterator[str]:
    first, second = found.sending, found.receiving
    for side in (first, second):
        yield ""
        yield from _side(side)
    yield ""
    yield "Cutoffs"
    for entry in found.entries:
        yield from wrap(f"{entry.name}: {entry.verdict}: {entry.text}", "  ", "    ")
    if found.expected is not None:
        yield from _expected(found.expected)
    if found.column is not None:
        yield from _column(found.column)
    yield from _ratings(found)
    yield from _pressures(found)
    yield ""
    yield f"Findings in the receiving profile: {len(second.report.findings) or 'none'}"
    for finding in second.report.findings:
        yield finding_text(finding).rstrip("\n")
    yield ""
    yield from (line for caution in texts(IN_A_RECORD) for line in wrap(caution))
    yield f"limitcheck {found.version}, {found.day.isoformat()}"
    for blank in found.blanks:
        yield ""
        yield f"{blank}: {'_' * 40}"


def _side(side: Side) -> Iterator[str]:
    profile = side.profile
    site = f" at {profile.method.site}" if profile.method.site else ""
    yield from wrap(
        f"{side.role.capitalize()}: {side.path}: {profile.instrument.id}{site}, which "
        f"shows {side.unit}"
    )
    yield f"  sha256 {side.file.sha256}"
    for used in side.uses:
        yield from wrap(f"uses {used.path}", "  ")
        yield f"  sha256 {used.sha256}"


def _expected(moved: ExpectedMoved) -> Iterator[str]:
    yield ""
    yield "Expected pressure"
    yield from wrap(moved.text, "  ")
    if moved.ratio is not None:
        yield from wrap(f"predicted pressure, receiving over sending: {moved.ratio:.3g}", "  ")
    else:
        yield from wrap(
            f"without a predicted ratio ({moved.no_ratio}): as for one and the same hardware", "  "
        )


def _column(change: ColumnChange) -> Iterator[str]:
    yield ""
    yield "Column"
    yield from wrap(f"from {change.sending} to {change.receiving}", "  ", "    ")
    changed = [item for item in change.adjustments if item.sending != item.receiving]
    if not changed:
        yield "  nothing is adjusted"
        return
    for item in changed:
        verdict = {True: "within", False: "outside", None: "scaled"}[item.kept]
        yield from wrap(
            f"{item.what}: {item.sending} to {item.receiving}; {verdict}: {item.allowed}",
            "  ",
            "    ",
        )
    yield from wrap(f"Rules for {change.rules} elution: {change.source}.", "  ")


def _ratings(found: Transfer) -> Iterator[str]:
    yield ""
    yield _ROW.format("Lowest rating of each kind", "sending", "receiving")
    for pair in found.ratings:
        weaker = "weaker " if pair.weaker else ""
        yield _ROW.format(safe(pair.part), _rating(pair.sending), weaker + _rating(pair.receiving))


def _rating(rated: RatedPart | None) -> str:
    return "-" if rated is None else str(rated.pressure)


def _pressures(found: Transfer) -> Iterator[str]:
    first, second = found.sending, found.receiving
    units = (first.unit, second.unit)
    yield ""
    yield from wrap(
        "Every pressure in the units of both instruments; the factors are exact, "
        "figures of more than nine digits are rounded"
    )
    for side in (first, second):
        yield _ROW.format(f"{side.role}, as typed", *units)
        for row in found.pressures:
            if row.role == side.role:
                figures = (show(row.pressure, unit, digits=9) for unit in units)
                typed = f"{path_text(row.path)} = {row.pressure}"
                if len(typed) > _LABEL:
                    yield from wrap(typed, "  ")
                    typed = ""
                yield _ROW.format(safe(typed), *figures)


def document(found: Transfer) -> dict[str, Any]:
    """The record as plain dictionaries; exact values are fractions of the unit."""
    return {
        "format": 1,
        "tool": {"name": "limitcheck", "version": __version__},
        "day": found.day.isoformat(),
        "decision": found.decision,
        "reasons": [{"blocking": r.blocking, "text": r.text} for r in found.reasons],
        "sending": _side_dict(found.sending),
        "receiving": _side_dict(found.receiving),
        "cutoffs": [_entry_dict(entry) for entry in found.entries],
        "expected": None if found.expected is None else _expected_dict(found.expected),
        "column": None if found.column is None else _column_dict(found.column),
        "ratings": [_pair_dict(pair) for pair in found.ratings],
        "pressures": [
            {
                "profile": row.role,
                "path": list(row.path),
                "typed": str(row.pressure),
                "in_sending_unit": str(row.in_sending),
                "in_receiving_unit": str(row.in_receiving),
            }
            for row in found.pressures
        ],
        "to_fill_in": list(found.blanks),
    }


def _side_dict(side: Side) -> dict[str, Any]:
    profile = side.profile
    return {
        "path": side.path,
        "sha256": side.file.sha256,
        "uses": [{"path": used.path, "sha256": used.sha256} for used in side.uses],
        "method": profile.method.id,
        "revision": profile.method.revision,
        "site": profile.method.site,
        "instrument": profile.instrument.id,
        "unit": side.unit,
        "findings": [finding_data(finding) for finding in side.report.findings],
    }


def _entry_dict(entry: EntryMoved) -> dict[str, Any]:
    return {
        "name": entry.name,
        "sending": _typed(entry.sending),
        "receiving": _typed(entry.receiving),
        "exact": None if entry.exact is None else str(entry.exact),
        "rounded": None if entry.safe is None else plain_or_rounded(entry.safe),
        "proposed": None if entry.proposed is None else entry.proposed.enter,
        "verdict": entry.verdict,
        "text": entry.text,
        "blocking": entry.blocking,
    }


def _expected_dict(moved: ExpectedMoved) -> dict[str, Any]:
    return {
        "sending": [str(pressure) for pressure in moved.sending],
        "receiving": None if moved.receiving is None else [str(p) for p in moved.receiving],
        "scaled": [str(pressure) for pressure in moved.scaled],
        "predicted_ratio": moved.ratio,
        "no_ratio": moved.no_ratio,
        "verdict": moved.verdict,
        "text": moved.text,
    }


def _column_dict(change: ColumnChange) -> dict[str, Any]:
    return {
        "sending": str(change.sending),
        "receiving": str(change.receiving),
        "rules": change.rules,
        "source": change.source,
        "adjustments": [
            {
                "what": item.what,
                "sending": item.sending,
                "receiving": item.receiving,
                "allowed": item.allowed,
                "kept": item.kept,
            }
            for item in change.adjustments
        ],
    }


def _pair_dict(pair: RatingPair) -> dict[str, Any]:
    return {
        "part": pair.part,
        "sending": None if pair.sending is None else str(pair.sending.pressure),
        "receiving": None if pair.receiving is None else str(pair.receiving.pressure),
        "weaker": pair.weaker,
    }


def _typed(pressure: Pressure | None) -> str | None:
    return None if pressure is None else str(pressure)

"""The record of a transfer, to print and sign, and as plain data."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ..charts.scale import scale
from ..profile.hardware import RatedPart
from ..transfer.adjustment import ColumnChange
from ..transfer.came_across import Band, CutoffMoved, ExpectedMoved
from ..transfer.record import Side, Transfer, pressures
from ..units import COMMON_UNITS, Pressure
from .blocks import Block, Bullets, Chapter, Document, Facts, Section, Table, Text
from .cautions import IN_A_RECORD, texts
from .data import frame, path_data, predicted_data, pressure_data, profile_data
from .findings import finding_data, findings_section, recommendation_data, to_type, verdict
from .parts import SIGNED, inputs, named, pressure_table, signature

_KEPT = {True: "within", False: "outside", None: "scaled"}


def transfer_document(found: Transfer) -> Document:
    """The decision with its reasons and what to type, then the record."""
    first, second = found.sending, found.receiving
    method, here = first.profile.method, second.profile.instrument.id
    revision = f" revision {method.revision}" if method.revision else ""
    title = f"Transfer of {method.id}{revision} from {first.profile.instrument.id} to {here}"
    typed = [to_type(i) for cutoff in found.cutoffs if (i := found.recommended(cutoff))]
    summary: list[Block] = [Text(f"{title}: {found.decision}.", strong=True)]
    if typed:
        summary += [Text(f"Type on {here}:"), *typed]
    for cutoff in found.cutoffs:
        if (reason := found.withheld(cutoff)) is not None:
            summary.append(
                Text(f"No {cutoff.name} cutoff can be recommended for {here}: {reason}.")
            )
    record = [
        Section("Cutoffs", (_cutoffs(found),)),
        *_expected_and_column(found),
        Section("Ratings", (_ratings(found),)),
        *(_side(found, side) for side in (first, second)),
        findings_section(second.report),
        Section("What this record rests on", (inputs([first.file, second.file]),)),
        signature(),
    ]
    sections = (*_reasons(found), *(section._replace(in_record=True) for section in record))
    chapters = (Chapter("Record", sections),)
    cautions = tuple(texts(IN_A_RECORD))
    return Document(title, tuple(summary), chapters, cautions, found.day.isoformat(), found.version)


def _reasons(found: Transfer) -> Iterator[Section]:
    for heading, blocking in (("Against it", True), ("To be looked at", False)):
        reasons = tuple(reason.text for reason in found.reasons if reason.blocking is blocking)
        if reasons:
            yield Section(heading, (Bullets(reasons),))


def _cutoffs(found: Transfer) -> Table:
    rows = tuple(
        (
            f"{cutoff.name} cutoff",
            _typed(cutoff.sending),
            _typed(cutoff.receiving),
            f"{cutoff.verdict}: {cutoff.text}",
        )
        for cutoff in found.cutoffs
    )
    columns = ("Cutoff", "Sending", "Receiving", "How it came across")
    return Table("As typed on both sides", columns, rows)


def _typed(value: object) -> str:
    return "off" if value is None else str(value)


def _expected_and_column(found: Transfer) -> Iterator[Section]:
    if (moved := found.expected) is not None:
        if moved.ratio is not None:
            ratio = f"Predicted pressure, receiving over sending: {moved.ratio:.3g}."
        else:
            ratio = f"No predicted ratio ({moved.no_ratio}): taken as the same hardware."
        yield Section("Expected pressure", (Text(f"{moved.text}."), Text(ratio)))
    if found.column is not None:
        yield Section("Column", tuple(_column(found.column)))


def _column(change: ColumnChange) -> Iterator[Block]:
    yield Text(f"From {change.sending} to {change.receiving}.")
    rows = tuple(
        (item.what, item.sending, item.receiving, item.allowed, _KEPT[item.kept])
        for item in change.adjustments
    )
    columns = ("Quantity", "Sending", "Receiving", "Allowed", "Verdict")
    yield Table(f"Rules for {change.rules} elution: {change.source}", columns, rows)


def _ratings(found: Transfer) -> Table:
    rows = tuple(
        (
            pair.part,
            *(_rating(rated) for rated in (pair.sending, pair.receiving)),
            "weaker" if pair.weaker else "not weaker",
        )
        for pair in found.ratings
    )
    caption = "Lowest rating of each kind of part, at each method's conditions"
    return Table(caption, ("Part", "Sending", "Receiving", "Difference"), rows)


def _rating(rated: RatedPart | None) -> str:
    return "none" if rated is None else str(rated.pressure)


def _side(found: Transfer, side: Side) -> Section:
    """What a profile states: every pressure in the units of both instruments."""
    profile, other = side.profile, found.receiving if side is found.sending else found.sending
    units = tuple(dict.fromkeys((side.unit, other.unit)))
    if len(units) == 1:
        units = COMMON_UNITS
    site = f" at {profile.method.site}" if profile.method.site else ""
    facts = Facts(
        (
            ("Profile", side.file.path),
            ("Method", named(profile) + site),
            ("Pressure shown in", side.unit),
            ("Checks", verdict(side.report)),
        )
    )
    table = pressure_table(list(pressures(profile)), profile, "Every pressure", units)
    axis = next(unit for unit in (*units, *COMMON_UNITS) if unit != side.unit)
    heading = f"Pressures of the {side.role} profile"
    return Section(heading, (facts, scale(profile, None, axis), table))


def transfer_data(found: Transfer) -> dict[str, Any]:
    """The record as plain data."""
    return frame(
        day=found.day.isoformat(),
        decision=found.decision,
        reasons=[{"blocking": r.blocking, "text": r.text} for r in found.reasons],
        sending=_side_data(found.sending),
        receiving=_side_data(found.receiving),
        cutoffs={cutoff.name: _cutoff_data(found, cutoff) for cutoff in found.cutoffs},
        expected=None if found.expected is None else _expected_data(found.expected),
        column=None if found.column is None else _column_data(found.column),
        ratings=[
            {
                "part": pair.part,
                "sending": _pressure(pair.sending.pressure if pair.sending else None),
                "receiving": _pressure(pair.receiving.pressure if pair.receiving else None),
                "weaker": pair.weaker,
            }
            for pair in found.ratings
        ],
        to_fill_in=list(SIGNED),
    )


def _side_data(side: Side) -> dict[str, Any]:
    return {
        "profile": profile_data(side.file),
        "pressures": [
            {"path": path_data(path), "pressure": pressure_data(pressure)}
            for path, pressure in pressures(side.profile)
        ],
        "findings": [finding_data(finding) for finding in side.report.findings],
    }


def _cutoff_data(found: Transfer, cutoff: CutoffMoved) -> dict[str, Any]:
    item = found.recommended(cutoff)
    return {
        "sending": _pressure(cutoff.sending),
        "receiving": _pressure(cutoff.receiving),
        "exact": _pressure(cutoff.exact),
        "verdict": cutoff.verdict,
        "text": cutoff.text,
        "blocking": cutoff.blocking,
        "recommendation": None if item is None else recommendation_data(item),
        "withheld": found.withheld(cutoff),
    }


def _expected_data(moved: ExpectedMoved) -> dict[str, Any]:
    low, high = moved.scaled
    return {
        "sending": _band(moved.sending),
        "receiving": None if moved.receiving is None else _band(moved.receiving),
        "scaled": {
            "low": predicted_data(float(low), low.unit),
            "high": predicted_data(float(high), high.unit),
        },
        "predicted_ratio": moved.ratio,
        "no_ratio": moved.no_ratio,
        "verdict": moved.verdict,
        "text": moved.text,
    }


def _band(band: Band) -> dict[str, Any]:
    return {"low": pressure_data(band[0]), "high": pressure_data(band[1])}


def _column_data(change: ColumnChange) -> dict[str, Any]:
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


def _pressure(pressure: Pressure | None) -> dict[str, str] | None:
    return None if pressure is None else pressure_data(pressure)

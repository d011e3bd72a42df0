"""The record of a transfer, to print and sign."""

from __future__ import annotations

from collections.abc import Iterator

from ..charts.scale import scale
from ..transfer.adjustment import ColumnChange
from ..transfer.expected_pressure import ExpectedMoved
from ..transfer.record import Side, Transfer
from .blocks import Blanks, Block, Bullets, Chapter, Document, Facts, Section, Table, Text
from .cautions import IN_A_RECORD, texts
from .findings import findings_section, verdict
from .parts import inputs, named, pressure_table


def transfer_document(found: Transfer) -> Document:
    """The record as a document."""
    first, second = found.sending, found.receiving
    method = first.profile.method
    title = (
        f"Transfer of {method.id}{f' revision {method.revision}' if method.revision else ''}: "
        f"{first.profile.instrument.id} to {second.profile.instrument.id}"
    )
    sections = [
        Section("Decision", tuple(_reasons(found))),
        Section("Cutoffs", (_entries(found),)),
        *_optional(found),
        Section("Ratings", (_ratings(found),)),
        *(section for side in (first, second) for section in _pressures(found, side)),
        findings_section(second.report),
        Section("What this record rests on", (inputs([first.file, second.file]),)),
        Section("Review", (Blanks(found.blanks),)),
    ]
    summary = (Text(f"Decision: {found.decision}.", strong=True),)
    chapters = (Chapter("Record", tuple(sections)),)
    cautions = tuple(texts(IN_A_RECORD))
    return Document(title, summary, chapters, cautions, found.day.isoformat(), found.version)


def _reasons(found: Transfer) -> Iterator[Block]:
    for text, blocking in (("Against it:", True), ("To be looked at:", False)):
        reasons = tuple(reason.text for reason in found.reasons if reason.blocking is blocking)
        if reasons:
            yield Text(text)
            yield Bullets(reasons)
    if not found.reasons:
        yield Text("Nothing stands against it.")


def _entries(found: Transfer) -> Table:
    rows = tuple(
        (
            f"{entry.name} cutoff",
            _typed(entry.sending),
            _typed(entry.receiving),
            "none"
            if entry.proposed is None
            else f"{entry.proposed.enter} {entry.proposed.pressure.unit}",
            f"{entry.verdict}: {entry.text}",
        )
        for entry in found.entries
    )
    columns = ("Cutoff", "Sending", "Receiving", "Proposed here", "How it came across")
    return Table("Cutoffs on both sides", columns, rows)


def _typed(value: object) -> str:
    return "off" if value is None else str(value)


def _optional(found: Transfer) -> Iterator[Section]:
    if found.expected is not None:
        yield Section("Expected pressure", tuple(_expected(found.expected)))
    if found.column is not None:
        yield Section("Column", tuple(_column(found.column)))


def _expected(moved: ExpectedMoved) -> Iterator[Block]:
    yield Text(moved.text)
    if moved.ratio is not None:
        yield Text(f"Predicted pressure, receiving over sending: {moved.ratio:.3g}.")
    else:
        yield Text(f"No predicted ratio ({moved.no_ratio}): as for one and the same hardware.")


def _column(change: ColumnChange) -> Iterator[Block]:
    yield Text(f"From {change.sending} to {change.receiving}.")
    rows = tuple(
        (
            item.what,
            item.sending,
            item.receiving,
            item.allowed,
            {True: "within", False: "outside", None: "scaled"}[item.kept],
        )
        for item in change.adjustments
    )
    columns = ("Quantity", "Sending", "Receiving", "Allowed", "Verdict")
    yield Table(f"Rules for {change.rules} elution: {change.source}", columns, rows)


def _ratings(found: Transfer) -> Table:
    rows = tuple(
        (
            pair.part,
            "none" if pair.sending is None else str(pair.sending.pressure),
            "none" if pair.receiving is None else str(pair.receiving.pressure),
            "weaker" if pair.weaker else "not weaker",
        )
        for pair in found.ratings
    )
    caption = "Lowest rating of each kind of part, at each method's conditions"
    return Table(caption, ("Part", "Sending", "Receiving", "Difference"), rows)


def _pressures(found: Transfer, side: Side) -> Iterator[Section]:
    other = found.receiving if side.role == "sending" else found.sending
    unit = other.unit if other.unit != side.unit else "psi" if side.unit != "psi" else "bar"
    profile = side.profile
    rows = [(row.path, row.pressure) for row in found.pressures if row.role == side.role]
    site = f" at {profile.method.site}" if profile.method.site else ""
    yield Section(
        f"Pressures of the {side.role} profile",
        (
            Facts(
                (
                    ("Profile", side.path),
                    ("Method", named(profile) + site),
                    ("Pressure shown in", side.unit),
                    ("Checks", verdict(side.report)),
                )
            ),
            scale(profile, None, unit),
            pressure_table(rows, profile, "Every pressure"),
        ),
    )

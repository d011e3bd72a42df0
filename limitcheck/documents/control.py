"""What a controlled record says of itself, and the places for its signatures."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from ..policy import MARGIN_NAMES, margins_for
from ..transfer.control import Control
from ..transfer.record import Side, Transfer
from .blocks import Blanks, Block, Bullets, Chapter, Document, Section, Table, Text
from .data import exact_text, plain_data

_MEANINGS = ("Prepared", "Reviewed", "Approved")
_TO_WRITE = ("printed name", "signature", "date and time")
"""A signature shows printed name, date and time, and meaning (21 CFR 11.50(a), from memory)."""
TO_FILL_IN = tuple(f"{meaning}: {item}" for meaning in _MEANINGS for item in _TO_WRITE)


def control_section(found: Transfer, control: Control, record: Mapping[str, str]) -> Section:
    """Id, time, build, policies, qualification, margins, other revisions of the method."""
    policies = dict(zip(("sending", "receiving"), control.policies, strict=True))
    qualified = control.qualification
    rows = [
        ("Record", record["id"]),
        ("Made", record["made"]),
        ("SHA-256 of the record", record["sha256"]),
        ("SHA-256 of the installed files", control.build_sha256),
        *(
            (f"Policy, {side}", f"{file.path} (SHA-256 {file.sha256})" if file else "none")
            for side, file in policies.items()
        ),
        (
            "Qualification of this installation",
            f"{qualified.text}: {qualified.file.path} (SHA-256 {qualified.file.sha256})"
            if qualified
            else "not stated",
        ),
    ]
    margins = tuple(
        (side.role, item["name"], item["share"], item["origin"])
        for side in (found.sending, found.receiving)
        for item in margins_data(side)
    )
    blocks: list[Block] = [
        Table("", ("What", "Value"), tuple(rows)),
        Table("Margins in force", ("Side", "Margin", "Share", "From"), margins),
    ]
    others = control.other_revisions
    blocks.append(Text(others.text))
    if others.found:
        columns = ("Revision", "Instrument", "File", "SHA-256")
        lines = tuple((o.revision or "none", o.instrument, o.path, o.sha256) for o in others.found)
        blocks.append(Table("Other revisions of the method", columns, lines))
    return Section("This record", tuple(blocks), in_record=True)


def signatures() -> Iterator[Section]:
    """Blank places for each signature."""
    for meaning in _MEANINGS:
        labels = tuple(item.capitalize() for item in _TO_WRITE)
        yield Section(meaning, (Blanks(labels),), in_record=True)


def control_data(control: Control) -> dict[str, Any]:
    """When and with what the record was made."""
    sending, receiving = control.policies
    return {
        "build_sha256": control.build_sha256,
        "policies": {"sending": plain_data(sending), "receiving": plain_data(receiving)},
        "qualification": plain_data(control.qualification),
        "other_revisions": {
            "found": plain_data(control.other_revisions.found),
            "looked_at": control.other_revisions.text,
        },
    }


def margins_data(side: Side) -> list[dict[str, str]]:
    """The margins in force on a side, each with where it comes from."""
    margins = margins_for(side.profile, side.policy)
    return [
        {
            "name": name,
            "share": exact_text(getattr(margins, name)),
            "origin": margins.source_of(name),
        }
        for name in MARGIN_NAMES
    ]


def verification_document(record: Mapping[str, Any], found: tuple[str, ...], day: str) -> Document:
    """What changed since a record was made."""
    title = f"Verification of record {record['record']['id']}"
    made = record["record"]["made"]
    if not found:
        told = f"{title}: nothing changed since it was made, {made}."
        return Document(title, (Text(told, strong=True),), (), (), day)
    number = f"{len(found)} change{'s' if len(found) > 1 else ''}"
    told = f"{title}: {number} since it was made, {made}."
    chapter = Chapter("Record", (Section("What changed", (Bullets(found),)),))
    advice = Text("Make the record again, and have it reviewed and signed.")
    return Document(title, (Text(told, strong=True), advice), (chapter,), (), day)

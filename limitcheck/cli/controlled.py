"""The record of a transfer read again, and verified by the files of today."""

from __future__ import annotations

import json
import re
import zlib
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any, Literal, NamedTuple

from ..documents.transfer import transfer_data
from ..errors import Refused
from ..profile.load import load
from ..profile.text import UnreadableProfile
from ..qualify.control import LARGEST_RECORD, control_of, record_content
from ..transfer import Transfer, transfer
from ..transfer.control import Control, altered, changes

_IN_HTML = re.compile(rb'<script type="application/json" id="record">(.*?)</script>', re.DOTALL)
_IN_PDF = re.compile(rb"/Type\s*/EmbeddedFile\b.*?stream\r?\n", re.DOTALL)


class ReadRecord(NamedTuple):
    """A record as data, and the page it was drawn on: its form and bytes, empty for JSON."""

    data: dict[str, Any]
    form: Literal["json", "html", "pdf"]
    page: bytes


def read_record(path: str) -> ReadRecord:
    """The record in a JSON, HTML or PDF file that `transfer` wrote; raises Refused."""
    content = record_content(path)
    try:
        form, attached = _attached(content)
        data = json.loads(attached)
        own = data["record"]
        if not all(isinstance(own[key], str) for key in ("id", "made", "sha256")):
            raise TypeError
        datetime.fromisoformat(own["made"])
        if "rulings" not in data:
            raise KeyError
        return ReadRecord(dict(data), form, b"" if form == "json" else content)
    except (ValueError, KeyError, TypeError, RecursionError, zlib.error):
        raise Refused(
            f"{path}: not a record of limitcheck transfer",
            "name the JSON, HTML or PDF that limitcheck transfer -o FILE wrote",
        ) from None


def _attached(content: bytes) -> tuple[Literal["json", "html", "pdf"], bytes]:
    if content.startswith(b"%PDF"):
        (place,) = _IN_PDF.finditer(content)
        return "pdf", zlib.decompressobj().decompress(content[place.end() :], LARGEST_RECORD)
    found = _IN_HTML.search(content)
    return ("html", found[1]) if found is not None else ("json", content)


def verify(record: ReadRecord, made: datetime) -> tuple[str, ...]:
    """What changed since a record was made, by the files of today; of a page, what was altered."""
    found, drawn = _changes(record, made)
    if record.page and not drawn:
        found += (
            "only the record in the page was compared: what the page shows was not, as it can be "
            "drawn again only where nothing else changed",
        )
    return found


def _changes(record: ReadRecord, made: datetime) -> tuple[tuple[str, ...], bool]:
    """What changed, and whether the page was drawn again and compared."""
    data = record.data
    found = [told] if (told := altered(data)) is not None else []
    try:
        qualified = data["control"]["qualification"]
        of = [data[side]["profile"]["path"] for side in ("sending", "receiving")]
        today, control = _made_again(of, qualified and qualified["file"]["path"], made)
        now = json.loads(json.dumps(transfer_data(today, control)))
        found += changes(data, now)
        if found:
            return tuple(found), False
        return tuple(_altered_page(record, today, control)), True
    except (UnreadableProfile, Refused) as error:
        return (*found, f"it cannot be made again today: {error.message}"), False
    except (KeyError, TypeError, AttributeError):
        return (*found, "it has not the form of a record of this version"), False


def _made_again(
    paths: list[str], qualification: str | None, made: datetime
) -> tuple[Transfer, Control]:
    from ..checking.policy_file import policy_for

    first, second = map(load, paths)
    policies = policy_for(Path(paths[0])), policy_for(Path(paths[1]))
    found = transfer(first, second, policies, made.date())
    return found, control_of(found, made, qualification)


def _altered_page(record: ReadRecord, today: Transfer, control: Control) -> Iterator[str]:
    """Whether the page says what its record says: drawn again, it has to be the same bytes."""
    from ..documents.transfer import transfer_document
    from ..render.pdf import PAPERS
    from .output import draw_document

    if not record.page:
        return

    made = datetime.fromisoformat(record.data["record"]["made"])
    document = transfer_document(replace(today, day=made.date()), control._replace(made=made))
    for paper in PAPERS if record.form == "pdf" else ("a4",):
        drawn = draw_document(record.form, document, record.data, paper=paper)
        drawn = drawn.encode("utf-8", "backslashreplace") if isinstance(drawn, str) else drawn
        if drawn == record.page:
            break
    else:
        yield (
            "the page itself was altered: drawn again from the record in it, it is not the same; "
            "the record in it is as it was"
        )

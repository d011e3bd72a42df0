"""The record of a transfer read again, and verified by the files of today."""

from __future__ import annotations

import json
import re
import zlib
from datetime import datetime
from pathlib import Path
from typing import Any

from ..documents.transfer import transfer_data
from ..errors import Refused
from ..profile.load import load
from ..profile.text import UnreadableProfile
from ..qualify.control import LARGEST_RECORD, control_of, record_content
from ..transfer import transfer
from ..transfer.control import altered, changes

_IN_HTML = re.compile(rb'<script type="application/json" id="record">(.*?)</script>', re.DOTALL)
_IN_PDF = re.compile(rb"/Type\s*/EmbeddedFile\b.*?stream\r?\n", re.DOTALL)


def read_record(path: str) -> dict[str, Any]:
    """The record in a JSON, HTML or PDF file that `transfer` wrote; raises Refused."""
    content = record_content(path)
    try:
        data = json.loads(_attached(content))
        if not isinstance(data["record"]["sha256"], str) or "rulings" not in data:
            raise KeyError
        return dict(data)
    except (ValueError, KeyError, TypeError, RecursionError, zlib.error):
        raise Refused(
            f"{path}: not a record of limitcheck transfer",
            "name the JSON, HTML or PDF that limitcheck transfer -o FILE wrote",
        ) from None


def _attached(content: bytes) -> bytes:
    if content.startswith(b"%PDF"):
        (place,) = _IN_PDF.finditer(content)
        return zlib.decompressobj().decompress(content[place.end() :], LARGEST_RECORD)
    found = _IN_HTML.search(content)
    return found[1] if found is not None else content


def verify(record: dict[str, Any], made: datetime) -> tuple[str, ...]:
    """What changed since a record was made, by the files of today."""
    from ..checking.policy_file import policy_for

    found = [told] if (told := altered(record)) is not None else []
    try:
        paths = [record[side]["profile"]["path"] for side in ("sending", "receiving")]
        first, second = map(load, paths)
        policies = policy_for(Path(paths[0])), policy_for(Path(paths[1]))
        today = transfer(first, second, policies, made.date())
        named = record["control"]["qualification"]
        control = control_of(today, made, named and named["file"]["path"])
        now = json.loads(json.dumps(transfer_data(today, control)))
        return (*found, *changes(record, now))
    except (UnreadableProfile, Refused) as error:
        return (*found, f"it cannot be made again today: {error.message}")
    except (KeyError, TypeError):
        return (*found, "it has not the form of a record of this version")

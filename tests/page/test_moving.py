"""A method moved to another instrument: the decision and the record of the command."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

from .commands import COPIED, TEA, command, document
from .conftest import EXAMPLES
from .server import Client


def test_transfer_says_what_the_command_says(
    page: Client, capsys: pytest.CaptureFixture[str]
) -> None:
    answer = page.get("/transfer", **{"profile": TEA, "to": COPIED})
    told = command(capsys, "transfer", str(EXAMPLES / TEA), str(EXAMPLES / COPIED))
    verdict, reasons = told.split(": do not accept.")[0], told[told.index("Against it") :]
    assert f"{verdict}: do not accept." in answer.words
    for reason in re.split(r" - ", reasons[: reasons.index("Cautions")])[1:]:
        own = reason.split(" To be looked at")[0].partition("limitcheck")[0]
        assert own.strip() in answer.words
    assert "Never raise a cutoff above a rating" in answer.words
    assert "Signature" not in answer.words
    record = page.get("/record", **{"profile": TEA, "to": COPIED})
    assert (
        'filename="transfer-harrow-mill-copied-transfer.html"'
        in (record.headers["content-disposition"])
    )
    assert "Signature" in record.text
    accepted = page.get("/transfer", **{"profile": TEA, "to": "transfer/harrow-mill-11.toml"})
    assert "to HM-LC-11: accept, on 1 condition." in accepted.words


@pytest.mark.parametrize("other", [COPIED, "transfer/harrow-mill-11.toml"])
def test_the_record_of_the_page_is_that_of_the_command(
    page: Client, capsys: pytest.CaptureFixture[str], other: str
) -> None:
    text = page.get("/record", **{"profile": TEA, "to": other}).text
    (inside,) = re.findall(
        r'<script type="application/json" id="record">(.*?)</script>', text, re.S
    )
    told = document(capsys, "transfer", str(EXAMPLES / TEA), str(EXAMPLES / other))
    assert len(told["rulings"]) > 50
    assert _as_named(json.loads(inside)) == _as_named(told)


def _as_named(record: dict[str, Any]) -> dict[str, Any]:
    """The record without what names the moment and the folder it was made in."""
    del record["record"], record["day"]
    return dict(json.loads(json.dumps(record).replace(f"{EXAMPLES}/", "")))

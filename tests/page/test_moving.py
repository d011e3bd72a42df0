"""A method moved to another instrument: the decision and the record of the command."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

from limitcheck.page.onward import in_words_of_both

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


def test_what_is_kept_names_the_command_and_the_screen(
    page: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It may be read at the page, or where there is none."""
    record = page.get("/record", **{"profile": TEA, "to": COPIED}).text
    assert "limitcheck baseline LOG --profile PROFILE --write" in record  # no screen writes a band
    monkeypatch.setattr("limitcheck.render.html.render", lambda _: "<p>limitcheck faults</p>")
    kept = page.get("/report", profile=COPIED).text
    assert kept == "<p>limitcheck faults (on the page: the screen “Profile”)</p>"


def test_words_for_both() -> None:
    told = in_words_of_both("<p>limitcheck propose writes it, with --swing 20</p>")
    assert told == (
        "<p>limitcheck propose (on the page: the screen “Profile”) writes it, "
        "with --swing (on the page: the field “Swing”) 20</p>"
    )
    for as_it_is in ("<code>limitcheck check</code>", "<p>limitcheck qualify</p>"):
        assert in_words_of_both(as_it_is) == as_it_is

"""A profile of the folder or from elsewhere: what is found in it, and its report."""

from __future__ import annotations

import base64
import hashlib
import re
from urllib.parse import urlencode

import pytest

from ..profiles_for_tests import text
from .commands import COPIED, TEA, document
from .conftest import EXAMPLES
from .server import Client


@pytest.mark.parametrize(
    "name", [TEA, COPIED, "cutoffs/over-rating.toml", "cutoffs/low-cutoff-off.toml"]
)
def test_check_says_what_the_commands_say(
    page: Client, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    answer = page.get("/profile", profile=name)
    every = document(capsys, "check", str(EXAMPLES))["profiles"]
    (checked,) = (one for one in every if one["path"] == str(EXAMPLES / name))
    settled = [
        tuple(other[:1])
        for finding in checked["findings"]
        for other in finding["data"].get("explains", ())
    ]
    for finding in checked["findings"]:
        assert finding["check"] in answer.words
        if (finding["check"],) not in settled:
            assert finding["message"] in answer.words
            assert f"Do: {finding['advice']}" in answer.words
    assert ("No findings." in answer.words) == (not checked["findings"])
    (proposed,) = document(capsys, "propose", str(EXAMPLES / name))["proposals"]
    for side in ("high", "low"):
        recommended = proposed[side]["recommendation"]
        if recommended is None:
            assert proposed[side]["withheld"] in answer.words
        else:
            assert f"{side} = {recommended['enter']} ({recommended['unit']})" in answer.words
        for bound in proposed[side]["bounds"]:
            assert bound["reason"] in answer.words
    assert 'role="img"' in answer.text


def test_a_dropped_file_is_checked_like_one_of_the_folder(page: Client) -> None:
    answer = page.drop(text(high="35").encode(), "tea.toml")
    assert "KB-TEA-014 on KB-LC-03: 3 errors" in answer.words
    assert "tea.toml:" in answer.words
    assert "unit-confusion" in answer.words


def test_a_dropped_file_that_is_no_profile_gets_every_error(page: Client) -> None:
    content = text(high='"6,000 psi"', column='"450"').encode()
    answer = page.drop(content)
    assert answer.words.count("unreadable-profile") == 2
    assert "dropped.toml:" in answer.words
    assert "Download" not in answer.words
    assert page.drop(b"", "").status == 200
    assert "the file is empty" in page.drop(b"", "empty.toml").words


def test_the_report_of_a_profile_is_downloaded(page: Client) -> None:
    answer = page.get("/report", profile=COPIED)
    disposition = answer.headers["content-disposition"]
    assert disposition == 'attachment; filename="transfer-harrow-mill-copied-report.html"'
    digest = hashlib.sha256((EXAMPLES / COPIED).read_bytes()).hexdigest()
    assert digest in answer.text
    assert "Signature" in answer.text


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_the_report_of_a_dropped_file_is_of_the_same_bytes(page: Client, ends: str) -> None:
    content = text().replace("\n", ends).encode() + "# µ\n".encode()
    screen = page.drop(content, '"><b>tea.toml')
    assert "<b>" not in screen.text
    fields = dict(
        re.findall(r'<input type="hidden" name="(name|content)" value="(.*?)">', screen.text)
    )
    body = urlencode({"name": "tea.toml", "content": fields["content"]}).encode()
    report = page.post("/report", body, "application/x-www-form-urlencoded")
    assert report.headers["content-disposition"] == 'attachment; filename="tea-report.html"'
    assert hashlib.sha256(content).hexdigest() in report.text


@pytest.mark.parametrize("name", ["a\r\nX-Evil: 1.toml", '"; filename=x.toml', "..", "ä/ö.toml"])
def test_no_name_can_change_the_headers_of_a_download(page: Client, name: str) -> None:
    body = urlencode({"name": name, "content": "Zm9ybWF0ID0gMQ=="}).encode()
    assert page.post("/report", body, "application/x-www-form-urlencoded").status == 404
    body = urlencode({"name": name, "content": base64.b64encode(text().encode())}).encode()
    answer = page.post("/report", body, "application/x-www-form-urlencoded")
    assert answer.status == 200
    assert re.fullmatch(
        r'attachment; filename="[A-Za-z0-9._-]+\.html"', answer.headers["content-disposition"]
    )
    assert "x-evil" not in answer.headers

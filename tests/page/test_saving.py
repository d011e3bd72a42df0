"""Saving: only what was shown, said only while it is true, and never where nothing is checked."""

from __future__ import annotations

import base64
import os
import re

import pytest

from ..profiles_for_tests import text, write
from .desk import Desk, bytes_of, fields_of, opened, saved, send

NEW = {"like": "conventional-400-bar", "id": "KB-NEW-001", "instrument": "KB-LC-03"}


@pytest.mark.parametrize("part", ["name", "file", "text", "errors"])
def test_what_was_seen_is_this_text_over_this_file_under_this_name(desk: Desk, part: str) -> None:
    off = '[severity]\nduplicate-method-revision = "off"\n'  # the errors are the same in both files
    (desk.folder / "limitcheck.toml").write_text(off)
    (desk.folder / "pump.toml").write_text('[[flow_path]]\npart = "pump"\nrating = "400 bar"\n')
    own = text().replace('part = "pump"\nrating = "400 bar"', 'use = "pump.toml#pump"')
    (desk.folder / "kestrel.toml").write_text(own)
    (desk.folder / "other.toml").write_text(own)
    fields = opened(desk)
    fields["f.cutoffs.high"] = "500"
    shown = send(desk.page, fields, "save")
    assert "Save it with its errors" in shown.words
    forged = fields_of(shown)
    odd = send(desk.page, {**forged, "seen": "\xe9\ud800"}, "write")
    assert (odd.status, "Nothing is written yet" in odd.words) == (200, True)
    now = {name: bytes_of(desk, name) for name in ("kestrel.toml", "other.toml")}
    if part == "name":
        forged["profile"] = "other.toml"
    elif part == "file":
        changed = own.encode() + b"# changed\n"
        (desk.folder / "kestrel.toml").write_bytes(changed)
        now["kestrel.toml"] = changed
        forged["was"] = opened(desk)["was"]
    elif part == "text":
        forged["base"] = base64.b64encode(f"{own.replace('250', '500')}# other\n".encode()).decode()
    else:  # the same checks find the same places, but say something else
        pump = (desk.folder / "pump.toml").read_text()
        (desk.folder / "pump.toml").write_text(pump.replace("400", "390"))
    answer = send(desk.page, forged, "write")
    assert "Nothing is written yet: what is found has changed" in answer.words
    assert now == {name: bytes_of(desk, name) for name in now}
    assert "Saved" in send(desk.page, fields_of(answer), "write").words


def test_saved_is_said_only_while_the_file_holds_it(desk: Desk) -> None:
    fields = opened(desk)
    fields["f.cutoffs.high"] = "240"
    confirmation = fields_of(send(desk.page, fields, "save"))
    done = send(desk.page, confirmation, "write", follow=False)
    assert done.status == 303
    address = done.headers["location"]
    assert "Saved: kestrel.toml" in desk.page.ask(address).words
    forged = re.sub("saved=.*", "saved=" + "0" * 64, address)
    assert "Saved" not in desk.page.ask(forged).words
    assert "Made" not in desk.page.ask(address.replace("saved=", "made=")).words
    for odd in ("%C3%A9", "%FF", "%ED%A0%80", ""):
        for name in ("saved", "made"):
            answer = desk.page.ask(f"/edit?profile=kestrel.toml&{name}={odd}")
            assert (answer.status, "Saved:" in answer.words) == (200, False)
    (desk.folder / "kestrel.toml").write_text(text())
    later = desk.page.ask(address)
    assert "Saved" not in later.words
    assert fields_of(later)["f.cutoffs.high"] == "250"


def test_a_file_that_would_not_be_checked_is_not_made(desk: Desk) -> None:
    (desk.folder / "limitcheck.toml").write_text('exclude = ["old", "draft-*.toml"]\n')
    (desk.folder / "old").mkdir()
    for name, pattern in (("old/x.toml", "old"), ("draft-1", "draft-*.toml")):
        answer = desk.page.get("/new", name=name, **NEW)
        assert "would not be checked" in answer.words
        assert f'excludes "{pattern}"' in answer.words
    fields = fields_of(desk.page.get("/new", name="fine", **NEW)) | {"profile": "old/x.toml"}
    answer = send(desk.page, fields, "save")
    assert "would not be checked" in answer.words
    assert "KB-NEW-001" in answer.text
    assert os.listdir(desk.folder / "old") == []


def test_a_file_whose_name_begins_with_a_blank_is_changed(desk: Desk) -> None:
    write(desk.folder, " odd.toml")
    fields = opened(desk, " odd.toml")
    fields["f.cutoffs.high"] = "240"
    assert "Saved" in saved(desk, fields).words
    assert bytes_of(desk, " odd.toml").decode() == text(high="240")

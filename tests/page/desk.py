"""A page for editing: its form as a browser would send it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from html import unescape
from pathlib import Path
from typing import NamedTuple

from limitcheck.page.saving import Writing

from ..profiles_for_tests import write
from .server import Answer, Client, served


class Desk(NamedTuple):
    """A page for editing and its folder."""

    page: Client
    folder: Path


@contextmanager
def editing(tmp_path: Path) -> Iterator[Desk]:
    """A page for editing one profile, until the end."""
    folder = tmp_path / "profiles"
    folder.mkdir()
    write(folder)
    with served(folder, Writing.EDIT) as page:
        yield Desk(page, folder)


def fields_of(answer: Answer) -> dict[str, str]:
    """What a browser would send of the form in an answer, unchanged."""
    found = {}
    for tag in re.findall(r"<input [^>]*>", answer.text):
        marks = dict(re.findall(r'([\w-]+)="([^"]*)"', tag))
        found[unescape(marks["name"])] = unescape(marks.get("value", ""))
    for name, inner in re.findall(
        r'<select id="[^"]*" name="([^"]*)".*?>(.*?)</select>', answer.text, re.S
    ):
        chosen = re.search(r"<option(?: value=\"([^\"]*)\")? selected>(.*?)</option>", inner)
        found[unescape(name)] = unescape(chosen[1] or chosen[2]) if chosen else ""
    if box := re.search(r'<textarea id="text"[^>]*>\n(.*?)</textarea>', answer.text, re.S):
        found["text"] = unescape(box[1]).replace("\n", "\r\n")
    return found


def send(
    page: Client, fields: dict[str, str], act: str, follow: bool = True, **headers: str | None
) -> Answer:
    """Press a button of the form, and go where that leads."""
    body = b"".join(
        b'--x\r\nContent-Disposition: form-data; name="%s"\r\n\r\n%s\r\n'
        % (name.encode(), value.encode("utf-8", "surrogatepass"))
        for name, value in {**fields, "act": act}.items()
    )
    sent = {name.replace("_", "-"): value for name, value in headers.items()}
    answer = page.post("/edit", body + b"--x--\r\n", "multipart/form-data; boundary=x", sent)
    return page.ask(answer.headers["location"]) if follow and answer.status == 303 else answer


def opened(desk: Desk, name: str = "kestrel.toml") -> dict[str, str]:
    return fields_of(desk.page.get("/edit", profile=name))


def saved(desk: Desk, fields: dict[str, str]) -> Answer:
    """Go through the confirmation."""
    shown = send(desk.page, fields, "save")
    return send(desk.page, fields_of(shown), "write")


def bytes_of(desk: Desk, name: str = "kestrel.toml") -> bytes:
    return (desk.folder / name).read_bytes()

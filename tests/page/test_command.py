"""`limitcheck page`: it begins, serves this computer alone, opens a browser and ends."""

from __future__ import annotations

import base64
import os
import re
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest
import uvicorn

from limitcheck.cli.app import run
from limitcheck.cli.page import configuration
from limitcheck.page.app import create_app
from limitcheck.page.secret import Secret

from ..profiles_for_tests import write
from .desk import fields_of, send
from .server import Client, opened


@contextmanager
def process(*arguments: str, **variables: str) -> Iterator[tuple[Client, subprocess.Popen[str]]]:
    """The command in a process of its own, from the line that names its address."""
    started = subprocess.Popen(
        [sys.executable, "-m", "limitcheck", "page", *arguments],
        text=True,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        env={**os.environ, **variables},
    )
    assert started.stdout is not None
    try:
        found = re.fullmatch(
            r"The page is at (http://limitcheck-[0-9a-f]{20}\.localhost:\d+/\?key=[\w-]{43})\n",
            started.stdout.readline(),
        )
        assert found is not None
        assert started.stdout.readline() == "Ctrl-C ends it.\n"
        yield opened(found[1]), started
    finally:
        started.kill()
        started.wait()
        started.stdout.close()


def test_it_serves_until_it_is_interrupted(tmp_path: Path) -> None:
    write(tmp_path)
    with process(str(tmp_path), "--no-browser") as (page, started):
        assert "kestrel.toml: KB-TEA-014" in page.ask("/entry").words
        started.send_signal(signal.SIGINT)
        told, _ = started.communicate(timeout=10)
        assert started.returncode == 0
        assert told == "ended\n"


@pytest.mark.parametrize("flags", [[], ["--read-only"], ["--edit"]])
def test_only_a_page_started_for_it_changes_profiles(tmp_path: Path, flags: list[str]) -> None:
    write(tmp_path)
    before = (tmp_path / "kestrel.toml").read_text()
    may = flags == ["--edit"]
    with process(str(tmp_path), "--no-browser", *flags) as (page, _):
        form = page.get("/edit", profile="kestrel.toml")
        new = page.get("/new")
        content = base64.b64encode(before.replace("250", "240").encode()).decode()
        was = sha256(before.encode()).hexdigest()
        made_up = {"profile": "kestrel.toml", "was": was, "base": content, "before": content}
        shown = send(page, fields_of(form) | {"f.cutoffs.high": "240"} if may else made_up, "save")
        written = send(page, fields_of(shown) if may else made_up, "write")
        assert {form.status, new.status, shown.status, written.status} == {200 if may else 403}
        assert ("/edit" in page.ask("/").text) == may
        if not may:
            why = "was started with --read-only" if flags else "was started without --edit"
            assert why in form.words
            assert why in written.words
    after = before.replace("high = 250", "high = 240") if may else before
    assert (tmp_path / "kestrel.toml").read_text() == after
    assert [path.name for path in tmp_path.iterdir()] == ["kestrel.toml"]


def test_what_a_proxy_would_add_is_not_believed(tmp_path: Path) -> None:
    """A page of another site could not send these; whoever can is on this computer already."""
    assert configuration(create_app(str(tmp_path), Secret())).proxy_headers is False


def test_only_this_computer_can_reach_it(tmp_path: Path) -> None:
    with process(str(tmp_path), "--no-browser") as (page, _):
        listening = Path("/proc/net/tcp").read_text() if sys.platform == "linux" else ""
        port = f":{page.port:04X}"
        addresses = {
            fields[1].removesuffix(port)
            for line in listening.splitlines()
            if (fields := line.split())[3] == "0A" and fields[1].endswith(port)
        }
        assert addresses <= {"0100007F"}
        for family, address in ((socket.AF_INET, "127.0.0.2"), (socket.AF_INET6, "::1")):
            with socket.socket(family) as other:
                assert other.connect_ex((address, page.port)) != 0


@pytest.mark.skipif(os.name != "posix", reason="the browser is a shell script here")
def test_it_opens_the_browser_without_telling_other_users(tmp_path: Path) -> None:
    """How a program is started can be read by all; so the secret is in a private file."""
    browser, given = tmp_path / "browser.sh", tmp_path / "opened"
    browser.write_text(f'#!/bin/sh\necho "$1" > {given}\n')
    browser.chmod(0o755)
    with process(str(tmp_path), BROWSER=f"{browser} %s") as (page, started):
        for _ in range(500):
            if given.exists() and given.read_text():
                break
            time.sleep(0.01)
        address = given.read_text().strip()
        assert page.key not in address
        file = Path(unquote(urlsplit(address).path))
        assert file.stat().st_mode & 0o077 == 0
        assert file.parent.stat().st_mode & 0o077 == 0
        assert f"http://{page.host}/?key={page.key}" in file.read_text()
        started.send_signal(signal.SIGINT)
        started.communicate(timeout=10)
        assert not file.parent.exists()


def test_an_interrupt_is_the_good_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    opened = threading.Event()
    addresses = []

    def note(address: str) -> None:
        addresses.append(address)
        opened.set()

    def interrupted(_: uvicorn.Server, sockets: list[socket.socket]) -> None:
        assert opened.wait(10)
        assert sockets[0].getsockname()[0] == "127.0.0.1"
        sockets[0].close()
        raise KeyboardInterrupt

    monkeypatch.setattr("webbrowser.open", note)
    monkeypatch.setattr(uvicorn.Server, "run", interrupted)
    assert run(["page", str(tmp_path)]) == 0
    told = capsys.readouterr().out
    assert "The page is at http://limitcheck-" in told
    assert addresses[0].startswith("file://")
    assert told.endswith("ended\n")


def test_a_port_that_is_taken_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = str(taken.getsockname()[1])
        assert run(["page", str(tmp_path), "--port", port, "--no-browser"]) == 2
    assert f"port {port} cannot be used" in capsys.readouterr().err


def test_a_folder_is_needed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["page", str(tmp_path / "none"), "--no-browser"]) == 2
    assert "is not a folder" in " ".join(capsys.readouterr().err.split())


@pytest.mark.parametrize("missing", ["uvicorn", "starlette", "jinja2", "python_multipart"])
def test_without_its_libraries_it_says_what_to_install(tmp_path: Path, missing: str) -> None:
    code = (
        f"import sys; sys.modules[{missing!r}] = None; from limitcheck.cli.app import run; "
        f"sys.exit(run(['page', {str(tmp_path)!r}, '--no-browser']))"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert told.returncode == 2
    assert f"the page needs {missing}" in told.stderr
    assert "pip install 'limitcheck[page]'" in told.stderr

"""The page under hostile requests, answered in this process without a socket.

A case is a request as text: `METHOD target`, header lines, an empty line, the body.
"""

from __future__ import annotations

import asyncio
import re
import shutil
import tempfile
from atexit import register
from datetime import date
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from typing import Any
from urllib.parse import unquote

from limitcheck.page.app import create_app
from limitcheck.page.guard import HEADERS, Guard
from limitcheck.page.secret import Secret

REPOSITORY = Path(__file__).parents[2]
PORT = 8000
PROFILES = ("conventional-400-bar.toml", "gradient-water-methanol.toml")
RECORD = re.compile(rb'<script type="application/json" id="record">[^<]*</script>')
"""The data that a record carries: not run by a browser, and without an end tag inside."""
OURS = b'<script type="module" src="/live.js"></script>'
ANSWERED = {200, 303, 400, 403, 404, 405, 413}


def page(content: bytes, every: bool = False) -> None:
    """Every request is answered, with the guarding headers, no script, and no file changed."""
    app, folder, before = _page()
    asked = scope(content)
    if not any(name == b"cookie" for name, _ in asked["headers"]):
        cookie = f"limitcheck-{PORT}={app.secret.token}"
        asked["headers"].append((b"cookie", cookie.encode()))
    status, headers, body = asyncio.run(_answer(app, asked, content))
    if status == 307:  # the same address without a last stroke
        assert headers["location"].startswith(f"http://{dict(asked['headers'])[b'host'].decode()}/")
    else:
        assert status in ANSWERED, status
        assert headers["content-type"].startswith(("text/", "image/svg+xml"))
    for name, value in HEADERS.items():
        assert headers.get(name.lower()) == value, name
    assert b"Traceback" not in body
    shown = RECORD.sub(b"", body, count=1).replace(OURS, b"", 1)
    assert b"<script" not in shown.lower()
    assert _state(folder) == before, "a file was changed"


def scope(content: bytes) -> dict[str, Any]:
    """What a server makes of a request; header names in small letters as ASGI wants them."""
    head = content.partition(b"\n\n")[0]
    line, *headers = head.split(b"\n")
    method, _, target = line.partition(b" ")
    path, _, query = target.partition(b"?")
    pairs = [header.partition(b":") for header in headers]
    return {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "scheme": "http",
        "method": method.decode("latin-1").upper(),
        "path": unquote(path.decode("latin-1")) or "/",
        "raw_path": path,
        "query_string": query,
        "root_path": "",
        "headers": [(name.strip().lower(), value.strip()) for name, _, value in pairs],
        "server": ("127.0.0.1", PORT),
        "client": ("127.0.0.1", 50000),
    }


async def _answer(
    app: Guard, asked: dict[str, Any], content: bytes
) -> tuple[int, dict[str, str], bytes]:
    """Status, headers and body; an exception of the application comes through."""
    body, sent = content.partition(b"\n\n")[2], list[dict[str, Any]]()
    parts = [body[: len(body) // 2], body[len(body) // 2 :]]

    async def receive() -> dict[str, Any]:
        if not parts:
            return {"type": "http.disconnect"}
        return {"type": "http.request", "body": parts.pop(0), "more_body": bool(parts)}

    async def send(message: dict[str, Any]) -> None:
        sent.append(message)

    await app(asked, receive, send)
    start, *rest = sent
    headers = {name.decode(): value.decode() for name, value in start["headers"]}
    return start["status"], headers, b"".join(message.get("body", b"") for message in rest)


@lru_cache(maxsize=1)
def _page() -> tuple[Guard, Path, dict[str, str]]:
    """The application over a folder with good, bad and other files; the folder goes at exit."""
    folder = Path(tempfile.mkdtemp(prefix="limitcheck-fuzz-"))
    register(shutil.rmtree, folder)
    for name in PROFILES:
        shutil.copy(REPOSITORY / "profiles" / name, folder)
    (folder / "broken.toml").write_text('format = 1\n[instrument]\nid = "<script>"\n')
    (folder / "other.toml").write_text("[tool]\n")
    app = create_app(str(folder), Secret(), lambda: date(2026, 1, 1))
    return app, folder, _state(folder)


def _state(folder: Path) -> dict[str, str]:
    return {
        str(file.relative_to(folder)): sha256(file.read_bytes()).hexdigest()
        for file in sorted(folder.rglob("*"))
        if file.is_file()
    }

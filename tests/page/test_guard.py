"""Who may ask, how much, and what every answer forbids."""

from __future__ import annotations

import asyncio
import base64
import re
import socket
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlencode

import pytest

from limitcheck.page.addresses import TASKS
from limitcheck.page.app import create_app
from limitcheck.page.folder import LARGEST_DROPPED
from limitcheck.page.guard import FIXED, LARGEST_BODY, Guard
from limitcheck.page.secret import Secret

from .server import Client

if TYPE_CHECKING:
    from starlette.types import Message, Receive, Scope, Send

OURS = '<script type="module" src="/live.js"></script>'
"""The one script, which stands in a file of its own."""
SCREENS = (*(task.address for task in TASKS), *FIXED)


@pytest.mark.parametrize("path", [*SCREENS, "/nowhere", "/entry?value=35", "/report", "/%00"])
def test_every_answer_forbids_foreign_scripts_and_frames(page: Client, path: str) -> None:
    headers = page.ask(path).headers
    policy = headers["content-security-policy"].split("; ")
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "form-action 'self'" in policy
    assert "base-uri 'none'" in policy
    assert "script-src 'self'" in policy
    assert "connect-src 'self'" in policy
    assert not any("unsafe" in part or "*" in part or "data:" in part for part in policy)
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["cross-origin-resource-policy"] == "same-origin"
    assert headers["cross-origin-opener-policy"] == "same-origin"
    assert headers["referrer-policy"] == "same-origin"
    assert headers["cache-control"] == "no-store"
    assert "server" not in headers


@pytest.mark.parametrize("path", SCREENS[: -len(FIXED)])
def test_no_screen_holds_a_script_or_a_style_of_its_own(page: Client, path: str) -> None:
    text = page.ask(path).text
    assert re.findall(r"<script.*", text) == [OURS]
    assert not re.search(r"<[^>]* on[a-z]+=", text)
    assert "<style" not in text
    assert " style=" not in text
    assert "http://" not in text
    assert "https://" not in text


@pytest.mark.parametrize(
    "host",
    [
        "limits.example",
        "limits.example:{port}",
        "127.0.0.1.example:{port}",
        "127.0.0.1",
        "",
        "127.0.0.1:1",
        "[::1]:{port}",
        "0.0.0.0:{port}",
        "user@127.0.0.1:{port}",
        None,
    ],
)
def test_a_foreign_name_is_refused(page: Client, host: str | None) -> None:
    """A name of another site that resolves to this computer (DNS rebinding)."""
    sent = host.format(port=page.port) if host is not None else None
    answer = page.ask("/entry", headers={"Host": sent})
    assert answer.status == 400
    assert "Profile of the method" not in answer.text


def test_two_origins_are_refused(page: Client) -> None:
    """No browser sends two; of two, neither is believed."""
    head = [f"GET /entry HTTP/1.1\r\nHost: {page.host}\r\nCookie: {page.cookie}"]
    head += [f"Origin: http://{page.host}", "Connection: close"]
    for more, status in ((), "200"), (("Origin: http://limits.example",), "403"):
        with socket.create_connection(("127.0.0.1", page.port)) as asking:
            asking.sendall("\r\n".join([*head, *more, "", ""]).encode())
            assert asking.makefile("rb").readline().split()[1].decode() == status


def test_at_port_80_a_browser_names_no_port(tmp_path: Path) -> None:
    app = create_app(str(tmp_path), Secret())
    for name in ("127.0.0.1", "localhost", app.secret.host):
        for port, host, status in ((80, name, 403), (80, f"{name}:80", 403), (81, name, 400)):
            assert sent_to(app, port, host) == [status]


def test_a_fault_after_the_answer_began_is_told_and_ends_it(tmp_path: Path) -> None:
    told: list[Exception] = []

    async def failing(scope: Scope, receive: Receive, send: Send) -> None:
        if began:
            await send({"type": "http.response.start", "status": 200, "headers": []})
        raise ValueError

    app = create_app(str(tmp_path), Secret())
    guard = Guard(failing, app.refuse, told.append, app.secret)
    began = True
    assert sent_to(guard, 1, "127.0.0.1:1", "/page.css") == [200]
    began = False
    with pytest.raises(ValueError):  # noqa: PT011  # answered by the framework
        sent_to(guard, 1, "127.0.0.1:1", "/page.css")
    assert len(told) == 2


def sent_to(app: Guard, port: int, host: str, path: str = "/") -> list[int]:
    """The status of each answer that the application begins."""
    begun: list[int] = []
    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "scheme": "http",
        "method": "GET", "path": path, "raw_path": path.encode(), "query_string": b"",
        "root_path": "", "headers": [(b"host", host.encode())], "server": ("127.0.0.1", port),
    }  # fmt: skip

    async def receive() -> Message:
        return {"type": "http.disconnect"}

    async def send(message: Message) -> None:
        if message["type"] == "http.response.start":
            begun.append(message["status"])

    asyncio.run(app(scope, receive, send))
    return begun


@pytest.mark.parametrize("host", ["127.0.0.1:{port}", "localhost:{port}"])
def test_this_computers_names_are_taken(page: Client, host: str) -> None:
    assert page.ask("/entry", headers={"Host": host.format(port=page.port)}).status == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {"Sec-Fetch-Site": None, "Origin": "http://limits.example"},
        {"Sec-Fetch-Site": None, "Origin": "null"},
        {"Sec-Fetch-Site": None, "Origin": "http://127.0.0.1:1"},
        {"Sec-Fetch-Site": None, "Origin": "https://127.0.0.1:{port}"},
        {"Sec-Fetch-Site": None, "Origin": None},
        {"Sec-Fetch-Site": "none", "Origin": None},
        {"Sec-Fetch-Site": "same-origin", "Origin": "http://limits.example"},
    ],
)
def test_posts_of_other_sites_are_refused(page: Client, headers: dict[str, str | None]) -> None:
    sent = {name: value and value.format(port=page.port) for name, value in headers.items()}
    answer = page.drop(b"format = 1", headers=sent)
    assert answer.status == 403
    assert "unreadable-profile" not in answer.text


@pytest.mark.parametrize(
    "headers",
    [{"Sec-Fetch-Site": None}, {"Origin": None}, {"Origin": None, "Sec-Fetch-Site": "same-origin"}],
)
def test_own_posts_are_taken(page: Client, headers: dict[str, str | None]) -> None:
    answer = page.drop(b"format = 1", headers=headers)
    assert answer.status == 200
    assert "unreadable-profile" in answer.text


def test_other_sites_get_no_reads_either(page: Client) -> None:
    assert page.ask("/entry", headers={"Sec-Fetch-Site": "cross-site"}).status == 403
    assert page.ask("/entry", headers={"Sec-Fetch-Site": "none"}).status == 200


def test_a_large_body_is_refused_by_its_length_and_by_its_content(page: Client) -> None:
    assert page.drop(b"#" * LARGEST_BODY).status == 413
    head = b'--x\r\nContent-Disposition: form-data; name="file"; filename="a"\r\n\r\n'
    content = head + b"#" * LARGEST_BODY
    chunk = b"%x\r\n%s\r\n0\r\n\r\n" % (len(content), content)
    kind = "multipart/form-data; boundary=x"
    assert page.post("/profile", chunk, kind, {"Transfer-Encoding": "chunked"}).status == 413
    kind = "application/x-www-form-urlencoded"
    assert page.post("/report", chunk, kind, {"Transfer-Encoding": "chunked"}).status == 413


@pytest.mark.parametrize("path", ["/profile", "/report", "/entry", "/nowhere", "/edit/"])
def test_a_length_that_is_too_large_is_refused_before_the_body_comes(
    page: Client, path: str
) -> None:
    head = f"POST {path} HTTP/1.1\r\nHost: {page.host}\r\nCookie: {page.cookie}\r\n"
    head += f"Origin: http://{page.host}\r\nContent-Length: {LARGEST_BODY + 1}\r\n\r\n"
    with socket.create_connection(("127.0.0.1", page.port), timeout=20) as asking:
        asking.sendall(head.encode())
        assert asking.makefile("rb").readline().split()[1] == b"413"


def test_a_large_file_is_refused_and_the_largest_is_read(page: Client) -> None:
    assert "far too large" in page.drop(b"#" * (LARGEST_DROPPED + 1)).words
    assert "neither `format` nor [instrument]" in page.drop(b"#" * LARGEST_DROPPED).words
    fields = {"name": "a.toml", "content": base64.b64encode(b"+" * LARGEST_DROPPED).decode()}
    answer = page.post("/report", urlencode(fields).encode(), "application/x-www-form-urlencoded")
    assert answer.status == 404
    assert "a.toml" in answer.text


@pytest.mark.parametrize(
    ("path", "method", "status"),
    [
        ("/nowhere", "GET", 404),
        ("/page.css/..", "GET", 404),
        ("/entry", "POST", 405),
        ("/entry", "DELETE", 405),
        ("/report", "GET", 404),
        ("/record", "GET", 404),
    ],
)
def test_what_is_not_there_is_a_plain_page(
    page: Client, path: str, method: str, status: int
) -> None:
    answer = page.ask(path, method, headers={"Origin": f"http://{page.host}"})
    assert answer.status == status
    assert "Traceback" not in answer.text
    assert "Do:" in answer.words
    assert 'href="/entry"' in answer.text


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("multipart/form-data", b"x"),
        ("multipart/form-data; boundary=x", b"--x\r\nnonsense"),
        ("multipart/form-data; boundary=x", b"--y--"),
        ("application/x-www-form-urlencoded", b"content=%%%&name=a"),
        ("application/x-www-form-urlencoded", b"&".join(b"a=1" for _ in range(50))),
        ("application/json", b"{}"),
        ("text/plain", b"\xff\xfe"),
    ],
)
@pytest.mark.parametrize("path", ["/profile", "/report"])
def test_a_body_that_is_no_form_is_a_plain_page(
    page: Client, path: str, kind: str, body: bytes
) -> None:
    answer = page.post(path, body, kind)
    assert answer.status in (200, 400, 404)
    assert "Do:" in answer.words
    assert "Traceback" not in answer.text
    assert "limitcheck failed" not in answer.text


def test_a_form_in_an_unknown_encoding_or_with_too_much_is_refused_in_plain_words(
    page: Client,
) -> None:
    kind = "application/x-www-form-urlencoded"
    part = b'--x\r\nContent-Disposition: form-data; name="name"\r\n\r\nx\r\n--x--\r\n'
    odd = page.post("/profile", part, "multipart/form-data; boundary=x; charset=undefined")
    assert (odd.status, "fault of limitcheck" in odd.words) == (400, False)
    many = "&".join(f"f{number}=1" for number in range(30)).encode()
    answer = page.post("/profile", many, kind)
    assert answer.status == 400
    assert "this is not a form of this page" in answer.words
    assert "Maximum number" not in answer.words


def test_somebody_who_leaves_in_mid_request_is_no_fault(
    page: Client, capfd: pytest.CaptureFixture[str]
) -> None:
    head = (
        f"POST /profile HTTP/1.1\r\nHost: 127.0.0.1:{page.port}\r\nCookie: {page.cookie}\r\n"
        f"Origin: http://127.0.0.1:{page.port}\r\nContent-Length: 1000\r\n"
        "Content-Type: application/x-www-form-urlencoded\r\n\r\nname="
    )
    with socket.create_connection(("127.0.0.1", page.port)) as leaving:
        leaving.sendall(head.encode())
    assert page.get("/convert").status == 200
    assert "fault of limitcheck" not in capfd.readouterr().err

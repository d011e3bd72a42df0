"""Other users of the computer can connect to the port, and learn nothing."""

from __future__ import annotations

import inspect
import re
import socket
import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest

from limitcheck.page import editing, secret
from limitcheck.page.addresses import TASKS
from limitcheck.page.guard import FIXED

from ..browser.run import run_script
from .conftest import EXAMPLES
from .server import Client, served

OTHERS = (*(task.address for task in TASKS), "/report", "/record", "/nowhere", "/%00", "//")


def stranger(page: Client) -> Client:
    """Somebody on the same computer who knows the port."""
    return Client(page.port, name=page.name)


@pytest.mark.parametrize("path", OTHERS)
@pytest.mark.parametrize("method", ["GET", "POST", "HEAD", "OPTIONS", "DELETE"])
def test_without_the_secret_nothing_is_told(page: Client, path: str, method: str) -> None:
    own = {"Origin": f"http://{page.host}", "Sec-Fetch-Site": "same-origin"}
    answer = stranger(page).ask(path, method, headers=own)
    assert answer.status == 403
    assert "set-cookie" not in answer.headers
    assert str(EXAMPLES) not in answer.text
    assert "KB-" not in answer.text
    if method != "HEAD":
        assert "open the address that limitcheck printed" in answer.words


@pytest.mark.parametrize("path", FIXED)
def test_what_every_copy_serves_alike_is_open(page: Client, path: str) -> None:
    assert stranger(page).ask(path).status == 200


def test_the_first_visit_exchanges_the_secret_for_a_cookie(page: Client) -> None:
    first = stranger(page).ask(f"/entry?profile=a+b.toml&key={page.key}&value=3%265")
    assert first.status == 303
    assert first.headers["location"] == f"http://{page.host}/entry?profile=a+b.toml&value=3%265"
    name, *flags = first.headers["set-cookie"].split("; ")
    assert set(flags) == {"HttpOnly", "SameSite=Strict", "Path=/"}
    assert name.startswith(f"limitcheck-{page.port}=")
    assert page.key not in name
    assert page.key not in first.headers["location"]
    assert Client(page.port, name, name=page.name).ask("/entry").status == 200


def test_from_a_file_the_way_on_is_a_page_of_ours(page: Client) -> None:
    """After a foreign page a browser sends no strict cookie, redirects included (RFC 6265bis)."""
    first = stranger(page).ask(f"/?key={page.key}", headers={"Sec-Fetch-Site": "cross-site"})
    assert first.status == 200
    assert f'content="0; url=http://{page.host}/"' in first.text
    assert "set-cookie" in first.headers
    assert page.key not in first.text
    again = stranger(page).ask("/", headers={"Sec-Fetch-Site": "cross-site"})
    assert again.status == 403


def test_the_way_on_is_never_markup(page: Client, tmp_path: Path) -> None:
    asked = f"/entry%22%3E%3Cscript%3E?a=1&value=%22%3E%3C&key={page.key}"
    first = stranger(page).ask(asked, headers={"Sec-Fetch-Site": "cross-site"})
    onward = f"http://{page.host}/entry%22%3E%3Cscript%3E?a=1&amp;value=%22%3E%3C"
    assert f'content="0; url={onward}"' in first.text
    assert f'<a href="{onward}">' in first.text
    file = secret.Secret().write(tmp_path, 'http://x/"><script>&')
    assert "<script>" not in file.read_text()
    assert file.read_text().count('"0; url=http://x/&quot;&gt;&lt;script&gt;&amp;"') == 1


@pytest.mark.parametrize("method", ["POST", "HEAD", "PUT"])
def test_only_a_visit_exchanges_the_secret(page: Client, method: str) -> None:
    """What a form sends along with it would be lost on the way on."""
    answer = stranger(page).ask(
        f"/profile?key={page.key}", method, b"", {"Origin": f"http://{page.host}"}
    )
    assert answer.status == 403
    assert "set-cookie" not in answer.headers


@pytest.mark.parametrize("path", ["//elsewhere.example/", "/\\elsewhere.example", "/%0d%0aX:%201"])
def test_the_way_on_leads_nowhere_else(page: Client, path: str) -> None:
    answer = stranger(page).ask(f"{path}?key={page.key}")
    assert answer.headers["location"].startswith(f"http://{page.host}/")
    assert "x" not in answer.headers


@pytest.mark.parametrize(
    "key", ["", "x", "ä", "%FF", "a" * 10_000, "{key}x", "{short}", "{key}&", "{upper}"]
)
def test_another_secret_opens_nothing(page: Client, key: str) -> None:
    given = key.format(key=page.key, short=page.key[:-1], upper=page.key.swapcase())
    answer = stranger(page).ask(f"/?key={given}".encode("ascii", "ignore").decode())
    assert answer.status == (303 if key == "{key}&" else 403)


COOKIES = ["", "x", "limitcheck-1={token}", "{name}=", "{name}={short}", "{name}={key}", "{name}"]
COOKIES += ["=;=;{name}={token}x", "\xe9"]


@pytest.mark.parametrize("cookie", COOKIES)
def test_another_cookie_opens_nothing(page: Client, cookie: str) -> None:
    name, _, token = page.cookie.partition("=")
    given = cookie.format(name=name, token=token, short=token[:-1], key=page.key)
    assert stranger(page).ask("/entry", headers={"Cookie": given}).status == 403
    good = f"a=b; {page.cookie}; c"
    assert stranger(page).ask("/entry", headers={"Cookie": good}).status == 200


def test_another_server_of_this_computer_never_gets_the_cookie(
    page: Client, tmp_path: Path
) -> None:
    """Cookies know no ports: another user may serve on any, and have a browser sent there."""
    got: list[str | None] = []

    class Other(BaseHTTPRequestHandler):
        def do_GET(self) -> None:  # the name that the library calls
            got.append(self.headers.get("Cookie"))
            self.send_response(200)
            self.send_header("Content-Type", "text/html")
            self.end_headers()
            self.wfile.write(b"<p>other</p><img src=/x>")

        def log_message(self, *_: object) -> None:
            pass

    with ThreadingHTTPServer(("127.0.0.1", 0), Other) as other:
        threading.Thread(target=other.serve_forever, daemon=True).start()
        names = ("127.0.0.1", "localhost", "x.localhost")
        there = [f"http://{name}:{other.server_port}/" for name in names]
        address = f"http://{page.host}/?key={page.key}"
        seen = run_script("another_port.mjs", str(tmp_path), address, *there)
        other.shutdown()
    assert seen == {"url": f"http://{page.host}/", "again": 200, "others": ["other"] * len(there)}
    assert len(got) >= len(there)
    assert set(got) == {None}


def test_the_address_in_figures_does_too_where_a_browser_knows_no_name(page: Client) -> None:
    plain = stranger(page)
    first = Client(page.port).ask(f"/?key={page.key}")
    assert first.headers["location"] == f"http://127.0.0.1:{page.port}/"
    assert plain.ask("/").status == 403


@pytest.mark.parametrize("mine", [0, 1, 2])
def test_the_cookie_may_stand_in_any_of_several_headers(page: Client, mine: int) -> None:
    """HTTP/1.1 clients send one header; a proxy may have split it."""
    name = page.cookie.partition("=")[0]
    lines = ["a=b", f"{name}=wrong", "c=d"]
    with_it = [page.cookie if place == mine else line for place, line in enumerate(lines)]
    for sent, status in ((lines, "403"), (with_it, "200")):
        head = [f"GET /entry HTTP/1.1\r\nHost: 127.0.0.1:{page.port}\r\nConnection: close"]
        head += [f"Cookie: {line}" for line in sent]
        with socket.create_connection(("127.0.0.1", page.port)) as asking:
            asking.sendall("\r\n".join([*head, "", ""]).encode())
            assert asking.makefile("rb").readline().split()[1].decode() == status


def test_the_secret_is_in_no_answer(page: Client) -> None:
    for task in TASKS:
        answer = page.get(task.address, profile="transfer/kestrel-bay.toml")
        assert page.key not in answer.text
        assert page.cookie.partition("=")[2] not in answer.text


def test_each_run_has_its_own(page: Client) -> None:
    with served(EXAMPLES) as other:
        assert other.key != page.key
        assert re.fullmatch(r"limitcheck-[0-9a-f]{20}\.localhost", other.name)  # 80 bits
        assert other.name != page.name
        assert Client(page.port, page.cookie, name=other.name).ask("/").status == 400
        assert re.fullmatch(r"[\w-]{43}", other.key)  # 256 bits in base64
        name = page.cookie.partition("=")[2]
        cookie = f"limitcheck-{other.port}={name}"
        assert Client(other.port, cookie).ask("/").status == 403


def test_secrets_are_compared_in_constant_time() -> None:
    """The one comparison is that of the standard library for this purpose."""
    text = inspect.getsource(secret)
    assert text.count("compare_digest(") == 1
    assert "compare_digest" not in inspect.getsource(editing)
    assert not re.search(r"self\.(key|token) ?(==|!=| in )|(==|!=) ?self\.(key|token)", text)


def test_the_file_for_the_browser_is_private(tmp_path: Path) -> None:
    one = secret.Secret()
    address = one.address(1234)
    file = one.write(tmp_path, address)
    assert file.stat().st_mode & 0o777 == 0o600
    assert address in file.read_text()


def test_the_file_opens_the_page_in_a_browser(page: Client, tmp_path: Path) -> None:
    """From a file to the page, in headless Chromium: the cookie is kept and comes back."""
    address = f"http://{page.host}/?key={page.key}"
    file = secret.Secret().write(tmp_path, address)
    seen = run_script("opening.mjs", str(tmp_path), str(file))
    assert seen["url"] == f"http://{page.host}/"
    assert seen["heading"] == "The profiles in this folder"
    assert seen["cookies"] == [{"httpOnly": True, "sameSite": "Strict"}]

"""The page served on loopback in a thread, and a client that sends exactly what it is told."""

from __future__ import annotations

import re
import socket
import threading
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from html import unescape
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import urlencode, urlsplit

import uvicorn

from limitcheck.cli.page import configuration
from limitcheck.page.app import create_app
from limitcheck.page.saving import Writing
from limitcheck.page.secret import Secret

DAY = date(2026, 11, 25)


@dataclass(frozen=True)
class Answer:
    """A response: `text` is the body, `words` the body without tags."""

    status: int
    headers: Mapping[str, str]
    text: str

    @property
    def words(self) -> str:
        plain = re.sub(r"<(style|title).*?</\1>|<[^>]*>", " ", self.text, flags=re.DOTALL)
        return " ".join(unescape(plain).split())


@dataclass(frozen=True)
class Client:
    """Asks the page on a port, as a browser of this computer unless told otherwise.

    `cookie` is what the browser got for the secret; `key` is the secret in the address.
    """

    port: int
    cookie: str = ""
    key: str = ""
    name: str = "127.0.0.1"

    @property
    def host(self) -> str:
        return f"{self.name}:{self.port}"

    def ask(
        self,
        path: str,
        method: str = "GET",
        body: bytes | None = None,
        headers: Mapping[str, str | None] | None = None,
    ) -> Answer:
        """Send a request; a header of None is left out."""
        connection = HTTPConnection("127.0.0.1", self.port, timeout=20)
        sent = {"Host": self.host, "Cookie": self.cookie or None, **(headers or {})}
        connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
        for name, value in sent.items():
            if value is not None:
                connection.putheader(name, value)
        if body is not None and "Transfer-Encoding" not in sent:
            connection.putheader("Content-Length", str(len(body)))
        connection.endheaders(body)
        response = connection.getresponse()
        content = response.read()
        connection.close()
        names = {name.lower(): value for name, value in response.getheaders()}
        return Answer(response.status, names, content.decode())

    def get(self, path: str, **fields: str) -> Answer:
        """Send a form whose fields are in the address."""
        return self.ask(f"{path}?{urlencode(fields)}" if fields else path)

    def post(
        self, path: str, body: bytes, kind: str, headers: Mapping[str, str | None] | None = None
    ) -> Answer:
        """Send a form in the body, as from the page itself."""
        own = {"Origin": f"http://{self.host}", "Sec-Fetch-Site": "same-origin"}
        return self.ask(path, "POST", body, {"Content-Type": kind, **own, **(headers or {})})

    def drop(
        self,
        content: bytes,
        name: str = "dropped.toml",
        headers: Mapping[str, str | None] | None = None,
    ) -> Answer:
        """Give a profile to the page."""
        return self.give(content, name, "/profile", headers)

    def give(
        self,
        content: bytes,
        name: str,
        path: str,
        headers: Mapping[str, str | None] | None = None,
        **fields: str,
    ) -> Answer:
        """Give a file to a screen, with other fields beside it."""
        head = "".join(
            f'--x\r\nContent-Disposition: form-data; name="{field}"\r\n\r\n{value}\r\n'
            for field, value in fields.items()
        )
        head += f'--x\r\nContent-Disposition: form-data; name="file"; filename="{name}"\r\n\r\n'
        body = head.encode() + content + b"\r\n--x--\r\n"
        return self.post(path, body, "multipart/form-data; boundary=x", headers)


def opened(address: str) -> Client:
    """A browser that was sent to the printed address."""
    parts = urlsplit(address)
    assert parts.port is not None
    assert parts.hostname is not None
    first = Client(parts.port, name=parts.hostname).ask(f"{parts.path}?{parts.query}")
    assert first.status == 303
    cookie = first.headers["set-cookie"].partition(";")[0]
    return Client(parts.port, cookie, parts.query.removeprefix("key="), parts.hostname)


@contextmanager
def served(folder: Path | str, writing: Writing = Writing.OFF) -> Iterator[Client]:
    """The page for a folder on a free port, on a fixed day."""
    listening = socket.create_server(("127.0.0.1", 0), backlog=1024)
    secret = Secret()
    server = uvicorn.Server(configuration(create_app(str(folder), secret, lambda: DAY, writing)))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
    thread.start()
    try:
        while not server.started:
            time.sleep(0.01)
        yield opened(secret.address(listening.getsockname()[1]))
    finally:
        server.should_exit = True
        thread.join()
        listening.close()

"""Who may read the page: whoever was given the address that the command printed.

Every user of a computer can connect to a port of it. So the printed address holds a secret; the
first visit exchanges it for a cookie, and without either nothing is told.

A browser sends a cookie to every port of the host it is of, also to a server that another user of
this computer runs. So the address has a name of its own that only the person is told: browsers
find every name that ends in `.localhost` on this computer (RFC 6761), and its cookie goes nowhere
else. Whoever opens the page as 127.0.0.1 or localhost has no such shelter.
"""

from __future__ import annotations

import secrets
from collections.abc import Iterable
from html import escape
from pathlib import Path
from urllib.parse import parse_qsl, urlencode

from starlette.datastructures import Headers
from starlette.responses import HTMLResponse, RedirectResponse, Response

KEY = "key"
"""The field of the address that holds the secret."""
OPENING = """<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<title>limitcheck</title>
<meta http-equiv="refresh" content="0; url={address}">
</head>
<body><p><a href="{address}">Go on to the page</a></p></body>
</html>
"""


class Secret:
    """The secret of one run of the page, and the cookie it is exchanged for.

    Both are random: 256 bits of the system's generator. So is the name, 80 bits: a server that
    knew it could have a browser sent to that name at its own port, with the cookie.
    """

    def __init__(self) -> None:
        self.key = secrets.token_urlsafe(32)
        self.token = secrets.token_urlsafe(32)
        self.host = f"limitcheck-{secrets.token_hex(10)}.localhost"

    def address(self, port: int, host: str = "") -> str:
        """The address to open, with the secret in it; under another host where one is given."""
        return f"http://{host or self.host}:{port}/?{urlencode({KEY: self.key})}"

    def known(self, headers: Headers, port: int) -> bool:
        """Whether the browser has the cookie; compared in constant time."""
        return any(same(value, self.token) for value in _cookies(headers, _name(port)))

    def given(self, query: str) -> bool:
        """Whether an address holds the secret."""
        return any(same(value, self.key) for name, value in parse_qsl(query) if name == KEY)

    def exchanged(self, address: str, query: str, port: int, *, foreign: bool) -> Response:
        """The cookie, and the way on to the same address without the secret.

        A browser keeps the cookie back from where another site or a file leads to, redirects
        included; from a page of ours it goes on with it.
        """
        kept = urlencode([(name, value) for name, value in parse_qsl(query) if name != KEY])
        onward = f"{address}?{kept}" if kept else address
        answer: Response = RedirectResponse(onward, 303)
        if foreign:
            answer = HTMLResponse(OPENING.format(address=escape(onward)))
        cookie = f"{_name(port)}={self.token}; HttpOnly; SameSite=Strict; Path=/"
        answer.headers["Set-Cookie"] = cookie
        return answer

    def write(self, folder: Path, address: str) -> Path:
        """A file for the browser that leads to the address.

        What a program is started with can be read by every user; a file in a folder of one's own
        can't.
        """
        file = folder / "open-limitcheck.html"
        file.touch(0o600)
        file.write_text(OPENING.format(address=escape(address)), "utf-8")
        return file


def _name(port: int) -> str:
    """The cookie's name: cookies of a computer are shared by all its ports."""
    return f"limitcheck-{port}"


def same(given: str, known: str) -> bool:
    """Whether two texts are the same, in a time that tells nothing of the known one."""
    return secrets.compare_digest(given.encode("utf-8", "surrogatepass"), known.encode())


def _cookies(headers: Headers, name: str) -> Iterable[str]:
    for line in headers.getlist("cookie"):
        for pair in line.split(";"):
            own, _, value = pair.strip().partition("=")
            if own == name:
                yield value

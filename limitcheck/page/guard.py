"""What stands before every request: who may ask, how much, and what every answer forbids."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING
from urllib.parse import quote

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect
from starlette.responses import Response

from .secret import Secret

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

LARGEST_BODY = 400_000
"""Bytes of a request; a dropped profile, also written in base64, fits."""
LARGEST_LOG = 5_000_000
"""The same where a log of past pressures is dropped: about 100,000 readings."""
LARGEST_TEXT = 4_000_000
"""The same where a text is changed, which goes along more than once.

One that is too large to be changed is given back with why."""
TEXTS = "/edit"
"""Where it is."""
LOGS = "/reading"
"""Where it is."""
NAMES = ("127.0.0.1", "localhost")
"""What a browser on this computer calls this computer, beside the name of this run."""
FIXED = ("/page.css", "/icon.svg", "/live.js", "/asking.js", "/edit.js")
"""What every installed copy serves alike."""
HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; style-src 'self'; img-src 'self'; script-src 'self'; "
        "connect-src 'self'; form-action 'self'; "
        "base-uri 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",  # with no-referrer, browsers send no Origin either
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
}


class NotTaken(HTTPException):
    """A request that is not taken, with why in words of ours."""


Refuse = Callable[[int, str, str], Response]
"""The answer of a status, a message and an advice."""


class Guard:
    """Lets through only requests of this page's own browser tab, no larger than they need be.

    The browser must have been opened with the secret of this run; what is the same on every
    computer (FIXED) is open to all.

    The Host header must name this computer (a foreign name that resolves to it does not do), and
    a request made by another site's page is refused, whatever its method.
    """

    def __init__(
        self, app: ASGIApp, refuse: Refuse, complain: Callable[[Exception], None], secret: Secret
    ) -> None:
        self.app = app
        self.secret = secret
        self.refuse = refuse
        self.complain = complain

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            return
        started = False

        async def sending(message: Message) -> None:
            nonlocal started
            started = True
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(HEADERS)
            await send(message)

        refused = self._refused(Headers(scope=scope), scope)
        if refused is not None:
            await refused(scope, receive, sending)
            return
        try:
            await self.app(scope, _limited(receive, _largest(scope)), sending)
        except ClientDisconnect:
            return  # nobody is left to answer, and nothing is wrong
        except Exception as error:
            self.complain(error)
            if not started:
                raise

    def _refused(self, headers: Headers, scope: Scope) -> Response | None:
        """The answer to a request that does not come through; None to one that does."""
        host, port = headers.get("host", ""), scope["server"][1]
        if len(headers.getlist("host")) != 1 or host not in _hosts(port, self.secret.host):
            return self.refuse(400, f'this page is not called "{host}"', OPEN_IT)
        if not scope["query_string"].isascii():
            return self.refuse(400, "an address that is not text", "begin with the overview")
        site, origin = headers.get("sec-fetch-site"), headers.get("origin")
        foreign = site not in (None, "none", "same-origin")
        query = scope["query_string"].decode("ascii")
        if scope["method"] == "GET" and self.secret.given(query):
            address = f"http://{host}{quote(scope['path'])}"
            return self.secret.exchanged(address, query, port, foreign=foreign)
        if foreign or set(headers.getlist("origin")) - {f"http://{host}"}:
            return self.refuse(
                403, "another site asked for this page", "type its address, or go on from here"
            )
        if scope["path"] not in FIXED and not self.secret.known(headers, port):
            return self.refuse(403, "this page is private to whoever started it", OPEN_IT)
        if scope["method"] == "POST" and origin is None and site != "same-origin":
            return self.refuse(
                403, "a form that does not say where it comes from", "send it from the page itself"
            )
        length, most = headers.get("content-length", "0"), _largest(scope)
        if not length.isdecimal() or int(length) > most:
            return self.refuse(413, *(_LONG_LOG if most == LARGEST_LOG else _TOO_LARGE))
        return None


OPEN_IT = "open the address that limitcheck printed when it was started, all of it"
_TOO_LARGE = ("far too large for a profile", "choose a profile (a few kilobytes of TOML)")
_LONG_LOG = (
    "this log is too long for the page",
    "ask limitcheck baseline in a terminal: it reads any length",
)


def _largest(scope: Scope) -> int:
    """Bytes that a request may have."""
    return {LOGS: LARGEST_LOG, TEXTS: LARGEST_TEXT}.get(scope["path"], LARGEST_BODY)


def _hosts(port: int, own: str) -> set[str]:
    """The Host headers of a browser that was sent here."""
    names = {own, *NAMES}
    named = {f"{name}:{port}" for name in names}
    return named | names if port == 80 else named


def _limited(receive: Receive, largest: int) -> Receive:
    """The same messages, up to the largest body: a length need not be announced."""
    taken = 0

    async def receiving() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > largest:
            raise NotTaken(413, _TOO_LARGE[0])
        return message

    return receiving

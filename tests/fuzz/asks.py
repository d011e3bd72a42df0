"""Requests to the page: its own addresses with good and odd fields, files in the body, and junk."""

from __future__ import annotations

from base64 import b64encode
from urllib.parse import quote, urlencode

from hypothesis import strategies as st

from .requests import PORT, PROFILES
from .strategies import NAMES, mangled, profiles, quantities

FIELDS = st.one_of(
    st.sampled_from(
        [
            *PROFILES,
            "broken.toml",
            "other.toml",
            "../x.toml",
            "/etc/passwd",
            "C:\\x",
            "high",
            "low",
            "250",
            "35 bar",
            "-1",
            "1e400",
            "NaN",
            "1,5",
            "",
            "<script>alert(1)</script>",
            '"><img src=x onerror=x>',
            "{{ 7*7 }}",
            "\x00",
        ]
    ),
    quantities("pressure"),
    quantities("flow"),
    quantities("temperature"),
    NAMES,
    st.text(max_size=12),
)
KEYS = st.sampled_from(
    [
        "profile",
        "value",
        "field",
        "unit",
        "expected_low",
        "expected_high",
        "rating",
        "to",
        "pressure",
        "flow",
        "temperature",
        "ambient",
        "percent-b",
        "read.all",
        "read.column-inlet",
        "normal.all",
        "skip.all",
        "ask",
        "step",
        "as",
        "method",
        "state",
        "page",
        "for",
        "key",
        "read.nothing",
        "name",
        "content",
    ]
)
TASKS = ["/entry", "/profile", "/report", "/transfer", "/record", "/reading", "/blockage"]
TASKS += ["/convert", "/"]
ADDRESSES = st.sampled_from(
    [*TASKS * 4, "/", "/page.css", "/icon.svg", "/no-such", "//", "/../etc/passwd", "/entry/"]
)
HOSTS = st.sampled_from([*[f"127.0.0.1:{PORT}"] * 20, f"localhost:{PORT}", "elsewhere.example", ""])
MORE_HEADERS = st.lists(
    st.sampled_from(
        [
            f"origin: http://127.0.0.1:{PORT}",
            "sec-fetch-site: same-origin",
            "sec-fetch-site: cross-site",
            "origin: null",
            "content-length: 12",
            "content-length: 99999999",
            "content-length: x",
            "host: again",
            "junk",
            "cookie: limitcheck-8000=wrong; x",
            ":",
        ]
    ),
    max_size=3,
)


@st.composite
def requests(draw: st.DrawFn) -> bytes:
    """The text of a request as `requests.page` takes it."""
    fields = draw(st.lists(st.tuples(KEYS, FIELDS), max_size=6))
    if draw(st.booleans()):
        fields = [
            ("profile", PROFILES[0]),
            ("profile", PROFILES[0]),
            ("to", PROFILES[1]),
            ("value", "250"),
            ("pressure", "286"),
            *fields,
        ]
    query = urlencode(fields, errors="replace") if draw(st.integers(0, 7)) else draw(st.text())
    target = f"{quote(draw(ADDRESSES), errors='replace')}?{query}".replace("\n", "%0A")
    head = [f"host: {draw(HOSTS)}", *(draw(MORE_HEADERS) if not draw(st.integers(0, 5)) else [])]
    method, body = draw(st.sampled_from([*["GET"] * 6, *["POST"] * 3, "HEAD", "PUT"])), b""
    if method == "POST":
        head += ["sec-fetch-site: same-origin"]
        kind, body = draw(st.one_of(_dropped(), _encoded(), st.tuples(NAMES, st.binary())))
        head += [f"content-type: {kind}"]
    content = "\n".join([f"{method} {target}", *head]).encode("utf-8", "replace") + b"\n\n" + body
    return content if draw(st.integers(0, 4)) else draw(mangled(content))


def _dropped() -> st.SearchStrategy[tuple[str, bytes]]:
    """A file in a form of several parts."""
    names = st.sampled_from(["tea.toml", "../../tea.toml", "C:\\tea.toml", "", "<b>.toml", "é"])

    def form(name: str, content: bytes) -> tuple[str, bytes]:
        disposition = f'Content-Disposition: form-data; name="file"; filename="{name}"'
        body = f"--part\r\n{disposition}\r\n\r\n".encode() + content + b"\r\n--part--\r\n"
        return "multipart/form-data; boundary=part", body

    return st.builds(form, names, profiles())


def _encoded() -> st.SearchStrategy[tuple[str, bytes]]:
    """The content of a dropped file again, in base64."""

    def form(name: str, content: bytes) -> tuple[str, bytes]:
        fields = {"name": name, "content": b64encode(content).decode()}
        return "application/x-www-form-urlencoded", urlencode(fields).encode()

    return st.builds(form, NAMES, profiles())

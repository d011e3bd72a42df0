"""`python -m tests.performance.page_load`: how fast the page answers, alone and to many.

Serves the examples in a process of its own on loopback. First one connection asks for the answer
to a typed number, again and again: the median and the slowest hundredth. Then 200 connections
ask for all screens at once for 20 s or 20,000 answers, whichever comes first; any answer that is
not 200 or not whole is an error. Exit code 1 where a bound is broken.
"""

from __future__ import annotations

import argparse
import asyncio
import re
import statistics
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass, field
from http.client import HTTPConnection
from pathlib import Path
from time import perf_counter
from typing import NamedTuple
from urllib.parse import urlsplit

EXAMPLES = Path(__file__).parents[2] / "examples"
ONE = "/entry?profile=transfer/kestrel-bay.toml&field=high&value=35&unit="
SCREENS = (
    "/",
    ONE,
    "/profile?profile=transfer/harrow-mill-copied.toml",
    "/transfer?profile=transfer/kestrel-bay.toml&to=transfer/harrow-mill-copied.toml",
    "/reading?profile=transfer/kestrel-bay.toml&pressure=368",
    "/blockage?profile=transfer/kestrel-bay.toml&read.all=368&read.column-inlet=14",
    "/convert?pressure=6000+psi",
    "/page.css",
)
MEDIAN_MS, WEIGHT = 50, 100_000
"""The bounds: server-side median of an answer; bytes of the heaviest screen with its style."""
MOST = 20_000
"""Answers, after which the load ends early."""


class Page(NamedTuple):
    """Where it is served, and what a browser gets for the secret in the printed address."""

    port: int
    cookie: str


def opened(address: str) -> Page:
    """The page as a browser has it that was sent to its address."""
    parts = urlsplit(address)
    assert parts.port is not None
    first = HTTPConnection("127.0.0.1", parts.port)
    first.request("GET", f"/?{parts.query}")
    cookie = first.getresponse().headers["Set-Cookie"].partition(";")[0]
    first.close()
    return Page(parts.port, cookie)


@dataclass
class Load:
    """What many connections got."""

    times: list[float] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)


class Connection:
    """A kept-alive connection to the page."""

    def __init__(self, page: Page) -> None:
        self.port, self.cookie = page
        self.streams: tuple[asyncio.StreamReader, asyncio.StreamWriter] | None = None

    async def get(self, path: str) -> tuple[int, int]:
        """Status and length of an answer that came whole."""
        if self.streams is None:
            self.streams = await asyncio.open_connection("127.0.0.1", self.port)
        reader, writer = self.streams
        host = f"127.0.0.1:{self.port}"
        writer.write(
            f"GET {path} HTTP/1.1\r\nHost: {host}\r\nCookie: {self.cookie}\r\n\r\n".encode()
        )
        head = await reader.readuntil(b"\r\n\r\n")
        length = int(re.findall(rb"(?i)content-length: (\d+)", head)[0])
        await reader.readexactly(length)
        return int(head.split()[1]), length

    def close(self) -> None:
        """End it."""
        if self.streams is not None:
            self.streams[1].close()


async def alone(page: Page, rounds: int) -> list[float]:
    """Times [s] of one answer after another."""
    connection = Connection(page)
    times = []
    for _ in range(rounds):
        start = perf_counter()
        status, _ = await connection.get(ONE)
        times.append(perf_counter() - start)
        assert status == 200
    connection.close()
    return times


async def heaviest(page: Page) -> int:
    """Bytes of the heaviest screen with the style."""
    connection = Connection(page)
    lengths = [(await connection.get(path))[1] for path in SCREENS]
    connection.close()
    return max(lengths[:-1]) + lengths[-1]


async def together(page: Page, connections: int, seconds: float) -> Load:
    """All screens in turn on many connections."""
    load, end = Load(), perf_counter() + seconds

    async def one(turn: int) -> None:
        connection = Connection(page)
        while perf_counter() < end and len(load.times) < MOST:
            start = perf_counter()
            try:
                status, _ = await connection.get(SCREENS[turn % len(SCREENS)])
            except (OSError, EOFError, IndexError) as error:
                load.errors.append(repr(error))
                return
            load.times.append(perf_counter() - start)
            if status != 200:
                load.errors.append(str(status))
            turn += 1
        connection.close()

    await asyncio.gather(*(one(turn) for turn in range(connections)))
    return load


def main(arguments: Sequence[str] | None = None) -> int:
    """Measure and print; 1 where a bound is broken."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--connections", type=int, default=200)
    parser.add_argument("--seconds", type=float, default=20)
    parser.add_argument("--rounds", type=int, default=200)
    asked = parser.parse_args(arguments)
    command = [sys.executable, "-m", "limitcheck", "page", str(EXAMPLES), "--no-browser"]
    server = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    assert server.stdout is not None
    try:
        page = opened(server.stdout.readline().split()[-1])
        asyncio.run(alone(page, 20))
        times = [1000 * time for time in asyncio.run(alone(page, asked.rounds))]
        weight = asyncio.run(heaviest(page))
        start = perf_counter()
        load = asyncio.run(together(page, asked.connections, asked.seconds))
        seconds = perf_counter() - start
    finally:
        server.kill()
        server.wait()
        server.stdout.close()
    median, slow = statistics.median(times), statistics.quantiles(times, n=100)[-1]
    print(f"one connection: median {median:.1f} ms, slowest hundredth {slow:.1f} ms")
    print(f"heaviest screen with its style: {weight / 1000:.1f} kB")
    print(
        f"{asked.connections} connections for {seconds:.1f} s: {len(load.times)} answers "
        f"({len(load.times) / seconds:.0f} a second), median "
        f"{statistics.median(load.times):.2f} s, slowest {max(load.times):.2f} s, "
        f"errors {len(load.errors)} {load.errors[:3] or ''}"
    )
    return int(median > MEDIAN_MS or weight > WEIGHT or bool(load.errors))


if __name__ == "__main__":
    sys.exit(main())

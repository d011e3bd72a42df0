"""`python -m tests.performance.typing_speed`: how soon the page answers while somebody types.

Serves a folder in a process of its own on loopback and asks what the page's script asks: one
address for each key of some texts, on the screens that answer while somebody types. Each is
followed by the same server's empty page (the icon), so both have the same load of the machine.
The first round is not counted. With --browser the same in headless Chromium: from a key to the
answer in the document, the script's pause included, beside a fetch of the empty page.
Exit code 1 where a median is more than 100 ms beyond that of the empty page.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import shutil
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from time import perf_counter
from urllib.parse import urlencode

from .page_load import EXAMPLES, Connection, Page, opened

EMPTY = "/icon.svg"
BOUND_MS = 100
TEA = "transfer/kestrel-bay.toml"
BASE = EXAMPLES / "cutoffs/clean.toml"
HERE = Path(__file__).parents[1] / "browser"


def typed(path: str, changing: str, text: str, **others: str) -> list[str]:
    """The addresses that the script asks for, one for each key."""
    keys = range(1, len(text) + 1)
    return [f"{path}?{urlencode({**others, changing: text[:end]})}" for end in keys]


SCREENS = {
    "type a number": [
        *typed("/entry", "value", "5700 psi", profile=TEA, field="high", unit=""),
        *typed("/entry", "value", "125", profile=TEA, field="low", unit=""),
    ],
    "convert": typed("/convert", "pressure", "6000 psi", to="", step="") * 2,
    "filter": [*typed("/", "method", "tea-031"), *typed("/", "instrument", "hm-lc-3")],
}


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """The printed address of the page for a folder."""
    command = [sys.executable, "-m", "limitcheck", "page", str(folder), "--no-browser"]
    server = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    assert server.stdout is not None
    try:
        yield server.stdout.readline().split()[-1]
    finally:
        server.kill()
        server.wait()
        server.stdout.close()


async def both(page: Page, addresses: Sequence[str], rounds: int) -> tuple[list[float], ...]:
    """Times [ms] of the answers, and of the empty page after each."""
    connection = Connection(page)

    async def time(path: str) -> float:
        start = perf_counter()
        status, _ = await connection.get(path)
        assert status == 200, path
        return 1000 * (perf_counter() - start)

    answers, empty = [], []
    for turn in range(rounds + 1):
        for address in addresses:
            pair = await time(address), await time(EMPTY)
            if turn:
                answers.append(pair[0])
                empty.append(pair[1])
    connection.close()
    return answers, empty


def told(name: str, answers: Sequence[float], empty: Sequence[float]) -> float:
    """Print a line; the median beyond that of the empty page [ms]."""
    median, least = statistics.median(answers), statistics.median(empty)
    slow = statistics.quantiles(answers, n=20)[-1]
    print(
        f"{name}: median {median:.1f} ms, slowest twentieth from {slow:.1f} ms; empty page "
        f"{least:.1f} ms; beyond it {median - least:.1f} ms ({len(answers)} answers)",
        flush=True,
    )
    return median - least


def in_browser(address: str, rounds: int) -> float:
    """The same in headless Chromium; needs what the browser tests need."""
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    node = shutil.which("node")
    if chromium is None or node is None:
        sys.exit("--browser needs chromium and node")
    with tempfile.TemporaryDirectory() as folder:
        command = [node, str(HERE / "typing.mjs"), chromium, folder, address, str(rounds)]
        found = json.loads(subprocess.run(command, capture_output=True, check=True).stdout)
    return told("in the browser, with the pause", found["times"], found["empty"])


def many(folder: Path, number: int) -> None:
    """Profiles as different methods, so that no two contradict each other."""
    text = BASE.read_text("utf-8")
    for turn in range(number):
        own = text.replace('id = "KB-TEA-014"', f'id = "KB-TEA-{turn:04}"')
        (folder / f"method-{turn:04}.toml").write_text(own, "utf-8")


def main(arguments: Sequence[str] | None = None) -> int:
    """Measure and print; 1 where the bound is broken."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=10)
    parser.add_argument("--profiles", type=int, default=200)
    parser.add_argument("--browser", action="store_true")
    asked = parser.parse_args(arguments)
    beyond = []
    with served(EXAMPLES) as address:
        page = opened(address)
        for name, addresses in SCREENS.items():
            beyond.append(told(name, *asyncio.run(both(page, addresses, asked.rounds))))
        if asked.browser:
            beyond.append(in_browser(address, asked.rounds))
    with tempfile.TemporaryDirectory() as text:
        folder = Path(text)
        many(folder, asked.profiles)
        with served(folder) as address:
            page = opened(address)
            addresses = typed("/", "method", "tea-012")
            measured = asyncio.run(both(page, addresses, max(1, asked.rounds // 3)))
            beyond.append(told(f"filter {asked.profiles} profiles", *measured))
    return int(max(beyond) > BOUND_MS)


if __name__ == "__main__":
    sys.exit(main())

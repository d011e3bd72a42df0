"""What can be fuzzed: how inputs are made, what must hold, and how cases are stored."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple

from hypothesis import strategies as st

from . import asks, invariants, logs, requests, strategies

CASES = Path(__file__).parent / "cases"
REPOSITORY = Path(__file__).parents[2]


class Target(NamedTuple):
    """One kind of input. `raw` tells that bytes of any kind make sense as it stands."""

    name: str
    suffix: str
    inputs: st.SearchStrategy[bytes]
    hold: Callable[..., None]
    raw: bool
    seeds: tuple[str, ...] = ()
    """Patterns of files to begin from, below the repository."""

    def cases(self) -> Iterator[Path]:
        """The kept cases."""
        yield from sorted(CASES.glob(f"{self.name}-*"))


TARGETS = {
    target.name: target
    for target in (
        Target(
            "toml",
            ".toml",
            strategies.documents(),
            invariants.toml,
            True,
            ("profiles/*.toml", "tests/cases/*.toml"),
        ),
        Target("profile", ".toml", strategies.profiles(), invariants.profile, False),
        Target("settings", ".toml", strategies.settings(), invariants.settings, False),
        Target("csv", ".csv", logs.logs(), invariants.csv, True, ("examples/logs/*.csv",)),
        Target("page", ".txt", asks.requests(), requests.page, True, ("tests/fuzz/cases/page-*",)),
    )
}


def keep(target: Target, content: bytes) -> Path:
    """Store an input among the cases; its path."""
    path = CASES / f"{target.name}-{sha256(content).hexdigest()[:12]}{target.suffix}"
    path.write_bytes(content)
    return path

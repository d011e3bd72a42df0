"""One served page for all tests of this folder."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from .server import Client, served

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="session")
def page() -> Iterator[Client]:
    """The page for the examples."""
    with served(EXAMPLES) as client:
        yield client

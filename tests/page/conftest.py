"""One served page for all tests of this folder, and one for editing for each that asks."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from .desk import Desk, editing
from .server import Client, served

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="session")
def page() -> Iterator[Client]:
    """The page for the examples."""
    with served(EXAMPLES) as client:
        yield client


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A page for editing one profile in a folder of its own."""
    with editing(tmp_path) as found:
        yield found

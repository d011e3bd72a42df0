"""A profile and a log in files, for the commands that read pressures."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.history.logs import runs
from tests.profiles_for_tests import WITH_GEOMETRY


@pytest.fixture
def tea(tmp_path: Path) -> Path:
    """A profile whose pressure can be predicted."""
    path = tmp_path / "tea.toml"
    path.write_text(WITH_GEOMETRY)
    return path


@pytest.fixture
def log(tmp_path: Path) -> Path:
    """A hundred steady runs of it."""
    path = tmp_path / "runs.csv"
    path.write_text(runs(100))
    return path

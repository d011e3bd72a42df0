"""Tools that some tests need: without one they are skipped with the reason, in CI they fail."""

from __future__ import annotations

import os
import shutil

import pytest


def need(present: object, what: str) -> None:
    """Skip the test where something is missing; fail it under LIMITCHECK_REQUIRE_ALL."""
    if present:
        return
    if os.environ.get("LIMITCHECK_REQUIRE_ALL"):
        pytest.fail(what)
    pytest.skip(what)


def need_program(*names: str) -> str:
    """The path of the first of these programs that is there."""
    found = next((path for name in names if (path := shutil.which(name))), "")
    need(found, f"{' or '.join(names)} is not installed")
    return found

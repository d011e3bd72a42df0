"""Runs a script of this folder in Node with headless Chromium; both must be installed.

Needs `npm ci` in this folder (done here when all tests are required).
"""

from __future__ import annotations

import json
import os
import subprocess
from pathlib import Path
from typing import Any

from ..needs import need, need_program

HERE = Path(__file__).parent
INSTALLED = HERE / "node_modules" / ".package-lock.json"
"""Written by npm when all is there."""


def run_script(script: str, *arguments: str) -> dict[str, Any]:
    """What a script prints as JSON; it is given Chromium and then the arguments."""
    chromium, node = need_program("chromium", "chromium-browser"), need_program("node")
    if os.environ.get("LIMITCHECK_REQUIRE_ALL"):
        _install()
    need(INSTALLED.exists(), "npm ci has not been run in tests/browser")
    process = subprocess.run(
        [node, str(HERE / script), chromium, *arguments],
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert process.returncode == 0, process.stderr
    found: dict[str, Any] = json.loads(process.stdout)
    return found


def _install() -> None:
    """Install what the scripts need, once: tests may run in several processes."""
    from fcntl import LOCK_EX, flock

    with open(HERE / "package.json", encoding="utf-8") as one_at_a_time:
        flock(one_at_a_time, LOCK_EX)
        if not INSTALLED.exists():
            subprocess.run([need_program("npm"), "ci", "--silent"], cwd=HERE, check=True)

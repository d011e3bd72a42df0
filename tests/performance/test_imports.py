"""`check` loads nothing heavy: the modules of a run in a fresh interpreter."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

HEAVY = {"pint", "numpy", "scipy", "rich", "jinja2", "jsonschema", "hypothesis", "typst"}
PROFILES = Path(__file__).parents[2] / "profiles"
COUNT = """
import sys
from limitcheck.cli.app import run
code = run(sys.argv[1:])
print(code, *{name.partition(".")[0] for name in sys.modules}, file=sys.stderr)
"""


def loaded(*arguments: str) -> tuple[int, set[str]]:
    """The exit code of a command and the top-level modules it loaded."""
    command = [sys.executable, "-c", COUNT, *arguments]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    code, *modules = done.stderr.splitlines()[-1].split()
    return int(code), set(modules)


@pytest.mark.parametrize("format", ["text", "json", "sarif", "junit"])
def test_check_loads_nothing_heavy(format: str, tmp_path: Path) -> None:
    clean = PROFILES / "conventional-400-bar.toml"
    faulty = tmp_path / "faulty.toml"
    faulty.write_text(clean.read_text("utf-8").replace("high = 106", "high = 1060"), "utf-8")
    code, modules = loaded("check", "--format", format, str(clean), str(faulty))
    assert code == 1
    assert "toml_rs" in modules
    assert not modules & HEAVY


def test_a_conversion_needs_no_profile() -> None:
    code, modules = loaded("convert", "6000 psi", "--to", "bar")
    assert code == 0
    assert not modules & ({*HEAVY, "pydantic", "toml_rs"} - {"rich"})  # rich draws documents


def test_the_guard_sees_a_heavy_module() -> None:
    code, modules = loaded("convert", "1 torr", "--to", "bar")
    assert code == 0
    assert "pint" in modules

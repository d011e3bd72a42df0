"""Starting profiles: which there are, what each is for, and a profile begun from one."""

from __future__ import annotations

from pathlib import Path

from .toml import parse
from .write import dump_profile

_PACKAGED = Path(__file__).parents[1] / "starting_profiles"
_CHECKOUT = Path(__file__).parents[2] / "profiles"


def starting_profiles() -> dict[str, Path]:
    """Starting profiles by name: from the package, or from a checkout of the project."""
    folder = _PACKAGED if _PACKAGED.is_dir() else _CHECKOUT
    return {path.stem: path for path in sorted(folder.glob("*.toml"), key=lambda path: path.stem)}


def purpose(path: Path) -> str:
    """What a starting profile is for, in a sentence."""
    return _remarks(path.read_text("utf-8"))[0].removeprefix("# ")


def begun(text: str, method: str, instrument: str | None) -> str:
    """The text of the new profile: the remarks, then everything else under its own ids."""
    profile = parse(text)
    profile["method"]["id"] = method
    profile["instrument"]["id"] = instrument or f"instrument of {method}"
    return "\n".join([*_remarks(text), dump_profile(profile)])


def _remarks(text: str) -> list[str]:
    """The remarks at the head of a starting profile."""
    lines = (line for line in text.splitlines() if not line.startswith("#:"))
    remarks = []
    for line in lines:
        if not line.startswith("#"):
            break
        remarks.append(line)
    return remarks

"""Starting profiles: which there are, what each is for, and a profile begun from one."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

import tomli_w

from ..errors import Refused
from ..findings import KeyPath
from .element_places import piece_at
from .elements import take_out
from .instruments import OF_THE_PIECE
from .places import Source
from .removal import remove
from .toml import parse
from .write import ChangeRefused, assign, dump_profile

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


class Begun(NamedTuple):
    """The text of a new profile; `left` tells what is not copied into it."""

    text: str
    left: tuple[str, ...] = ()


_EVIDENCE = {
    "accepted": "accepted findings ([[accepted]])",
    "measured": "measured pairs ([[measured]])",
    "source": "what it was made from ([[source]])",
}
"""Lists that are true of one method on one instrument only."""


def copied(text: str, method: str, instrument: str) -> Begun:
    """A copy of a profile's text under the ids that are given; an empty one stays.

    For another method or instrument it is without what was found, measured and accepted for the
    first, and without the revision; for another instrument also without what is true of the very
    pieces there. Raises TomlError, and Refused where something cannot be left out.
    """
    data = parse(text)
    ids: dict[KeyPath, str] = {("method", "id"): method, ("instrument", "id"): instrument}
    other = {path: value for path, value in ids.items() if value and _at(data, path) != value}
    try:
        if other:
            quoted = {p: tomli_w.dumps({"v": v}).strip()[4:] for p, v in other.items()}
            text = assign(text, quoted)
            return _without_evidence(text, data, ("instrument", "id") in other)
    except ChangeRefused as error:
        raise Refused(
            f"the profile cannot be copied: {error}", "copy the file, and change it in the text"
        ) from None
    return Begun(text)


def _without_evidence(text: str, data: Mapping[str, Any], pieces: bool) -> Begun:
    left = []
    for name, told in _EVIDENCE.items():
        listed = data.get(name)
        for _ in listed if isinstance(listed, list) else ():
            text = take_out(text, (name, 0)).text
        if listed:
            left.append(told)
    if _at(data, ("expected", "basis")) == "measured":
        text = assign(text, {("expected", "basis"): '"declared"'})
        left.append("that the expected pressure was measured: it is declared now")
    if (revision := _at(data, ("method", "revision"))) is not None:
        text = remove(text, ("method", "revision"))
        left.append(f"revision {revision}")
    parts = data.get("flow_path")
    for index, part in enumerate(parts if isinstance(parts, list) and pieces else ()):
        keys = [key for key in OF_THE_PIECE if isinstance(part, dict) and key in part]
        for key in keys:
            text = _without(text, ("flow_path", index, key))
        if keys:
            named = ", ".join(key.replace("_", " ") for key in keys)
            left.append(f"of part {index + 1} ({part.get('part', 'shared')}): {named}")
    return Begun(text, tuple(left))


def _without(text: str, path: KeyPath) -> str:
    """The text without a value or a table of a part."""
    source = Source(text)
    if source.value_span(path) is not None or source.table_end(path) is None:
        return remove(text, path)
    piece = piece_at(text, source, path)
    return text[: piece.start] + text[piece.end :]


def _at(data: Any, path: KeyPath) -> Any:
    for step in path:
        data = data.get(step) if isinstance(data, dict) else None
    return data


def _remarks(text: str) -> list[str]:
    """The remarks at the head of a starting profile."""
    lines = (line for line in text.splitlines() if not line.startswith("#:"))
    remarks = []
    for line in lines:
        if not line.startswith("#"):
            break
        remarks.append(line)
    return remarks

"""What holds in a field that is left empty: a shared description's value, the policy's margin."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ..findings import KeyPath
from ..policy import DEFAULT, MARGIN_NAMES, Margins
from ..profile.shared import path_from
from ..profile.text import Merged, Origin
from ..units import percent
from .draft import shown

UNREAD = "What is left empty here comes from the shared description, which cannot be read now."


class Held:
    """The values that the descriptions used by a text give; of `None`, none is known.

    `margins` are those of the policy in force for the text.
    """

    def __init__(self, shared: Merged | None, margins: Margins | None = None) -> None:
        self._margins = margins
        self.known = shared is not None
        self._origins = shared.origins if shared else {}
        self._own = shared.own.name if shared else ""

    def _origin(self, path: KeyPath) -> tuple[Origin, KeyPath] | None:
        """Where a value comes from: the origin of it or of a table around it, and the rest."""
        for length in range(len(path), 0, -1):
            if origin := self._origins.get(path[:length]):
                return origin, path[length:]
        return None

    def value(self, path: KeyPath) -> Any:
        """The value that is used at a path; None for none."""
        found = self._origin(path)
        if found is None:
            return None
        value, rest = found[0].value, found[1]
        for step in rest:
            value = value.get(step) if isinstance(value, dict) else None
        return value

    def at(self, path: KeyPath) -> str:
        """What a field says of it, as in "from kb-lc-03.toml: 400 bar"; empty for nothing."""
        if path[0] == "margins":
            return self._margin(str(path[-1]))
        found = self._origin(path)
        if found is None or self.value(path) is None:
            return ""
        (_, document, there), rest = found
        written = shown(document.data, document.source, (*there, *rest))
        return f"{self._file(found[0])}: {written}"

    def _margin(self, name: str) -> str:
        """The margin that applies, as in "from limitcheck.toml: 25 %"."""
        if self._margins is None or name not in MARGIN_NAMES:
            return ""
        share, source = percent(getattr(self._margins, name)), self._margins.source_of(name)
        if source == DEFAULT:
            return f"by default: {share}"
        return f"from {path_from(self._own, source) if self._own else source}: {share}"

    def lists(self, path: KeyPath) -> Iterator[str]:
        """The lists that are used in a table, which have no fields of their own there."""
        if not self.known:
            yield UNREAD
        for at, origin in self._origins.items():
            if at[:-1] == path and isinstance(origin.value, list):
                points = "; ".join(map(_point, origin.value))
                yield f"{str(at[-1]).replace('_', ' ').capitalize()} {self._file(origin)}: {points}"

    def _file(self, origin: Origin) -> str:
        return f"from {path_from(self._own, origin.document.name)}"


def _point(value: Any) -> str:
    if isinstance(value, dict):
        return ", ".join(f"{key.replace('_', ' ')} {one}" for key, one in value.items())
    return str(value)

"""What a page may ask for, by name."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from pathlib import PurePosixPath

from . import commands, format, physics, settings, units

MADE: Mapping[str, Callable[[], str]] = {
    "commands": commands.index,
    "screens": commands.screens,
    "format": format.tables,
    "units": units.units,
    "rules-of-thumb": units.rules_of_thumb,
    "settings": settings.settings_table,
    "schemas": settings.schemas_table,
    "physics": physics.correlations,
}
_ASKED = re.compile(r"^<!-- made: ([\w-]+) -->$", re.MULTILINE)


def put_in(markdown: str, path: str) -> str:
    """The page with what it asks for; `usage` is that of the command the page is named after.

    Raises KeyError for a name that is not known.
    """

    def piece(asked: re.Match[str]) -> str:
        name = asked[1]
        return commands.usage(PurePosixPath(path).stem) if name == "usage" else MADE[name]()

    return _ASKED.sub(piece, markdown)

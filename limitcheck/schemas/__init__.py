"""The JSON Schemas (draft 2020-12) of what the commands give with `--format json`.

Within `"format": 1` keys are only added: no key goes, changes its name, its type or its meaning.
A change that breaks this raises the format of that command. Objects here take no other keys, so
that a test sees one that is not described; programs should ignore keys they do not know.
"""

from __future__ import annotations

from importlib.resources import files

_ENDING = ".schema.json"
_SAME = {"report": "check"}
"""Commands that give the JSON of another."""


def with_schema() -> list[str]:
    """The commands whose JSON has a schema."""
    names = [place.name for place in files(__name__).iterdir()]
    own = [name.removesuffix(_ENDING) for name in names if name.endswith(_ENDING)]
    return sorted([*own, *_SAME])


def command_schema(name: str) -> str:
    """The text of a command's schema."""
    return files(__name__).joinpath(_SAME.get(name, name) + _ENDING).read_text("utf-8")

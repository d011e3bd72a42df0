"""The pages of the checks, from their docstrings, each with a finding as it is printed."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from limitcheck.checks.documentation import ABOUT_FILES, DOCUMENTED
from limitcheck.documents.explanation import explanation_data
from limitcheck.units.tables import TRADE_UNITS
from tests.documentation import ROOT, printed

from .text import prose, table

_SECTIONS = (("do", "What to do"), ("at_the_bench", "At the bench"), ("source", "Source"))
_FAMILIES = (
    ("unreadable", "Files and runs"),
    ("unit-confusion", "Which number was meant"),
    ("amount-implausible", "Numbers hardly ever seen"),
    ("rounded-over-rating", "The number in the entry field"),
    ("high-cutoff-missing", "The high cutoff"),
    ("low-cutoff-off", "The low cutoff"),
    ("expected-inverted", "Expected pressure"),
    ("rating-missing", "Ratings and parts"),
    ("instrument-unit-conflict", "Profiles against each other"),
    ("acceptance-expired", "Acceptances"),
    ("not-decided", "What could not be decided"),
)
"""Headings of the index, each before the first check whose name begins so."""


def index() -> str:
    """All checks with what they say, in report order."""
    pieces = ["# Checks\n\nWhat `limitcheck explain` prints, and a finding of each."]
    rows: list[tuple[str, str]] = []
    headings = dict(_FAMILIES)
    for name in DOCUMENTED:
        begins = next((start for start in headings if name.startswith(start)), None)
        if begins is not None:
            pieces.append(_table(rows))
            pieces.append(f"## {headings.pop(begins)}")
            rows = []
        rows.append((f"[{name}]({name}.md)", prose(explanation_data(name)["summary"])))
    return "\n\n".join(filter(None, [*pieces, _table(rows)]))


def _table(rows: list[tuple[str, str]]) -> str:
    return table(("Check", "What it says"), rows) if rows else ""


def _begun(text: str) -> str:
    """With a capital, where it began after a word and a colon; names of units stay."""
    first = text.split(maxsplit=1)[0]
    return text if first in TRADE_UNITS or "_" in first else text[:1].upper() + text[1:]


def page(name: str) -> str:
    """One check."""
    told = explanation_data(name)
    pieces = [f"# {name}", f"**{prose(told['summary'])}**"]
    pieces += [
        f"## {title}\n\n{prose(_begun(told[key]))}" for key, title in _SECTIONS if key in told
    ]
    if shown := _findings().get(name):
        pieces.append(
            f"## As it is printed\n\nFor a profile with this mistake:\n\n```text\n{shown[1]}\n```"
        )
    if name not in ABOUT_FILES:
        pieces.append("Grade it or turn it off: [policy](../policy.md).")
    return "\n\n".join(pieces) + "\n"


@cache
def _findings() -> dict[str, tuple[str, str]]:
    """Check name to a profile that shows it and what is printed for it there."""
    found: dict[str, tuple[str, str]] = {}
    with TemporaryDirectory() as folder:
        for case in sorted(ROOT.glob("tests/cases/*.toml")):
            text = case.read_text("utf-8")
            names = re.findall(r"^# expect: (?:error|warning|note) (\S+)", text, re.MULTILINE)
            own = {name for name in names if case.stem.startswith(name)}
            if not set(names) - found.keys() and not own:
                continue
            Path(folder, "profile.toml").write_text(text, "utf-8")
            blocks = printed("limitcheck check profile.toml", folder).split("\n\n")
            for block in blocks:
                head = re.match(r"profile\.toml:\d+:\d+: (?:error|warning|note): ([\w-]+)", block)
                if head and head[1] in names:
                    shown = (case.name, block.strip("\n"))
                    if head[1] not in found or (
                        head[1] in own and not found[head[1]][0].startswith(head[1])
                    ):
                        found[head[1]] = shown
    return found

"""What a policy and the command line change, said once for text, data and records."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import Any, NamedTuple

from ..checking.root import shown_path, shown_text
from ..policy import COMMAND_LINE, DEFAULT, Policy, Setting, changes, settings
from ..profile.model import Profile
from .blocks import Bullets, Chapter, Document, Section, Table, Text
from .data import frame

MARGINS = {
    "high": "High cutoff above the expected maximum",
    "low": "Low cutoff below the expected minimum",
    "headroom": "Kept free under the weakest rating",
}
"""The margins of a proposal, in words."""
HEADING = "Settings that are not left at their defaults"


class ChangedBy(NamedTuple):
    """A policy file with its SHA-256, or the command line, and the settings that it gives."""

    where: str
    sha256: str | None
    settings: tuple[Setting, ...]

    @property
    def name(self) -> str:
        """Which it is, for people: the file from the current folder, and its SHA-256."""
        return f"{self.where}, SHA-256 {self.sha256}" if self.sha256 else self.where


def changed_by(policies: Iterable[Policy]) -> Iterator[ChangedBy]:
    """Who changes settings, and which: each policy file, then the command line."""
    asked: tuple[Setting, ...] = ()
    for policy in _by_source(policies):
        found = changes(policy)
        asked = asked or tuple(item for item in found if item.origin == COMMAND_LINE)
        stated = tuple(item for item in found if item.origin != COMMAND_LINE)
        if policy.source is not None or stated:
            name = "policy" if policy.source is None else shown_path(policy.source)
            yield ChangedBy(name, policy.sha256, stated)
    if asked:
        yield ChangedBy(COMMAND_LINE, None, asked)


def _by_source(policies: Iterable[Policy]) -> Iterable[Policy]:
    return {policy.source: policy for policy in policies}.values()


def policy_section(policies: Iterable[Policy]) -> Iterator[Section]:
    """What changes the settings, for a record; nothing where all are left at their defaults."""
    blocks: list[Text | Bullets] = []
    for who in changed_by(policies):
        if who.settings:
            blocks += [Text(f"{who.name}:"), Bullets(tuple(item.text for item in who.settings))]
    if blocks:
        yield Section(HEADING, tuple(blocks))


def settings_table(caption: str, found: Iterable[Setting]) -> Table:
    """Settings in force, with where each comes from."""
    rows = tuple((item.name, str(item.value), str(item.default), _from(item)) for item in found)
    return Table(caption, ("Setting", "Value", "Default", "From"), rows)


def settings_in_words(caption: str, found: Iterable[Setting]) -> Table:
    """The same for readers of a record, who write no policy."""
    used = (item for item in found if not _of_a_transfer(item))
    rows = tuple((_words(item), str(item.value), _from(item)) for item in used)
    return Table(caption, ("Setting", "Value", "From"), rows)


_THRESHOLDS = {
    "high_thin": "High cutoff thin under",
    "high_wide": "High cutoff wide over",
    "low_thin": "Low cutoff thin over",
    "low_wide": "Low cutoff wide under",
}
_OTHERS = {
    "fail_on": "A run fails from",
    "exclude": "Left out of a search",
    "checks": "Checks that must be decided",
}


def _of_a_transfer(item: Setting) -> bool:
    """Whether it is left at its default and only matters where a method is moved."""
    return item.name.startswith("transfer.") and item.origin == DEFAULT


def _words(item: Setting) -> str:
    table, _, name = item.name.partition(".")
    if table == "severity":
        return f"Check {name}"
    return (MARGINS | _THRESHOLDS | _OTHERS).get(name or table, item.name)


class InForce(NamedTuple):
    """What holds for one file or folder."""

    path: str
    policy: Policy
    profile: Profile | None


def settings_document(found: Sequence[InForce], day: date) -> Document:
    """Every setting in force for each path, with where it comes from."""
    chapters = tuple(
        Chapter(
            f"Settings for {item.path}",
            (Section("", (_policy_text(item.policy), settings_table("", _of(item)))),),
        )
        for item in found
    )
    return Document("Settings in force", (), chapters, (), day.isoformat())


def _policy_text(policy: Policy) -> Text:
    if policy.source is None:
        return Text("No policy file: limitcheck.toml, or [tool.limitcheck] in pyproject.toml.")
    return Text(f"Policy {shown_path(policy.source)}, SHA-256 {policy.sha256}.")


def _of(item: InForce) -> Iterable[Setting]:
    return settings(item.policy, item.profile)


def settings_data(found: Iterable[InForce]) -> dict[str, Any]:
    """The same for programs."""
    return frame(
        settings=[
            {
                "path": item.path,
                "policy": item.policy.source and shown_text(shown_path(item.policy.source)),
                "sha256": item.policy.sha256,
                "settings": list(map(setting_data, _of(item))),
            }
            for item in found
        ]
    )


def policies_data(policies: Iterable[Policy]) -> list[dict[str, Any]]:
    """Who changes settings, and which, for programs; the command line has no path."""
    return [
        {
            "path": None if who.where == COMMAND_LINE else shown_text(who.where),
            "sha256": who.sha256,
            "settings": [setting_data(item) for item in who.settings],
        }
        for who in changed_by(policies)
    ]


def setting_data(item: Setting) -> dict[str, str]:
    """A setting with where it comes from."""
    return {
        "name": item.name,
        "value": item.value,
        "default": item.default,
        "from": shown_text(_from(item)),
        "text": item.text,
    }


def _from(item: Setting) -> str:
    return shown_path(item.origin) if os.sep in item.origin else item.origin

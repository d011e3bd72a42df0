"""What the screens for changing a profile carry and show."""

from __future__ import annotations

import base64
from collections.abc import Collection, Iterator, Mapping
from difflib import unified_diff
from typing import Any, NamedTuple

from markupsafe import Markup, escape

from ..checking.results import FileReport, weight
from ..documents.blocks import Table
from ..documents.findings import finding_block, verdict
from ..findings import Finding, KeyPath, Severity
from ..profile.remarks import Moved
from .draft import Refusal, in_a_box, named
from .form_fields import Group
from .words import label

PREFIX = "f."
"""What the names of the fields begin with."""


class Checked(NamedTuple):
    """What a check of a text found."""

    report: FileReport
    compared: bool = True
    """Whether with the other files of the folder, too."""

    @property
    def readable(self) -> bool:
        """Whether it is a profile at all."""
        return self.report.status != "unreadable"

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What was found."""
        return self.report.findings

    @property
    def verdict(self) -> str:
        """How it came out, in the words of the profile's own screen."""
        told = verdict(self.report)
        return f"Found: {told}" if self.findings else f"{told[:1].upper()}{told[1:]}"

    @property
    def told(self) -> dict[str, Any]:
        """What the screens say of it, beside the findings."""
        return {
            "readable": self.readable,
            "errors": len(self.errors),
            "verdict": self.verdict,
            "undecided": list(self._undecided()),
            "compared": self.compared or not self.readable,
        }

    def _undecided(self) -> Iterator[Table]:
        if self.report.undecided:
            rows = tuple((item.check, item.reason, item.add) for item in self.report.undecided)
            yield Table("Checks not decided", ("Check", "Why", "What to add"), rows)

    @property
    def errors(self) -> tuple[Finding, ...]:
        """Those of error grade that nobody answers for."""
        return tuple(
            f for f in self.findings if f.severity is Severity.ERROR and f.accepted is None
        )


class Draft(NamedTuple):
    """A text under way: `base` is what the fields are compared with, `was` the file as opened."""

    name: str
    was: str
    base: str
    text: str
    refused: Mapping[KeyPath, Refusal] = {}
    not_taken: tuple[str, ...] = ()
    """Fields changed together with the text that could not be taken, each with the reason."""
    by_hand: bool = False
    """Whether the text itself was changed since it was last shown."""

    @property
    def content(self) -> bytes:
        """What would be written."""
        return self.text.encode("utf-8", "surrogatepass")


def carried(draft: Draft) -> dict[str, Any]:
    """What a form carries of a text from one request to the next."""
    return {
        "name": draft.name,
        "was": draft.was,
        "base": base64.b64encode(draft.base.encode("utf-8", "surrogatepass")).decode(),
        "whole": base64.b64encode(draft.content).decode(),
        "box": Markup(escape(in_a_box(draft.text))),
        "not_taken": draft.not_taken,
    }


def shown(
    draft: Draft, form: tuple[Group, ...], checked: Checked, remarks: tuple[Moved, ...]
) -> dict[str, Any]:
    """What the template of the form shows: fields, what was found, and at which of them.

    `remarks` are the comments that what was typed took along, or left by something else.
    """
    places: dict[str, list[Finding]] = {}
    names = {field.path: field.name for group in form for field in group.all}
    heads = {group.path: group.name for group in form}
    anchors: dict[int, str] = {}
    told = sorted(checked.findings, key=weight)
    for finding in told:
        at = _nearest(finding.path, names | heads)
        if at:
            places.setdefault(at, []).append(finding)
            anchors[id(finding)] = PREFIX + at
    beside: dict[str, list[Moved]] = {}
    for moved in remarks:
        beside.setdefault(_nearest(moved.path, names | heads), []).append(moved)
    refused = {named(path): refusal for path, refusal in draft.refused.items()}
    return {
        "draft": carried(draft),
        "groups": form,
        "remarks": beside,
        "refused": refused,
        "at_place": places,
        "told_of": places.keys() | refused.keys() | beside.keys(),
        "told": [(finding_block(finding), anchors.get(id(finding), "")) for finding in told],
        **checked.told,
        "heading": _heading(checked, refused),
        "not_saved": "",
        "not_done": "",
        "done": None,
        "begun": None,
    }


def _heading(checked: Checked, refused: Collection[str]) -> str:
    """What was found, and which fields hold something that is not in the text and not checked."""
    told = checked.told
    verdict = str(told["verdict"])
    if not told["readable"]:
        verdict = "Not readable as a profile yet: it cannot be saved"
    if not refused:
        return verdict
    names = ", ".join(label(place.rpartition(".")[2]) for place in refused)
    return f"Not written: {names}. What is written: {verdict}"


def _nearest(path: KeyPath, names: Mapping[KeyPath, str]) -> str:
    """The field or section that a finding is about; empty for none."""
    for length in range(len(path), 0, -1):
        if path[:length] in names:
            return names[path[:length]]
    return ""


def diff(before: str, after: str, name: str) -> list[tuple[str, str]]:
    """The lines of a unified diff, each with what it is: head, hunk, out, in or same.

    How a line ends is said only where lines end differently, or the last one has no end.
    """
    kinds = {"---": "head", "+++": "head", "@@ ": "hunk"}
    found = []
    old, new = _lines(before), _lines(after)
    alike = len({line.endswith("\r") for line in (*old, *new)}) < 2
    there = "as it is" if before else "not there yet"
    lines = unified_diff(old, new, f"{name} ({there})", f"{name} (new)", lineterm="")
    for number, line in enumerate(lines):
        kind = kinds.get(line[:3]) if number < 2 or line.startswith("@@") else None
        kind = kind or {"-": "out", "+": "in"}.get(line[:1], "same")
        end = "" if alike or not line.endswith("\r") else " (line end CR LF)"
        found.append((kind, line.removesuffix("\r") + end))
    return found


def _lines(text: str) -> list[str]:
    *lines, last = text.split("\n")
    return [*lines, f"{last} (no line end)"] if last else lines

"""Where a flow path can be opened, from the outlet back to the pump.

With the flow path opened at one place, the display shows what the parts before it take. The
places are in an order in which each leaves fewer parts than the one before.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from ..profile.model import Profile

UNLISTED_LOOP = -1
"""Place of the loop of an injection valve whose profile lists none."""
EVERYTHING = "all"
REVERSED = "column-reversed"


@dataclass(frozen=True, slots=True)
class Opening:
    """A place to open: its name in `--reading NAME=VALUE`, what to do, which parts stay."""

    name: str
    action: str
    parts: frozenset[int]  # indices into the flow path that the flow still passes


def places(profile: Profile) -> frozenset[int]:
    """Indices into the flow path, with UNLISTED_LOOP where the valve has a loop but no entry."""
    kinds = [part.part for part in profile.flow_path]
    unlisted = {UNLISTED_LOOP} if "injector" in kinds and "loop" not in kinds else set()
    return frozenset(range(len(kinds))) | unlisted


def in_flow_order(profile: Profile, chosen: Iterable[int]) -> list[int]:
    """Places in the order of the flow; an unlisted loop stands behind its valve."""
    kinds = [part.part for part in profile.flow_path]
    behind = kinds.index("injector") + 0.5 if "injector" in kinds else 0.0
    return sorted(chosen, key=lambda place: behind if place == UNLISTED_LOOP else place)


def place_name(profile: Profile, place: int) -> str:
    """The part at a place, for messages."""
    return "loop" if place == UNLISTED_LOOP else profile.flow_path[place].name


def openings(profile: Profile) -> tuple[Opening, ...]:
    """The steps of the plan, everything connected first."""
    kinds = [part.part for part in profile.flow_path]
    everything = places(profile)
    columns = [i for i, kind in enumerate(kinds) if kind == "column"]
    steps = [Opening(EVERYTHING, "everything connected, as the method runs", everything)]

    def add(name: str, action: str, first_removed: int, loops: frozenset[int]) -> None:
        left = frozenset(i for i in everything - loops if i < first_removed)
        if left < steps[-1].parts:
            steps.append(Opening(name, action, left))

    front = columns[0]
    injector = kinds.index("injector") if "injector" in kinds[:front] else None
    loops = frozenset(i for i in everything if i == UNLISTED_LOOP or kinds[i] == "loop")
    none: frozenset[int] = frozenset() if injector is not None else loops
    add("column-outlet", "open the outlet of the column, lead it to waste", columns[-1] + 1, none)
    add("column-inlet", "open the inlet of the column", front, none)
    guards = [i for i, kind in enumerate(kinds[:front]) if kind == "guard column"]
    if guards:
        front = guards[0]
        add("guard-inlet", "open the inlet of the guard column", front, none)
    if injector is not None:
        load = "leave that inlet open, turn the injection valve from inject to load"
        add("valve-load", load, front, loops)
        add("valve-inlet", "open the inlet of the injection valve", injector, loops)
    add("pump-outlet", "open the outlet of the pump", 1, loops)
    return tuple(steps)


def opening_named(name: str, profile: Profile) -> Opening | None:
    """A step of the plan, or `part-N`: the inlet of part N of the flow path (from 1) open."""
    for step in openings(profile):
        if step.name == name:
            return step
    match = re.fullmatch(r"part-([0-9]{1,3})", name)
    if match is None or not 2 <= int(match[1]) <= len(profile.flow_path):
        return None
    index = int(match[1]) - 1
    part = profile.flow_path[index]
    kinds = [part.part for part in profile.flow_path[:index]]
    first = 0 if "injector" not in kinds else UNLISTED_LOOP
    left = frozenset(i for i in places(profile) if first <= i < index)
    return Opening(name, f"open the inlet of the {part.name}", left)

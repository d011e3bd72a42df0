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
UNLISTED_TUBING = -2
"""Place of the tubing, and of filters and mixers in it, that a profile does not list behind the
pump: it is in every flow path, and may take pressure."""
EVERYTHING = "all"
REVERSED = "column-reversed"


@dataclass(frozen=True, slots=True)
class Opening:
    """A place to open: its name in `--reading NAME=VALUE`, what to do, which parts stay."""

    name: str
    action: str
    parts: frozenset[int]  # indices into the flow path that the flow still passes


def places(profile: Profile) -> frozenset[int]:
    """Indices into the flow path, and the places of what it has but does not list.

    UNLISTED_LOOP where the valve has a loop but no entry, UNLISTED_TUBING where there is no tubing
    from the pump to the valve, or to the column where there is no valve.
    """
    kinds = [part.part for part in profile.flow_path]
    unlisted = {UNLISTED_LOOP} if "injector" in kinds and "loop" not in kinds else set()
    end = min(kinds.index(kind) for kind in ("injector", "column") if kind in kinds)
    if "tubing" not in kinds[:end]:
        unlisted.add(UNLISTED_TUBING)
    return frozenset(range(len(kinds))) | unlisted


def in_flow_order(profile: Profile, chosen: Iterable[int]) -> list[int]:
    """Places in the order of the flow: what is not listed behind its valve, or the pump."""
    kinds = [part.part for part in profile.flow_path]
    behind = {UNLISTED_TUBING: 0.5}
    if "injector" in kinds:
        behind[UNLISTED_LOOP] = kinds.index("injector") + 0.5
    return sorted(chosen, key=lambda place: behind.get(place, place))


def place_name(profile: Profile, place: int) -> str:
    """The part at a place, for messages."""
    unlisted = {UNLISTED_LOOP: "loop", UNLISTED_TUBING: "tubing (from the pump, not listed)"}
    return unlisted.get(place) or profile.flow_path[place].name


class _Path:
    """Indices that the openings need: the first column, the injection valve, its loops."""

    def __init__(self, profile: Profile) -> None:
        self.kinds = [part.part for part in profile.flow_path]
        self.everything = places(profile)
        self.column = self.kinds.index("column")
        before = self.kinds[: self.column]
        self.injector = before.index("injector") if "injector" in before else None
        self.loops = frozenset(
            place
            for place in self.everything
            if self.injector is not None
            and (place == UNLISTED_LOOP or (place < self.column and self.kinds[place] == "loop"))
        )

    def before(self, index: int, *, loaded: bool) -> frozenset[int]:
        """What stays when the flow path is opened before a part; `loaded` bypasses the loop."""
        left = frozenset(place for place in self.everything if place < index) - self.loops
        left -= {UNLISTED_LOOP}
        passes_loop = self.injector is not None and self.injector < index and not loaded
        return left | self.loops if passes_loop else left


def openings(profile: Profile) -> tuple[Opening, ...]:
    """The steps of the plan, everything connected first; each leaves fewer parts."""
    path = _Path(profile)
    last = len(path.kinds) - 1 - path.kinds[::-1].index("column")
    steps = [Opening(EVERYTHING, "everything connected, as the method runs", path.everything)]

    def add(name: str, action: str, index: int, *, loaded: bool = False) -> None:
        left = path.before(index, loaded=loaded)
        if left < steps[-1].parts:
            steps.append(Opening(name, action, left))

    several = path.column != last
    of_last, of_first = ("the last column", "the first column") if several else ("the column",) * 2
    add("column-outlet", f"open the outlet of {of_last}, lead it to waste", last + 1)
    columns = [i for i in range(path.column + 1, last + 1) if path.kinds[i] == "column"]
    for later in reversed(columns):
        add(f"part-{later + 1}", f"open the inlet of the {place_name(profile, later)}", later)
    add("column-inlet", f"open the inlet of {of_first}", path.column)
    front = path.column
    behind_valve = path.injector if path.injector is not None else 0
    guards = [i for i in range(behind_valve, front) if path.kinds[i] == "guard column"]
    if guards:
        front = guards[0]
        add("guard-inlet", "open the inlet of the guard column", front)
    if path.injector is not None:
        load = "leave that inlet open, turn the injection valve from inject to load"
        add("valve-load", load, front, loaded=True)
        add("valve-inlet", "open the inlet of the injection valve", path.injector)
    if steps[-1].parts > {0}:
        steps.append(Opening("pump-outlet", "open the outlet of the pump", frozenset({0})))
    return tuple(steps)


def opening_named(name: str, profile: Profile) -> Opening | None:
    """A step of the plan, or `part-N`: the inlet of part N of the flow path (from 1) open.

    Between the injection valve and the parts that the plan opens first, the valve is at load.
    """
    steps = openings(profile)
    for step in steps:
        if step.name == name:
            return step
    match = re.fullmatch(r"part-([0-9]{1,3})", name)
    if match is None or not 2 <= int(match[1]) <= len(profile.flow_path):
        return None
    path, index = _Path(profile), int(match[1]) - 1
    action = f"open the inlet of the {profile.flow_path[index].name}"
    load = next((step for step in steps if step.name == "valve-load"), None)
    loaded = load is not None and path.before(index, loaded=True) <= load.parts
    if loaded and path.injector is not None and index > path.injector:
        action += ", the injection valve at load"
    return Opening(name, action, path.before(index, loaded=loaded))

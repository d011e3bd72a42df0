"""The cutoffs of one profile: what to type, what it rests on, and what would make room."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from ..findings import KeyPath, Recommendation
from ..limits import Limit, Proposal, propose
from ..limits.room import WaysToMakeRoom, ways_to_make_room
from ..policy import Margins, Policy, margins_for
from ..profile.edited import with_values
from ..profile.load import ProfileFile
from ..profile.model import Profile
from ..units import Pressure
from .file import check_file
from .results import FileReport

Name = Literal["high", "low"]
NAMES: tuple[Name, Name] = ("high", "low")


@dataclass(frozen=True, slots=True)
class Proposed:
    """What to type as the two cutoffs of a profile; `report` decided it.

    `proposal` and `room` are those of the profile as it is meant: with what the report recommends
    besides the cutoffs.
    """

    file: ProfileFile
    report: FileReport
    meant: Profile
    margins: Margins
    proposal: Proposal
    room: WaysToMakeRoom

    @property
    def others(self) -> tuple[Recommendation, ...]:
        """What to correct besides the cutoffs, which rest on it."""
        return tuple(i for i in self.report.recommendations if i.path[0] != "cutoffs")

    @property
    def changes(self) -> tuple[Recommendation, ...]:
        """The cutoffs that differ from those in the file; none without a high one."""
        if self.recommended("high") is None:
            return ()
        return tuple(
            item
            for name in NAMES
            if (item := self.recommended(name)) is not None
            and Pressure.of(item.enter, item.unit) != self.typed(name)
        )

    @property
    def complete(self) -> bool:
        """Whether there is a number for both cutoffs."""
        return all(self.recommended(name) for name in NAMES)

    def typed(self, name: Name) -> Pressure | None:
        """The cutoff in the file."""
        cutoffs = self.file.profile.cutoffs
        return cutoffs.high if name == "high" else cutoffs.low

    def recommended(self, name: Name) -> Recommendation | None:
        """What to type as a cutoff."""
        path: KeyPath = ("cutoffs", name)
        return next((item for item in self.report.recommendations if item.path == path), None)

    def reason(self, name: Name) -> str | None:
        """Why nothing can be typed as a cutoff; None where something can."""
        if self.recommended(name) is not None:
            return None
        path: KeyPath = ("cutoffs", name)
        withheld = (item.reason for item in self.report.withheld if item.path == path)
        return next(withheld, "nothing can be recommended")

    def limit(self, name: Name) -> Limit | None:
        """The limit that the recommendation is; None where it rests on something else."""
        item = self.recommended(name)
        limit = self.proposal.high if name == "high" else self.proposal.low
        return limit if item is not None and limit is not None and _same(limit, item) else None


def proposed(file: ProfileFile, policy: Policy, today: date) -> Proposed:
    """What to type as the cutoffs of a profile, under a policy."""
    report = check_file(file, policy, today, propose=True)
    others = [item for item in report.recommendations if item.path[0] != "cutoffs"]
    meant = with_values(file.profile, ((item.path, item.enter, item.unit) for item in others))
    margins = margins_for(meant, policy)
    room = ways_to_make_room(meant, margins)
    return Proposed(file, report, meant, margins, propose(meant, margins), room)


def _same(limit: Limit, item: Recommendation) -> bool:
    return limit.pressure == Pressure.of(item.enter, item.unit)

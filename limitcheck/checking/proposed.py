"""The cutoffs of one profile: what to type, what it rests on, and what would make room."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from functools import cached_property
from typing import Literal, NamedTuple

from ..checks.engine import check_profile
from ..findings import Finding, Recommendation, Withheld, of_place
from ..limits import Limit, propose
from ..limits.room import WaysToMakeRoom, ways_to_make_room
from ..policy import Policy, margins_for
from ..profile.edited import with_values
from ..profile.load import ProfileFile
from ..profile.model import Profile
from ..units import Pressure
from .file import add_findings, check_file
from .recommendations import recommend

Name = Literal["high", "low"]
NAMES: tuple[Name, Name] = ("high", "low")


class CutoffsToType(NamedTuple):
    """What to type as the two cutoffs of a profile, and what to correct with them."""

    recommendations: tuple[Recommendation, ...]
    withheld: tuple[Withheld, ...]

    def number(self, name: Name) -> Recommendation | None:
        """What to type as a cutoff."""
        return of_place(self.recommendations, ("cutoffs", name))

    def reason(self, name: Name) -> str | None:
        """Why nothing can be typed as a cutoff; None where something can."""
        if self.number(name) is not None:
            return None
        withheld = of_place(self.withheld, ("cutoffs", name))
        return withheld.reason if withheld is not None else "nothing can be recommended"

    @property
    def others(self) -> tuple[Recommendation, ...]:
        """What to correct besides the cutoffs, which rest on it."""
        return tuple(item for item in self.recommendations if item.path[0] != "cutoffs")

    @property
    def not_alone(self) -> str | None:
        """What has to be corrected before the cutoffs are typed; None where nothing has."""
        if not self.others:
            return None
        named = ", ".join(item.text for item in self.others)
        return f"a number that the cutoffs rest on was mistaken, probably {named}"


def cutoffs_to_type(profile: Profile, policy: Policy, today: date) -> CutoffsToType:
    """What to type as the cutoffs of a profile that is in no file."""
    advised = recommend(check_profile(profile, policy, today), propose=True)
    return CutoffsToType(advised.recommendations, advised.withheld)


class Proposed:
    """What to type as the cutoffs of a profile, under a policy, and what it rests on.

    Bounds and margins are those of the profile as it is `meant`: corrected besides the cutoffs.
    """

    def __init__(
        self, file: ProfileFile, policy: Policy, today: date, conflicts: Iterable[Finding] = ()
    ) -> None:
        self.file, self.policy = file, policy
        report = check_file(file, policy, today, propose=True)
        self.report = add_findings(report, file, conflicts, policy, today)
        self.cutoffs = CutoffsToType(self.report.recommendations, self.report.withheld)
        others = ((item.path, item.enter, item.unit) for item in self.cutoffs.others)
        self.meant = with_values(file.profile, others)
        self.margins = margins_for(self.meant, policy)
        self.proposal = propose(self.meant, self.margins)

    @property
    def decided(self) -> bool:
        """Whether the bounds decide on a high cutoff, and not a number that is in doubt."""
        return self.cutoffs.reason("high") in (None, self.proposal.no_high)

    @cached_property
    def room(self) -> WaysToMakeRoom:
        """What would make room for a high cutoff where the bounds leave none."""
        if not self.decided:
            return WaysToMakeRoom()
        return ways_to_make_room(self.meant, self.margins)

    def typed(self, name: Name) -> Pressure | None:
        """The cutoff in the file."""
        cutoffs = self.file.profile.cutoffs
        return cutoffs.high if name == "high" else cutoffs.low

    def limit(self, name: Name) -> Limit | None:
        """The limit that the recommendation is; None where it rests on something else."""
        item = self.cutoffs.number(name)
        limit = self.proposal.high if name == "high" else self.proposal.low
        same = item and limit and limit.pressure == Pressure.of(item.enter, item.unit)
        return limit if same else None

    @property
    def complete(self) -> bool:
        """Whether there is a number for both cutoffs."""
        return all(self.cutoffs.number(name) for name in NAMES)

    @property
    def changes(self) -> tuple[Recommendation, ...]:
        """The cutoffs that differ from those in the file; none without a high one."""
        found = ((self.cutoffs.number(name), self.typed(name)) for name in NAMES)
        if self.cutoffs.number("high") is None:
            return ()
        return tuple(
            item for item, now in found if item and Pressure.of(item.enter, item.unit) != now
        )

"""The cutoffs of one profile: what to type, what it rests on, and what would make room."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date
from functools import cached_property
from typing import Literal, NamedTuple

from ..checks.engine import check_profile
from ..findings import Confidence, Finding, Recommendation, Withheld, of_place
from ..limits import Limit, propose
from ..limits.room import WaysToMakeRoom, ways_to_make_room
from ..policy import Policy, margins_for
from ..profile.edited import with_values
from ..profile.load import ProfileFile, load_bytes
from ..profile.model import Profile
from ..profile.unrated import not_rated
from ..units import Pressure
from .corrections import Fix, NotFixed, rewrite
from .doubts import CUTOFFS
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


def mistaken_cutoffs(
    findings: Iterable[Finding], recommendations: Iterable[Recommendation]
) -> Iterator[str]:
    """Which cutoff of a profile was mistaken, by which check, and what was meant."""
    all_found = tuple(findings)
    for item in recommendations:
        found = [f for f in all_found if f.path == item.path and f.accepted is None]
        if item.basis != "proposal" and item.path in CUTOFFS and found:
            worst = min(found, key=lambda finding: finding.worst.rank)
            grade = f"{worst.severity.value}: {worst.check}"
            likely = "" if item.confidence is Confidence.CERTAIN else "probably "
            why = f"was {likely}meant"
            if item.basis == "step":
                why = "is the full step on its safe side"
            yield f"its own {item.path[-1]} cutoff ({grade}); {item.enter} {item.unit} {why}"


class Written(NamedTuple):
    """What was put into a file: by path, as it stood there before and as it stands there now."""

    fix: Fix
    mistaken: tuple[str, ...] = ()
    """What was mistaken in the file before."""

    @property
    def text(self) -> str:
        """As in "a.toml: wrote high = 287 (was 28)"."""
        told = (
            f"{path[-1]} = {now} ({f'was {was}' if was else 'was missing'})"
            for path, was, now in self.fix.changes
        )
        return f"{self.fix.path}: wrote {', '.join(told)}."


class Proposed:
    """What to type as the cutoffs of a profile, under a policy, and what it rests on.

    Bounds and margins are those of the profile as it is `meant`: corrected besides the cutoffs.
    """

    def __init__(
        self,
        file: ProfileFile,
        policy: Policy,
        today: date,
        conflicts: Iterable[Finding] = (),
        *,
        written: Written | None = None,
        not_written: str = "",
    ) -> None:
        self.file, self.policy, self.today = file, policy, today
        self.written, self.not_written = written, not_written
        self.conflicts = tuple(conflicts)
        report = check_file(file, policy, today, propose=True)
        self.report = add_findings(report, file, self.conflicts, policy, today)
        self.cutoffs = CutoffsToType(self.report.recommendations, self.report.withheld)
        others = ((item.path, item.enter, item.unit) for item in self.cutoffs.others)
        self.meant = with_values(file.profile, others)
        self.margins = margins_for(self.meant, policy)
        self.proposal = propose(self.meant, self.margins)

    @property
    def decided(self) -> bool:
        """Whether the bounds decide on a high cutoff, and not a number that is in doubt."""
        return self.cutoffs.reason("high") in (None, self.proposal.no_high)

    @property
    def mistaken(self) -> tuple[str, ...]:
        """Which cutoff in the file was mistaken, by which check, and what was meant."""
        return tuple(mistaken_cutoffs(self.report.findings, self.report.recommendations))

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
    def unseen_runs(self) -> str:
        """Why nobody knows whether normal runs pass the high cutoff that the ratings allow."""
        limit = self.limit("high")
        if limit is None or self.meant.expected is not None:
            return ""
        return (
            f"{limit.pressure} protects the parts only: it is not known whether normal runs pass "
            "it, or how far above them it is, for no normal pressure is given. Add the measured "
            "pressures as low and high in [expected]"
        )

    @property
    def raises_unseen(self) -> bool:
        """Whether what is proposed raises a high cutoff though nothing is known of normal runs."""
        limit, now = self.limit("high"), self.typed("high")
        return bool(self.unseen_runs and limit and now and 0 < now.value < limit.pressure.value)

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


_TIMES = 4
"""How often a profile is corrected and then proposed for again: mostly once, or not at all."""


def written(found: Proposed) -> Proposed | None:
    """The profile with the proposed cutoffs in it; None where nothing changes. Raises NotFixed.

    Where a number was mistaken, the limits are those that are proposed once it is corrected: the
    text is one for which nothing else is proposed.
    """
    done: Fix | None = None
    mistaken = found.mistaken
    for _ in range(_TIMES):
        reason = found.cutoffs.not_alone or found.cutoffs.reason("high")
        if reason is not None:
            raise NotFixed(reason, "correct the profile first")
        if (lacking := not_rated(found.meant)) is not None:
            raise NotFixed(lacking.reason, f"add {lacking.add}")
        if found.raises_unseen:
            told = "it would raise the high cutoff, and no normal pressure is given"
            raise NotFixed(told, "add the measured pressures as low and high in [expected]")
        if not found.changes:
            return None if done is None else _again(found, Written(done, mistaken))
        fix = rewrite(found.file, found.report, found.changes, found.policy, found.today)
        done = fix if done is None else _one_after_the_other(done, fix)
        found = _again(found, Written(done))
    raise NotFixed("each correction brings another", "correct the profile first")


def _again(found: Proposed, done: Written) -> Proposed:
    after = load_bytes(done.fix.after.encode(), found.file.path)
    return Proposed(after, found.policy, found.today, found.conflicts, written=done)


def _one_after_the_other(first: Fix, then: Fix) -> Fix:
    """Two corrections of a text as one."""
    was = {path: text for path, text, _ in reversed((*first.changes, *then.changes))}
    now = {path: text for path, _, text in (*first.changes, *then.changes)}
    changes = tuple((path, was[path], text) for path, text in now.items())
    return replace(then, sha256=first.sha256, before=first.before, changes=changes)

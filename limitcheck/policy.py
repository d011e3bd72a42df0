"""What a laboratory decides once: margins, gradings, when a run fails. Plain data.

The defaults are common practice, no source. `checking/policy_file.py` reads a repository's own.
What a policy or the command line changes is listed here once, for every output: `settings`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Literal, NamedTuple, TypeAlias

from .findings import Finding, Severity
from .profile.model import Profile
from .units import percent, plain_or_rounded

DEFAULT, PROFILE, COMMAND_LINE = "default", "profile", "command line"
"""Where a setting may come from, besides a policy file, which is named by its path."""
FailOn: TypeAlias = Severity | Literal["never"]


class Margins(NamedTuple):
    """Margins as exact shares; `origin` says where each comes from."""

    high: Fraction = Fraction(25, 100)
    """Proposed high cutoff above the expected maximum."""
    low: Fraction = Fraction(50, 100)
    """Proposed low cutoff below the expected minimum."""
    headroom: Fraction = Fraction(10, 100)
    """Kept free under the weakest rating."""
    high_thin: Fraction = Fraction(10, 100)
    """A high cutoff less than this above the expected maximum stops normal runs."""
    high_wide: Fraction = Fraction(100, 100)
    """A high cutoff more than this above the expected maximum acts late."""
    low_thin: Fraction = Fraction(85, 100)
    """A low cutoff above this share of the expected minimum stops normal runs."""
    low_wide: Fraction = Fraction(5, 100)
    """A low cutoff under this share of the expected minimum sees only an open line."""
    origin: Mapping[str, str] = {}
    """By name of a margin: a policy's file or the profile; what is absent is a default."""

    def source_of(self, name: str) -> str:
        """Where a margin comes from."""
        return self.origin.get(name, DEFAULT)


MARGIN_NAMES = Margins._fields[:-1]


class CommandLine(NamedTuple):
    """What the command line sets over every policy of a run."""

    fail_on: FailOn | None = None
    only: tuple[str, ...] = ()
    """Where not empty, every other check is turned off."""
    without: tuple[str, ...] = ()
    require: tuple[str, ...] = ()


NOTHING_ASKED = CommandLine()


class AcceptanceRules(NamedTuple):
    """Which findings somebody may answer for, and how."""

    allowed: bool = True
    """Whether there may be acceptances at all."""
    until_required: bool = True
    """Whether an acceptance must have a last day."""
    never: tuple[str, ...] = (
        "high-cutoff-missing",
        "high-cutoff-above-rating",
        "rounded-over-rating",
        "rule-of-thumb-conversion:error",
        "rating-derated:error",
        "expected-above-rating",
    )
    """Checks that are never accepted; only their errors where the name ends in ":error"."""


class AdjustmentLimits(NamedTuple):
    """How far a method may be adjusted when it moves to another instrument.

    Shares are exact; percent are points of percent B. The first group is that of the harmonised
    pharmacopoeial chapter (`transfer/adjustment.py` says how well each is known), the second is
    how near a number counts as equal to what a rule gives (common practice, no source).
    """

    length_over_particle_less: Fraction = Fraction(25, 100)
    """Length over particle size of the column may fall by this."""
    length_over_particle_more: Fraction = Fraction(50, 100)
    """Length over particle size of the column may rise by this."""
    plate_number_less: Fraction = Fraction(25, 100)
    """Plate number may fall by this: the other route, for particles not fully porous."""
    plate_number_more: Fraction = Fraction(50, 100)
    """Plate number may rise by this."""
    isocratic_flow: Fraction = Fraction(50, 100)
    """Flow of an isocratic method, off the one scaled to the column."""
    isocratic_kelvin: Fraction = Fraction(10)
    """Column temperature of an isocratic method, in kelvin either way."""
    gradient_kelvin: Fraction = Fraction(5)
    """Column temperature of a gradient method, in kelvin either way."""
    minor_component: Fraction = Fraction(30, 100)
    """The minor component of an isocratic mobile phase, as a share of itself."""
    minor_component_percent: Fraction = Fraction(2)
    """The same in points of percent B; the larger of both holds."""
    component_percent: Fraction = Fraction(10)
    """No component by more than these points of percent B."""
    ph: Fraction = Fraction(2, 10)
    """pH of the aqueous part, either way."""
    buffer_salts: Fraction = Fraction(10, 100)
    """Concentration of a buffer's salts, either way."""

    gradient_flow: Fraction = Fraction(2, 100)
    """Flow of a gradient method that still counts as the scaled one."""
    gradient_step: Fraction = Fraction(2, 100)
    """Length of a gradient's step that still counts as the scaled one."""
    gradient_minutes: Fraction = Fraction(2, 100)
    """Minutes by which it may differ all the same; less of a very short step."""
    dwell_minutes: Fraction = Fraction(5, 100)
    """The gradient may come this many minutes sooner or later; less in a short programme."""
    injection_volume: Fraction = Fraction(10, 100)
    """Injection volume that still counts as the scaled one."""

    edition: str | None = None
    """The edition and procedure a site works to, once it has read the limits there."""
    stated: frozenset[str] = frozenset()
    """Names of the limits that the site states itself."""


class Policy(NamedTuple):
    """A repository's policy, and what the command line sets over it."""

    margins: Margins = Margins()
    fail_on: FailOn = Severity.ERROR
    severities: Mapping[str, Severity | None] = {}
    """Check name to its grade here; None turns the check off."""
    require: tuple[str, ...] = ("core",)
    """Checks that may not be left undecided: names, `core` or `all`."""
    exclude: tuple[str, ...] = ()
    """Patterns of paths, relative to the policy file, that a folder search leaves out."""
    acceptances: AcceptanceRules = AcceptanceRules()
    adjustments: AdjustmentLimits = AdjustmentLimits()
    source: str | None = None
    """The file the policy was read from."""
    sha256: str | None = None
    """Of that file's bytes."""
    stated: frozenset[str] = frozenset()
    """Names of the settings that the file states, at their default or not."""
    command: CommandLine = NOTHING_ASKED

    @property
    def turns_off(self) -> bool:
        """Whether any check may be turned off."""
        return bool(self.command.without or self.command.only or None in self.severities.values())

    def turned_off(self, check: str) -> str:
        """What turns a check off, as in "--without"; empty where it is on."""
        if option := self.off_by_command(check):
            return f"by {option}"
        off = self.severities.get(check, Severity.ERROR) is None
        return f"in {self.source or 'the policy'}" if off else ""

    @property
    def fails_on(self) -> FailOn:
        """The lowest grade that fails; the command line goes first."""
        return self.command.fail_on or self.fail_on

    @property
    def required(self) -> tuple[str, ...]:
        """What may not be left undecided; the command line goes first."""
        return self.command.require or self.require

    def off_by_command(self, check: str) -> str:
        """The option that turns a check off; empty where none does."""
        if check in self.command.without:
            return "--without"
        return "--only" if self.command.only and check not in self.command.only else ""

    def fails(self, finding: Finding) -> bool:
        """Whether a finding fails a run: nobody answers for it, and its grade is that bad."""
        if finding.accepted is not None or finding.known or self.fails_on == "never":
            return False
        return finding.severity.rank <= Severity(self.fails_on).rank


DEFAULT_POLICY = Policy()


class Setting(NamedTuple):
    """A setting in force, by its name in a policy file, and where it comes from."""

    name: str
    value: str
    default: str
    origin: str

    @property
    def text(self) -> str:
        """What it does, in a few words: "rating-missing is turned off"."""
        table, _, check = self.name.partition(".")
        if table == "severity":
            off = self.value == "off"
            return f"{check} is turned off" if off else f"{check} is graded {self.value}"
        if self.name == "only":
            return f"every check but {self.value} is turned off"
        if self.name == "without":
            return f"{self.value} is turned off"
        if self.origin == COMMAND_LINE:
            return f"{self.name} = {self.value}, whatever a policy says"
        usual = "the default" if self.value == self.default else f"default: {self.default}"
        return f"{self.name} = {self.value} ({usual})"


def settings(policy: Policy, profile: Profile | None = None) -> Iterator[Setting]:
    """Every setting in force under a policy, for a profile where one is given."""
    command = policy.command
    for name in ("only", "without"):
        if given := getattr(command, name):
            yield Setting(name, ", ".join(given), "nothing", COMMAND_LINE)
    yield from _overridable(policy, "fail_on", (policy.fail_on,), command.fail_on or "")
    yield from _overridable(policy, "require.checks", policy.require, ", ".join(command.require))
    yield _setting(policy, "exclude", ", ".join(policy.exclude) or "nothing", "nothing")
    for name in AcceptanceRules._fields:
        rules = (getattr(each.acceptances, name) for each in (policy, DEFAULT_POLICY))
        yield _setting(policy, f"acceptances.{name}", *map(_plain, rules))
    margins = policy.margins if profile is None else margins_for(profile, policy)
    for name in MARGIN_NAMES:
        value, default = (percent(getattr(each, name)) for each in (margins, Margins()))
        setting = _setting(policy, f"margins.{name}", value, default)
        own = margins.source_of(name) == PROFILE
        yield setting._replace(origin=PROFILE) if own else setting
    for name in AdjustmentLimits._fields[:-1]:
        limits = (getattr(each.adjustments, name) for each in (policy, DEFAULT_POLICY))
        yield _setting(policy, f"transfer.{name}", *(_adjustment(name, limit) for limit in limits))
    for check, grade in policy.severities.items():
        yield _setting(policy, f"severity.{check}", grade or "off", "its own grade")


def _overridable(
    policy: Policy, name: str, value: tuple[str, ...], command: str
) -> Iterator[Setting]:
    """A setting that the command line may set, too; what it overrides is then not in force."""
    default = {
        "fail_on": DEFAULT_POLICY.fail_on,
        "require.checks": ", ".join(DEFAULT_POLICY.require),
    }
    if command:
        yield Setting(name, command, default[name], COMMAND_LINE)
    else:
        yield _setting(policy, name, ", ".join(value) or "nothing", default[name])


def _setting(policy: Policy, name: str, value: str, default: str) -> Setting:
    stated = name in policy.stated or value != default
    return Setting(name, value, default, (policy.source or "policy") if stated else DEFAULT)


def changes(policy: Policy) -> tuple[Setting, ...]:
    """What a policy and the command line set: all that is not left at its default."""
    return tuple(setting for setting in settings(policy) if setting.origin != DEFAULT)


def _plain(value: bool | tuple[str, ...]) -> str:
    return str(value).lower() if isinstance(value, bool) else ", ".join(value) or "nothing"


def _adjustment(name: str, limit: Fraction | str | None) -> str:
    """As a policy writes it: bare in the unit that the name says, or a share in percent."""
    if not isinstance(limit, Fraction):
        return limit or "nothing"
    bare = name == "ph" or name.endswith(("_kelvin", "_percent", "_minutes"))
    return plain_or_rounded(limit) if bare else percent(limit)


def margins_for(profile: Profile, policy: Policy) -> Margins:
    """The policy's margins with those that the profile sets itself."""
    own = profile.margins
    given = {
        name: quantity.value
        for name, quantity in (("high", own.high), ("low", own.low), ("headroom", own.headroom))
        if quantity is not None
    }
    if not given:
        return policy.margins
    origin = {**policy.margins.origin, **dict.fromkeys(given, PROFILE)}
    return policy.margins._replace(**given, origin=origin)

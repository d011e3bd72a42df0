"""The public API for Python: what the commands do, on exact values, without printing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from fractions import Fraction
from html import escape
from pathlib import Path
from typing import Any, TypeAlias

from .checking.doubts import band_in_doubt
from .checking.file import check_file
from .checking.policy_file import policy_for
from .checking.proposed import Proposed
from .diagnosis.isolation import Isolation
from .diagnosis.isolation import isolate as isolate_restriction
from .diagnosis.reading import Reading, read
from .diagnosis.swings import seconds
from .diagnosis.telling import AFTER, CAME, Told, days_since, one_of
from .documents.blocks import Document
from .documents.profile import Checked, profile_document
from .documents.transfer import transfer_data, transfer_document
from .findings import Finding, Undecided
from .history.baseline import Baseline, find_baseline
from .history.layout import Options
from .history.log import Choice
from .physics.predict import Prediction
from .physics.predict import predict as predict_pressure
from .physics.system import Change
from .policy import Policy
from .profile.load import ProfileFile, load, load_bytes
from .qualify.control import control_of
from .transfer import Transfer
from .transfer import transfer as compare_profiles
from .transfer.control import Control
from .units import Pressure
from .units.conversion import convert as convert_amount
from .units.conversion import convert_exactly

Source: TypeAlias = ProfileFile | str | Path | Mapping[str, Any]
"""A profile: one that was loaded, the path of a file, or its tables as a dictionary."""


def load_profile(source: Source) -> ProfileFile:
    """Read and validate a profile; `.profile` holds its exact values.

    Raises `limitcheck.UnreadableProfile`, whose `findings` say all that is wrong, with places.
    """
    if isinstance(source, ProfileFile):
        return source
    if isinstance(source, Mapping):
        from .profile.write import dump_profile

        return load_bytes(dump_profile(source).encode(), "profile.toml")
    return load(source)


@dataclass(frozen=True)
class CheckedProfile(Checked):
    """A profile with its findings; shown as a report in a notebook."""

    day: date = field(kw_only=True)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Every finding, in report order."""
        return self.report.findings

    @property
    def undecided(self) -> tuple[Undecided, ...]:
        """The checks that lacked what they need, and what to add."""
        return self.report.undecided

    @property
    def holds(self) -> tuple[str, ...]:
        """The checks that were decided and found nothing."""
        return self.report.holds

    @property
    def ok(self) -> bool:
        """Whether no finding is at or above the grade at which the policy fails."""
        return not any(self.policy.fails(finding) for finding in self.findings)

    def to_html(self) -> str:
        """The report as one page; needs `limitcheck[report]`."""
        from .render.html import render

        return render(profile_document([self], self.day))

    def to_pdf(self, paper: str = "a4") -> bytes:
        """The report as PDF/A-2b, on a4 or letter; needs `limitcheck[pdf]`."""
        from .render.pdf import render

        return render(profile_document([self], self.day), paper)

    def _repr_html_(self) -> str | None:
        """The report in a frame of its own; None without Jinja2, then the notebook prints it."""
        from .errors import MissingExtra

        try:
            page = self.to_html()
        except MissingExtra:
            return None
        style = "width: 100%; height: 40rem; border: 1px solid"
        return f'<iframe title="Report" srcdoc="{escape(page)}" style="{style}"></iframe>'


def check(
    source: Source, *, policy: Policy | None = None, today: date | None = None
) -> CheckedProfile:
    """Check a profile, under the policy given or the one nearest to its file.

    `today` decides which acceptances have expired. Raises `limitcheck.UnreadableProfile`.
    """
    file = load_profile(source)
    rules = policy if policy is not None else policy_for(Path(file.path))
    day = today if today is not None else date.today()
    return CheckedProfile(file, check_file(file, rules, day), rules, day=day)


def propose(source: Source, *, policy: Policy | None = None, today: date | None = None) -> Proposed:
    """What to type as the cutoffs of a profile, as `limitcheck propose` gives it.

    `.cutoffs.number("high")` is the recommendation, or None; `.cutoffs.reason("high")` says why
    there is none. Raises `limitcheck.UnreadableProfile`.
    """
    file = load_profile(source)
    rules = policy if policy is not None else policy_for(Path(file.path))
    return Proposed(file, rules, today if today is not None else date.today())


@dataclass(frozen=True)
class TransferRecord:
    """A transfer with its controlled record, as `limitcheck transfer` gives it."""

    found: Transfer
    control: Control

    @property
    def data(self) -> dict[str, Any]:
        """The record as JSON has it, sealed with its hash."""
        return transfer_data(self.found, self.control)

    @property
    def document(self) -> Document:
        """The record to draw."""
        return transfer_document(self.found, self.control)


def transfer(
    sending: Source,
    receiving: Source,
    *,
    made: datetime | None = None,
    qualification: str | None = None,
) -> TransferRecord:
    """Every field of a method on two instruments, ruled, under the policy nearest to each file.

    `made` is the time of the record, with its zone (default: now). Raises
    `limitcheck.UnreadableProfile`, and `limitcheck.LimitcheckError` for a qualification record
    that cannot be used.
    """
    now = made if made is not None else datetime.now().astimezone()
    first, second = load_profile(sending), load_profile(receiving)
    policies = policy_for(Path(first.path)), policy_for(Path(second.path))
    found = compare_profiles(first, second, policies, now.date())
    return TransferRecord(found, control_of(found, now, qualification))


def predict(source: Source, at: Change | None = None) -> Prediction:
    """The pressure [Pa] the method should make, with its interval, points and budget by part.

    `at` changes flow [m^3/s], temperature [K], composition [%] or column [m]. Raises
    `limitcheck.UnreadableProfile`, `limitcheck.CannotPredict`.
    """
    return predict_pressure(load_profile(source).profile, at)


def baseline(
    log: str | Path,
    profile: Source | None = None,
    *,
    options: Options | None = None,
    choice: Choice | None = None,
) -> Baseline:
    """The normal band in a log of past pressures (CSV), with outliers, drift, steps and doubts.

    `options` settles how the log is written, `choice` which rows count and how the band is
    formed. Raises `OSError`, `limitcheck.LogError`, and as `load_profile`.
    """
    known = None if profile is None else load_profile(profile).profile
    if options is None:
        options = Options(unit=known.instrument.pressure_unit if known else None)
    with open(log, "rb") as stream:
        return find_baseline(stream, str(log), options, choice or Choice(), known)


def reading(
    source: Source,
    pressure: str | Pressure,
    at: Change | None = None,
    *,
    swing: str | Pressure | None = None,
    period: float | None = None,
    came: str | None = None,
    since: str | None = None,
    after: str | None = None,
    leak_seen: bool | None = None,
    today: date | None = None,
) -> Reading:
    """A pressure read today against a profile: how far from normal, and the causes that fit.

    `swing` is the highest minus the lowest pressure of a minute, `period` [s] the time from one
    highest to the next. `came`, `since`, `after` and `leak_seen` are the answers that
    `limitcheck reading --help` lists; they move the ranking. Raises `limitcheck.UnreadableProfile`,
    `limitcheck.UnitError`, `limitcheck.LimitcheckError` for an answer that cannot be used.
    """
    day = today if today is not None else date.today()
    told = Told(
        one_of(came, CAME, "came") if came is not None else None,
        days_since(since, day, "since") if since is not None else None,
        one_of(after, AFTER, "after") if after is not None else None,
        leak_seen,
    )
    file = load_profile(source)
    return read(
        file.profile,
        _pressure(pressure),
        at,
        told=told,
        swing=_pressure(swing) if swing is not None else None,
        period=seconds(str(period), "period") if period is not None else None,
        in_doubt=bool(band_in_doubt(file, day)),
    )


def isolate(
    source: Source,
    readings: Mapping[str, str | Pressure],
    *,
    normal: Mapping[str, str | Pressure] | None = None,
    at: Change | None = None,
    today: date | None = None,
) -> Isolation:
    """Which part holds a restriction, from pressures read as the flow path is opened.

    `readings` and `normal` (those of a good day) are by step name, as `limitcheck isolate`
    prints them; without any, the plan. Raises `limitcheck.UnreadableProfile`,
    `limitcheck.UnitError`, `limitcheck.ReadingError` for a reading or step that cannot be used.
    """
    file, day = load_profile(source), today if today is not None else date.today()
    return isolate_restriction(
        file.profile,
        {step: _pressure(value) for step, value in readings.items()},
        normal={step: _pressure(value) for step, value in (normal or {}).items()},
        at=at,
        in_doubt=bool(band_in_doubt(file, day)),
    )


def _pressure(value: str | Pressure) -> Pressure:
    return value if isinstance(value, Pressure) else Pressure.parse(value)


def convert(pressure: str | Pressure, unit: str) -> Fraction:
    """A pressure with its unit, exactly in another; any unit of pressure pint knows.

    Raises `limitcheck.UnitError`.

    >>> convert("6000 psi", "psi"), float(convert("6000 psi", "bar"))
    (Fraction(6000, 1), 413.6854375901017)
    """
    if isinstance(pressure, Pressure):
        return convert_exactly(pressure.to(pressure.unit), pressure.unit, [unit]).results[0].value
    return convert_amount(pressure, [unit]).results[0].value

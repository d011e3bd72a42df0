"""The report on profiles: scale, pressures, findings, prediction, faults, inputs, signature."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import PurePath

from ..charts.gradient import gradient_curve
from ..charts.scale import scale
from ..checking.results import FileReport
from ..limits import percent
from ..physics.faults import Faults
from ..physics.liquid import CannotPredict
from ..physics.predict import Prediction, predict_system
from ..physics.system import System, system
from ..policy import Margins, Policy, margins_for
from ..profile.load import ProfileFile
from ..profile.model import Profile
from ..transfer.record import pressures
from ..units.printing import figure
from .as_text.faults import CAUTION, OUTCOMES, fault_words
from .as_text.prediction import NOT_COVERED
from .blocks import Block, Bullets, Chapter, Document, Facts, Section, Table, Text
from .cautions import IN_A_RECORD, texts
from .findings import findings_section, verdict
from .parts import conditions, inputs, named, pressure_table, signature


@dataclass(frozen=True)
class Checked:
    """A profile with what its checks gave under a policy."""

    file: ProfileFile
    report: FileReport
    policy: Policy

    @property
    def profile(self) -> Profile:
        """The profile in the file."""
        return self.file.profile


@dataclass(frozen=True)
class _Predicted:
    """The prediction of a profile, or why there is none."""

    ready: System | None
    found: Prediction | None
    reason: str

    @classmethod
    def of(cls, profile: Profile) -> _Predicted:
        try:
            ready = system(profile)
            return cls(ready, predict_system(ready), "")
        except CannotPredict as error:
            return cls(None, None, error.message)


def profile_document(checked: Sequence[Checked], day: date) -> Document:
    """The report on one or more profiles."""
    if len(checked) == 1:
        (only,) = checked
        title = f"Pressure limits: {named(only.profile)}"
        summary: tuple[Block, ...] = (Text(verdict(only.report), strong=True),)
        chapters: tuple[Chapter, ...] = (_chapter(only, f"Profile {_name(only)}"),)
    else:
        title = f"Pressure limits of {len(checked)} profiles"
        rows = tuple(
            (
                item.file.path,
                item.profile.method.id,
                item.profile.instrument.id,
                verdict(item.report),
            )
            for item in checked
        )
        summary = (Table("What the checks gave", ("File", "Method", "Instrument", "Result"), rows),)
        chapters = tuple(
            _chapter(item, f"{named(item.profile)} ({_name(item)})") for item in checked
        )
    return Document(title, summary, chapters, tuple(texts(IN_A_RECORD)), day.isoformat())


def _name(item: Checked) -> str:
    return PurePath(item.file.path).name


def _chapter(item: Checked, heading: str) -> Chapter:
    profile = item.profile
    predicted = _Predicted.of(profile)
    sections = [
        Section("Method and instrument", tuple(_identity(profile))),
        Section("Pressures", tuple(_pressures(profile, predicted.found))),
        findings_section(item.report),
        Section("Predicted pressure", tuple(_prediction(profile, predicted))),
        Section("Faults", tuple(_faults(profile))),
        Section("What this report rests on", (inputs([item.file]), _settings(item))),
        signature(),
    ]
    return Chapter(heading, tuple(sections))


def _identity(profile: Profile) -> Iterator[Block]:
    method, instrument = profile.method, profile.instrument
    unit = instrument.pressure_unit
    rows = [
        ("Method", method.id),
        ("Title", method.title),
        ("Revision", method.revision),
        ("Site", method.site),
        ("Instrument", instrument.id),
        ("Pressure shown in", unit),
        (
            "Display step",
            None
            if instrument.display_step is None
            else f"{float(instrument.display_step):g} {unit}",
        ),
        (
            "Largest entry",
            None if instrument.entry_max is None else f"{float(instrument.entry_max):g} {unit}",
        ),
    ]
    yield Facts(tuple((label, value) for label, value in rows if value is not None))
    given = conditions(profile)
    if given is not None:
        yield given


def _pressures(profile: Profile, found: Prediction | None) -> Iterator[Block]:
    yield scale(profile, found)
    rows = [(path, value) for path, value in pressures(profile) if value.value > 0]
    yield pressure_table(rows, profile, "Every pressure of the profile")


def _prediction(profile: Profile, predicted: _Predicted) -> Iterator[Block]:
    found, ready = predicted.found, predicted.ready
    if found is None or ready is None:
        yield Text(f"Not predicted: {predicted.reason}.")
        return
    unit = profile.instrument.pressure_unit
    low, central, high = (figure(p, unit) for p in (found.low, found.central, found.high))
    at = " at the highest point of the run" if len(found.points) > 1 else ""
    yield Text(f"{low} to {high} {unit}{at}, most likely {central} {unit}.", strong=True)
    if len(found.points) > 1:
        yield gradient_curve(profile, ready)
    rows = tuple(
        (
            share.name,
            *(figure(p, unit) for p in (share.low, share.central, share.high)),
            f"{100 * share.central / found.central:.0f} %",
        )
        for share in found.budget
    )
    columns = ("Part", "Low", "Central", "High", "Share")
    yield Table(f"Pressure by part, in {unit}{at}", columns, rows, (1, 2, 3, 4))
    yield Text("The interval rests on:")
    yield Bullets(found.reasons)
    if found.left_out:
        yield Text(f"Left out, no resistance given: {', '.join(found.left_out)}.")
    yield Text(NOT_COVERED)


def _faults(profile: Profile) -> Iterator[Block]:
    found = Faults(profile)
    unit = profile.instrument.pressure_unit
    try:
        normal, effects = found.normal, found.effects
    except CannotPredict as error:
        yield Text(f"No normal pressure to start from: {error.message}.")
        return
    yield Text(
        f"Normal pressure: {figure(normal.low, unit)} to {figure(normal.high, unit)} {unit} "
        f"({normal.basis})."
    )
    rows = tuple(
        (
            fault_words(effect.name),
            effect.description,
            *(figure(p, unit) for p in (effect.low, effect.central, effect.high)),
            OUTCOMES[effect.stopped_by]
            + (f", {effect.certainty}" if effect.certainty in ("usually", "sometimes") else ""),
        )
        for effect in effects
    )
    columns = ("Fault", "What happens", "Low", "Middle", "High", "What stops it")
    yield Table(f"Pressure under each fault, in {unit}", columns, rows, (2, 3, 4))
    yield Table(
        "The smallest fault that these cutoffs see",
        ("Fault", "Seen from"),
        tuple((s.description, _seen(s.earliest, s.latest, s.reason)) for s in found.smallest),
    )
    if found.not_computed:
        rows = tuple((fault_words(item.name), item.reason) for item in found.not_computed)
        yield Table("Faults not worked out", ("Fault", "Why"), rows)
    yield Text(CAUTION)


def _seen(earliest: float | None, latest: float | None, reason: str) -> str:
    if earliest is None or latest is None:
        return f"not seen: {reason}"
    near, far = f"{earliest:.0%}", f"{latest:.0%}"
    return near if near == far else f"{near} to {far}, by where in the normal band it starts"


def _settings(item: Checked) -> Table:
    margins, policy = margins_for(item.profile, item.policy), item.policy
    origin = margins.origin
    rows = [
        ("High cutoff above the expected maximum", margins.high, origin["high"]),
        ("Low cutoff below the expected minimum", margins.low, origin["low"]),
        ("Kept free under the weakest rating", margins.headroom, origin["headroom"]),
        *((label, getattr(margins, name), _from(policy, name)) for label, name in _THRESHOLDS),
    ]
    shown = [(label, percent(value), where) for label, value, where in rows]
    shown += [
        (f"Check {check}", grade.value if grade is not None else "off", policy.source or "")
        for check, grade in policy.severities.items()
    ]
    columns = ("Setting", "Value", "From")
    return Table("Settings used", columns, tuple(shown), (1,))


_THRESHOLDS = (
    ("High cutoff thin under", "high_thin"),
    ("High cutoff wide over", "high_wide"),
    ("Low cutoff thin over", "low_thin"),
    ("Low cutoff wide under", "low_wide"),
)


def _from(policy: Policy, name: str) -> str:
    same = getattr(policy.margins, name) == getattr(Margins(), name)
    return "default" if same or policy.source is None else policy.source

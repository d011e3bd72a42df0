"""The report on profiles: scale, pressures, findings, prediction, faults, inputs, signature."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import PurePath

from ..charts.scale import scale
from ..checking.results import FileReport
from ..limits import percent
from ..physics.faults import Faults
from ..physics.liquid import CannotPredict
from ..physics.predict import Prediction, predict
from ..policy import Margins, Policy, margins_for
from ..profile.load import ProfileFile
from ..profile.model import Profile
from ..transfer.record import pressures
from .blocks import Block, Chapter, Document, Facts, Section, Table, Text
from .cautions import IN_A_RECORD, texts
from .faults import CAUTION, faults_sections, normal_text
from .findings import findings_section, verdict
from .parts import conditions, inputs, named, pressure_table, signature
from .prediction import band_text, prediction_sections


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

    found: Prediction | None
    reason: str

    @classmethod
    def of(cls, profile: Profile) -> _Predicted:
        try:
            return cls(predict(profile), "")
        except CannotPredict as error:
            return cls(None, error.reason)


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
        *_prediction(profile, predicted),
        *_faults(profile),
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


def _prediction(profile: Profile, predicted: _Predicted) -> Iterator[Section]:
    if predicted.found is None:
        yield Section("Predicted pressure", (Text(f"Not predicted: {predicted.reason}."),))
        return
    told = Text(f"{band_text(profile, predicted.found)}.", strong=True)
    yield Section("Predicted pressure", (told,))
    yield from prediction_sections(profile, predicted.found)


def _faults(profile: Profile) -> Iterator[Section]:
    found = Faults(profile)
    try:
        yield Section("Faults", (Text(normal_text(found)), Text(CAUTION)))
        yield from faults_sections(found)
    except CannotPredict as error:
        yield Section("Faults", (Text(f"No normal pressure to start from: {error.reason}."),))


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

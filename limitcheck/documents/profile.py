"""The report on profiles: verdict, what to type and the pressure scale, then why, and the record.

Findings, pressures, prediction, faults, inputs, signature.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from functools import cached_property
from pathlib import PurePath

from ..charts.scale import scale
from ..charts.svg import Drawing
from ..checking.looked import NOTHING_SKIPPED, Looked
from ..checking.results import FileReport
from ..checking.root import shown_text
from ..findings import path_text
from ..physics.faults import Faults
from ..physics.liquid import CannotPredict
from ..physics.predict import Prediction, predict
from ..policy import Policy, settings
from ..profile.load import ProfileFile
from ..profile.model import Profile
from ..transfer.record import pressures
from .blocks import Block, Chapter, Document, Facts, Section, Table, Text
from .cautions import IN_A_RECORD, texts
from .faults import CAUTION, faults_sections, normal_text
from .findings import findings_section, to_type, verdict
from .looked import looked_section, looked_texts
from .parts import cutoffs_to_type, inputs, named, pressure_table, signature, wrong_at
from .prediction import band_text, prediction_sections
from .settings import policy_section, settings_in_words


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

    @cached_property
    def predicted(self) -> Prediction | str:
        """The prediction, or why there is none."""
        try:
            return predict(self.profile)
        except CannotPredict as error:
            return error.message


def profile_document(
    checked: Sequence[Checked | FileReport], day: date, looked: Looked = NOTHING_SKIPPED
) -> Document:
    """The report on a run: profiles with their findings, files not read, and what was skipped."""
    skipped = tuple(looked_texts(looked))
    last = tuple(looked_section(looked))
    rest: tuple[Chapter, ...] = (Chapter("Files", last),) if last else ()
    cautions = tuple(texts(IN_A_RECORD))
    if len(checked) == 1:
        (only,) = checked
        title = f"Pressure limits: {_subject(only)}"
        chapters: tuple[Chapter, ...] = (Chapter(f"Profile {_name(only)}", tuple(_sections(only))),)
        summary = (*_verdict(only), *skipped)
        return Document(title, summary, (*chapters, *rest), cautions, day.isoformat())
    rows = tuple(
        (shown_text(report.name), *_ids(report), verdict(report))
        for report in map(_report, checked)
    )
    table = Table("What the checks gave", ("File", "Method", "Instrument", "Result"), rows)
    chapters = tuple(
        Chapter(
            f"{_subject(item)} ({_name(item)})" if isinstance(item, Checked) else _name(item),
            tuple(_told_whose(item)),
        )
        for item in checked
    )
    title = f"Pressure limits of {len(checked)} profiles"
    return Document(title, (table, *skipped), (*chapters, *rest), cautions, day.isoformat())


def _told_whose(item: Checked | FileReport) -> Iterator[Section]:
    """The sections of one profile of several: each chart says whose it is."""
    of = f"{_subject(item)} ({shown_text(_report(item).name)})"
    for section in (Section("", tuple(_verdict(item))), *_sections(item)):
        drawn = (b._replace(of=of) if isinstance(b, Drawing) else b for b in section.blocks)
        yield section._replace(blocks=tuple(drawn))


def _report(item: Checked | FileReport) -> FileReport:
    return item.report if isinstance(item, Checked) else item


def _name(item: Checked | FileReport) -> str:
    report = _report(item)
    name = PurePath(report.path).name
    return f"{name}, row {report.row}" if report.row else name


def _subject(item: Checked | FileReport) -> str:
    return named(item.profile) if isinstance(item, Checked) else _name(item)


def _ids(report: FileReport) -> tuple[str, str]:
    return report.method or "", report.instrument or ""


def _verdict(item: Checked | FileReport) -> Iterator[Block]:
    """The verdict, then what to type, then the picture."""
    report = _report(item)
    yield Text(f"{_subject(item)}: {verdict(report)}.", strong=True)
    recommended = tuple(map(to_type, report.recommendations))
    for lead, items in (
        ("Type:", [item for item in recommended if item.unit]),
        ("Write in the profile:", [item for item in recommended if not item.unit]),
    ):
        if items:
            yield Text(lead)
            yield from items
    for withheld in report.withheld:
        yield Text(f"Nothing to type for {path_text(withheld.path)}: {withheld.reason}.")
    if isinstance(item, Checked):
        found = item.predicted
        typed = cutoffs_to_type(report.recommendations, item.profile)
        predicted = None if isinstance(found, str) else found
        yield scale(item.profile, predicted, typed=typed, doubt=report.band_doubt)


def _sections(item: Checked | FileReport) -> Iterator[Section]:
    report = _report(item)
    yield findings_section(report)
    yield from policy_section([report.policy])
    if isinstance(item, FileReport):
        return
    profile = item.profile
    record = [
        Section("Method and instrument", tuple(_identity(profile))),
        Section("Pressures", tuple(_pressures(item))),
        *predicted_sections(item),
        *faults_of(item),
        Section("What this report rests on", (inputs([item.file]), _settings(item))),
        signature(),
    ]
    for section in record:
        yield section._replace(in_record=True)


def _identity(profile: Profile) -> Iterator[Block]:
    method, instrument, given = profile.method, profile.instrument, profile.conditions
    unit = instrument.pressure_unit
    yield _facts(
        ("Method", method.id),
        ("Title", method.title),
        ("Revision", method.revision),
        ("Site", method.site),
        ("Instrument", instrument.id),
        ("Pressure shown in", unit),
        ("Display step", _amount(instrument.display_step, unit)),
        ("Largest entry", _amount(instrument.entry_max, unit)),
    )
    if given is None:
        return
    points = [f"{float(p.minute):g} min {float(p.percent_b):g} %" for p in given.gradient or ()]
    yield _facts(
        ("Flow", given.flow),
        ("Column temperature", given.temperature),
        ("Ambient temperature", given.ambient),
        ("Solvent A", given.solvent_a),
        ("Solvent B", given.solvent_b),
        ("Percent B", _amount(given.percent_b, "%")),
        ("Gradient, percent B", ", ".join(points) or None),
        ("Injection volume", given.injection_volume),
    )


def _facts(*rows: tuple[str, object]) -> Facts:
    return Facts(tuple((label, str(value)) for label, value in rows if value is not None))


def _amount(value: Fraction | None, unit: str) -> str | None:
    return None if value is None else f"{float(value):g} {unit}"


def _pressures(item: Checked) -> Iterator[Block]:
    profile = item.profile
    rows = [(path, value) for path, value in pressures(profile) if value.value > 0]
    wrong = wrong_at(item.report.findings)
    yield pressure_table(rows, profile, "Every pressure of the profile", wrong=wrong)


def predicted_sections(item: Checked) -> Iterator[Section]:
    """The pressure the method should make, by part, or why it is not known."""
    found = item.predicted
    if isinstance(found, str):
        yield Section("Predicted pressure", (Text(f"Not predicted: {found}."),))
        return
    told = Text(f"{band_text(item.profile, found)}.", strong=True)
    yield Section("Predicted pressure", (told,))
    yield from prediction_sections(item.profile, found)


def faults_of(item: Checked) -> Iterator[Section]:
    """What each fault would do to the pressure, or why that is not known."""
    found, in_doubt = Faults(item.profile), bool(item.report.band_doubt)
    try:
        yield Section("Faults", (Text(normal_text(found, in_doubt=in_doubt)), Text(CAUTION)))
        yield from faults_sections(found)
    except CannotPredict as error:
        yield Section("Faults", (Text(f"No normal pressure to start from: {error.message}."),))


def _settings(item: Checked) -> Table:
    return settings_in_words("Settings used", settings(item.policy, item.profile))

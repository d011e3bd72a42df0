"""Corrections of typed numbers: which suggestions may be applied, and the text they give.

Only slips of typing are corrected here (`propose --write` sets margins). Nothing is written
by this module. A correction is dropped where it would put the cutoff above a rating, and a
file is left alone where the corrected text does not check out better than it was.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from ..checks.engine import check_file
from ..checks.results import FileReport
from ..checks.which_unit import corrected
from ..findings import Confidence, Finding, KeyPath, Severity, Suggestion
from ..policy import Policy
from ..profile.hardware import under_pressure, weakest
from ..profile.load import ProfileFile, UnreadableProfile, load_bytes
from ..profile.write import SpliceRefused, assign

CORRECTABLE = frozenset(
    {"unit-confusion", "rounded-over-rating", "rule-of-thumb-conversion", "entry-not-storable"}
)


@dataclass(frozen=True, slots=True)
class Fix:
    """A file's text before and after, the values changed, and what a check then finds."""

    path: str
    before: str
    after: str
    changes: tuple[tuple[KeyPath, str, str], ...]
    report: FileReport


class NotFixed(Exception):
    """Why a file that has corrections is left alone."""


def fix(
    file: ProfileFile, report: FileReport, policy: Policy, today: date, *, likely: bool = False
) -> Fix | None:
    """The corrected text of a profile; None where there is nothing to correct.

    With `likely`, suggestions of that confidence are taken, too. Raises NotFixed.
    """
    chosen = tuple(_chosen(file, report.findings, likely=likely))
    if not chosen:
        return None
    _refuse_over_rating(file, chosen)
    return rewrite(file, report, {s.path: _value_text(file, s) for s in chosen}, policy, today)


def rewrite(
    file: ProfileFile,
    report: FileReport,
    values: Mapping[KeyPath, str],
    policy: Policy,
    today: date,
) -> Fix:
    """The text with values replaced or added, checked again; raises NotFixed for new errors."""
    try:
        after = assign(file.text, values)
        again = check_file(load_bytes(after.encode(), file.path), policy, today)
    except (SpliceRefused, UnreadableProfile) as error:
        raise NotFixed(str(error)) from None
    if new := sorted(_open_errors(again) - _open_errors(report)):
        raise NotFixed(f"the correction would bring new errors: {', '.join(new)}")
    changes = tuple((path, _written(file, path), text) for path, text in values.items())
    return Fix(file.path, file.text, after, changes, again)


def _chosen(
    file: ProfileFile, findings: Iterable[Finding], *, likely: bool
) -> Iterator[Suggestion]:
    """Suggestions in report order, the first for each place; values of shared files are not."""
    enough = Confidence.LIKELY if likely else Confidence.CERTAIN
    taken: set[KeyPath] = set()
    for finding in findings:
        if finding.check not in CORRECTABLE or finding.accepted is not None:
            continue
        if finding.confidence.rank > enough.rank or finding.suggestion is None:
            continue
        for suggestion in (finding.suggestion, *finding.also):
            if suggestion.path not in taken and _is_here(file, suggestion.path):
                taken.add(suggestion.path)
                yield suggestion


def _is_here(file: ProfileFile, path: KeyPath) -> bool:
    return file.locate(path).file == file.path and file.source.value_span(path) is not None


def _refuse_over_rating(file: ProfileFile, chosen: tuple[Suggestion, ...]) -> None:
    profile = corrected(file.profile, chosen)
    high, part = profile.cutoffs.high, weakest(under_pressure(profile))
    before = file.profile.cutoffs.high
    if high is None or part is None or before is None:
        return
    if high.value > part.pressure.value and high.value > before.value:
        raise NotFixed(f"the correction would put the high cutoff above the {part.name}'s rating")


def _written(file: ProfileFile, path: KeyPath) -> str:
    span = file.source.value_span(path)
    return "" if span is None else file.text[span.start : span.end]


def _value_text(file: ProfileFile, suggestion: Suggestion) -> str:
    """The new value as it stands in TOML: text where text stood, with its unit."""
    if suggestion.path == ("instrument", "pressure_unit"):
        return f'"{suggestion.enter}"'
    if _written(file, suggestion.path).startswith(('"', "'")):
        return f'"{suggestion.enter} {suggestion.unit}"'
    return suggestion.enter


def _open_errors(report: FileReport) -> set[str]:
    return {
        finding.check
        for finding in report.findings
        if finding.severity is Severity.ERROR and finding.accepted is None
    }

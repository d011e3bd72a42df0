"""A profile's text with what is recommended written into it, value by value, and checked again.

Nothing is written to a file here. A text is refused where a check of it finds anything that was
not found before.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from ..errors import LimitcheckError
from ..findings import Confidence, KeyPath, Recommendation, path_text
from ..policy import NOTHING_ASKED, Policy
from ..profile.load import ProfileFile, load_bytes
from ..profile.text import UnreadableProfile
from ..profile.write import ChangeRefused, assign
from .brought import brought, brought_told
from .file import check_file
from .results import FileReport


@dataclass(frozen=True, slots=True)
class Fix:
    """A file's text before and after, the values changed, and what a check then finds."""

    path: str
    sha256: str
    """Of the file's bytes before."""
    before: str
    after: str
    changes: tuple[tuple[KeyPath, str, str], ...]
    report: FileReport


class NotFixed(LimitcheckError):
    """Why a file that has corrections is left alone."""


def fix(
    file: ProfileFile, report: FileReport, policy: Policy, today: date, *, likely: bool = False
) -> Fix | None:
    """The text with its slips corrected; None where there is nothing that may be written.

    With `likely`, slips of that confidence are corrected, too. Raises NotFixed.
    """
    slips = [item for item in report.recommendations if item.basis != "proposal"]
    chosen = [item for item in slips if item.may_be_written or (likely and _is_likely(item))]
    return rewrite(file, report, chosen, policy, today) if chosen else None


def rewrite(
    file: ProfileFile,
    report: FileReport,
    chosen: Iterable[Recommendation],
    policy: Policy,
    today: date,
) -> Fix:
    """The text with these values in it, checked again; raises NotFixed if anything is worse.

    Whatever a policy turns off or grades down, a correction must not bring it.
    """
    if file.sha256 != report.sha256:
        raise NotFixed("it has changed since it was checked", "run the command again")
    values = {item.path: item.in_place_of(_written(file, item.path)) for item in chosen}
    for path in values:
        if file.locate(path).file != file.path:
            raise NotFixed(
                f"{path_text(path)} stands in {file.locate(path).file}", "correct it there"
            )
    try:
        after = assign(file.text, values)
        corrected = load_bytes(after.encode(), file.path)
    except (ChangeRefused, UnreadableProfile) as error:
        raise NotFixed(str(error), "correct it by hand") from None
    strict = policy._replace(severities={}, command=NOTHING_ASKED)
    before, now = (check_file(each, strict, today).findings for each in (file, corrected))
    if worse := brought(now, before):
        told = f"the correction would bring another finding: {brought_told(worse)}"
        raise NotFixed(told, "correct it by hand")
    changes = tuple((path, _written(file, path), text) for path, text in values.items())
    again = check_file(corrected, policy, today)
    return Fix(file.path, file.sha256, file.text, after, changes, again)


def _is_likely(item: Recommendation) -> bool:
    return item.confidence is Confidence.LIKELY


def _written(file: ProfileFile, path: KeyPath) -> str:
    span = file.source.value_span(path)
    return "" if span is None else file.text[span.start : span.end]

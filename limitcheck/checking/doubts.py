"""Which numbers of a profile are in doubt, so that nothing may be recommended by them."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

from ..checks import CHECKS, check_name
from ..checks.engine import BAND_IN_DOUBT, DOUBTING, Examined, check_profile
from ..findings import Confidence, Finding, KeyPath, path_text
from ..profile.edited import UNIT
from ..profile.load import ProfileFile
from .policy_file import policy_for

HIGH: KeyPath = ("cutoffs", "high")
LOW: KeyPath = ("cutoffs", "low")
CUTOFFS = (HIGH, LOW)


def doubt(examined: Examined) -> str:
    """What proposed cutoffs would rest on that is in doubt; empty where nothing is."""
    loaded = {part.path for part in examined.subject.loaded}
    for finding in examined.doubts:
        for meant in (finding.suggestion, *finding.also):
            if meant is not None:
                return f"{path_text(meant.path)} is in doubt ({finding.check}, turned off)"
    for finding in (*examined.findings, *examined.doubts):
        if finding.accepted is not None:
            continue
        if finding.check in BAND_IN_DOUBT:
            return f"the expected band is in doubt ({finding.check})"
        for doubted in _doubted(finding):
            # The other cutoff does not matter here, nor does a part after the column.
            if doubted not in CUTOFFS and (doubted[0] != "flow_path" or doubted in loaded):
                return f"{path_text(doubted)} is in doubt ({finding.check})"
    return ""


def band_in_doubt(file: ProfileFile, today: date) -> str:
    """What speaks against the expected band of a profile; empty where nothing does.

    Under the policy of its folder, as `limitcheck check` would say it.
    """
    if file.profile.expected is None:
        return ""
    asked = [check for check in CHECKS if check_name(check) in DOUBTING]
    examined = check_profile(file.profile, policy_for(Path(file.path)), today, asked)
    for finding in _against_the_band(examined):
        place = file.place(finding.path)
        return f"[expected] is in doubt ({finding.check}, {place}): {finding.message}"
    return ""


def band_doubt(examined: Examined) -> str:
    """The same in a few words, of a profile that was checked."""
    if examined.subject.profile.expected is None:
        return ""
    return next((finding.check for finding in _against_the_band(examined)), "")


def _against_the_band(examined: Examined) -> Iterator[Finding]:
    """What is open against the expected band, also where its check is turned off."""
    for finding in (*examined.findings, *examined.doubts):
        if finding.check not in DOUBTING:
            continue
        meant = [item.path for item in (finding.suggestion, *finding.also) if item is not None]
        about = [finding.path, *meant, *finding.doubts]
        band = any(path[:1] == ("expected",) or path == UNIT for path in about)
        if finding.accepted is None and (band or finding.check in BAND_IN_DOUBT):
            yield finding


def doubts(examined: Examined) -> frozenset[KeyPath]:
    """Every place whose number is in doubt; both cutoffs where the band or their unit is."""
    open_findings = [f for f in examined.findings if f.accepted is None]
    found = {path for finding in open_findings for path in _doubted(finding)}
    band = any(finding.check in BAND_IN_DOUBT for finding in open_findings)
    return frozenset({*found, *CUTOFFS} if band or UNIT in found else found)


def _doubted(finding: Finding) -> Iterator[KeyPath]:
    """The places whose numbers a finding doubts without saying what they are."""
    if finding.check == "rating-implausible":
        yield finding.path
    meant = [item.path for item in (finding.suggestion, *finding.also) if item is not None]
    if finding.confidence is Confidence.POSSIBLE:
        yield from meant
    if finding.confidence is Confidence.POSSIBLE or not meant:
        yield from finding.doubts

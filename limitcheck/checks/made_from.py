"""A profile and the files that `limitcheck transfer --new` made it from."""

from __future__ import annotations

from ..findings import Finding, KeyPath, Severity
from ..profile.answered import MadeFrom


def source_changed(source: MadeFrom, path: KeyPath, sha256: str, values: str) -> Finding:
    """A file that the profile was made from has other values than on that day.

    Values are compared, those of shared descriptions among them: comments, spacing, the spelling
    of a number, acceptances do not count. Where the file is gone, cannot be read or lies outside
    of the repository, the check is not decided.
    At the bench: the method was changed where it came from, and runs here as it was before; or
    the cutoffs here were proposed for an instrument that has since changed.
    Do: compare the two with limitcheck transfer, carry the change over, then write the hashes
    that the message names: that is the record that somebody looked.
    Source: the files themselves.
    """
    what = source.method if source.gave == "method" else source.instrument
    return Finding(
        Severity.WARNING,
        f"The {source.gave} {what} has other values in {source.path} than on {source.day}, when "
        "this profile was made from it.",
        f'Compare them and carry the change over; then write sha256 = "{sha256}" and '
        f'values = "{values}" here.',
        path,
        data={"sha256": sha256, "values": values},
    )

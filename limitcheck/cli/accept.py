"""`limitcheck accept`: somebody answers for a finding, with a reason and until a day."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from datetime import date

    from ..findings import Finding


def command(
    file: Annotated[str, typer.Argument(metavar="FILE", help="The profile it is found in.")],
    check: Annotated[str, typer.Argument(metavar="CHECK", help="The name of the finding.")],
    reason: Annotated[
        str, typer.Option(metavar="TEXT", help="Why it may stay, as somebody else can judge it.")
    ],
    by: Annotated[str, typer.Option(metavar="NAME", help="Who answers for it.")],
    until: Annotated[
        str | None, typer.Option(metavar="DATE", help="The last day it holds, as in 2027-06-30.")
    ] = None,
    at: Annotated[
        str | None, typer.Option(metavar="PLACE", help="Where, if it is found at several places.")
    ] = None,
    beside: Annotated[
        list[str] | None,
        typer.Option(
            metavar="PATH", help="Profiles or folders that FILE contradicts; may be repeated."
        ),
    ] = None,
) -> int:
    """Answer for a finding: writes an [[accepted]] entry into the profile.

    It holds for the place and the two numbers of today, and lapses when one moves
    the wrong way. An entry for the same finding that lapsed or ended is renewed.
    Exit code: 0 written, 2 nothing fits, or it may not be accepted.

    \b
    Example: limitcheck accept tea.toml part-exposed-downstream
             --reason "relief valve" --by "method owner" --until 2027-06-30
    """
    from datetime import date
    from pathlib import Path

    from ..checking.accepting import accept
    from ..checking.policy_file import policy_for
    from ..checks.acceptances import numbers_text
    from ..profile.atomic import replace_file
    from ..profile.load import load
    from .streams import emit

    today = date.today()
    last = _last_day(until, today)
    policy = policy_for(Path(file))
    profile = load(file)
    found = accept(profile, check, at, (reason, by, last), policy, today, _against(file, beside))
    replace_file(file, found.after.encode("utf-8"), was=profile.sha256)
    ends = f"until {last}" if last else "without a last day"
    emit(
        f"{'Renewed' if found.renewed else 'Accepted'}: {check}\n"
        f"  in {file} at {found.finding.place}\n"
        f"  {numbers_text(found.finding.compared)}\n"
        f"  by {by}, {ends}: {reason}\n"
        "It lapses when one of the numbers moves the wrong way.\n"
    )
    return 0


def _last_day(text: str | None, today: date) -> date | None:
    from datetime import date

    from ..errors import Refused

    if text is None:
        return None
    try:
        last = date.fromisoformat(text)
    except ValueError:
        raise Refused(f'--until "{text}" is not a date', "write as in 2027-06-30") from None
    if last < today:
        raise Refused(f"--until {last} is past", "give a day to come")
    return last


def _against(file: str, beside: list[str] | None) -> list[Finding]:
    """What the file contradicts other files in."""
    from ..checking.contradictions import conflicts
    from ..checking.selection import profiles

    if not beside:
        return []
    files = [found for found, _ in profiles([file, *beside])[0]]
    return list(conflicts(files).get(file, ()))

"""`limitcheck propose`: cutoffs for profiles, shown or written into them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from .options import Format, check_format

if TYPE_CHECKING:
    from datetime import date

    from ..checking.corrections import Fix
    from ..checking.run import PolicyFor
    from ..documents.as_text.proposal import Proposed


def command(
    paths: Annotated[list[str], typer.Argument(metavar="PATH...", help="Profiles or folders.")],
    write: Annotated[
        bool, typer.Option("--write", help="Put the proposed numbers into the files.")
    ] = False,
    diff: Annotated[
        bool, typer.Option("--diff", help="Show what --write changes, as a unified diff.")
    ] = False,
    format: Format = "text",
) -> int:
    """Propose a high and a low cutoff, with what binds them.

    Exit code: 0 every profile has a proposal for both, 1 one has none, or a
    proposal could not be written, 2 a file or argument that cannot be used.

    \b
    Example: limitcheck propose tea.toml --diff
    """
    import json
    from datetime import date
    from pathlib import Path

    from ..checking.file import check_file
    from ..checking.policy_file import policy_for
    from ..documents.as_text.proposal import Proposed, document, render
    from ..limits import propose
    from ..limits.feasible import remedies
    from ..policy import margins_for
    from ..profile.load import load
    from ..profile.text import NotAProfile
    from ..profile.write import CannotWrite, replace_file
    from .fix import diff_text
    from .gather import targets
    from .output import Refused, emit

    check_format(format)
    found: list[Proposed] = []
    today = date.today()
    for target in targets(paths):
        try:
            file = load(target.path, only_profiles=not target.named)
        except NotAProfile:
            continue
        policy = policy_for(Path(target.path))
        margins = margins_for(file.profile, policy)
        report = check_file(file, policy, today, propose=True)
        proposal, helps = propose(file.profile, margins), remedies(file.profile, margins)
        found.append(Proposed(file, report, margins, proposal, helps))
    failed = any(p.proposal.high is None or p.proposal.low is None for p in found)
    if format == "json":
        emit(json.dumps(document(found), indent=1, ensure_ascii=False) + "\n")
    elif not diff:
        emit(render(found))
    for proposed in found if write or diff else ():
        fix = _rewritten(proposed, policy_for, today)
        failed |= fix is None and bool(proposed.report.withheld)
        if fix is None:
            continue
        if write:
            try:
                replace_file(fix.path, fix.after.encode())
            except CannotWrite as error:
                raise Refused(str(error), "check the folder and the permissions") from None
        if diff and format == "text":
            emit(diff_text(fix))
    return int(failed)


def _rewritten(proposed: Proposed, policy_for: PolicyFor, today: date) -> Fix | None:
    """The profile with the proposed numbers; None where nothing changes or it is refused."""
    from pathlib import Path

    from ..checking.corrections import NotFixed, rewrite
    from ..units import Pressure
    from .output import complain

    file, report = proposed.file, proposed.report
    now = file.profile.cutoffs
    typed = {("cutoffs", "high"): now.high, ("cutoffs", "low"): now.low}
    chosen = [
        item
        for item in report.recommendations
        if item.path in typed and typed[item.path] != Pressure.of(item.enter, item.unit)
    ]
    try:
        for item in report.withheld:
            if item.path == ("cutoffs", "high"):
                raise NotFixed(item.reason)
        return rewrite(file, report, chosen, policy_for(Path(file.path)), today) if chosen else None
    except NotFixed as reason:
        complain(f"{file.path}: not changed: {reason}", "correct the profile first")
        return None

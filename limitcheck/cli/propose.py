"""`limitcheck propose`: cutoffs for profiles, shown or written into them."""

from __future__ import annotations

from typing import Annotated

import typer


def command(
    paths: Annotated[list[str], typer.Argument(metavar="PATH...", help="Profiles or folders.")],
    write: Annotated[
        bool, typer.Option("--write", help="Put the proposed numbers into the files.")
    ] = False,
    diff: Annotated[
        bool, typer.Option("--diff", help="Show what --write changes, as a unified diff.")
    ] = False,
    format: Annotated[str, typer.Option(metavar="NAME", help="text or json.")] = "text",
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

    from ..checks.engine import check_file
    from ..fixes import NotFixed, rewrite
    from ..limits import propose
    from ..limits.feasible import remedies
    from ..policy import margins_for
    from ..profile.load import NotAProfile, load
    from ..profile.write import CannotWrite, replace_file
    from ..report.proposal import Proposed, document, render
    from ..settings import policy_for
    from .fix import diff_text
    from .gather import targets
    from .output import Refused, complain, emit

    if format not in ("text", "json"):
        raise Refused(f'there is no format "{format}" here', "write text or json")
    found: list[Proposed] = []
    for target in targets(paths):
        try:
            file = load(target.path, only_profiles=not target.named)
        except NotAProfile:
            continue
        margins = margins_for(file.profile, policy_for(Path(target.path)))
        found.append(
            Proposed(file, margins, propose(file.profile, margins), remedies(file.profile, margins))
        )
    failed = any(p.proposal.high is None or p.proposal.low is None for p in found)
    if format == "json":
        emit(json.dumps(document(found), indent=1, ensure_ascii=False) + "\n")
    elif not diff:
        emit(render(found))
    for proposed in found if write or diff else ():
        file, wanted = proposed.file, proposed.changes
        if not wanted:
            continue
        policy, today = policy_for(Path(file.path)), date.today()
        try:
            fix = rewrite(file, check_file(file, policy, today), wanted, policy, today)
            if write:
                replace_file(file.path, fix.after.encode())
        except NotFixed as reason:
            complain(f"{file.path}: not changed: {reason}", "correct the profile first")
            failed = True
            continue
        except CannotWrite as error:
            raise Refused(str(error), "check the folder and the permissions") from None
        if diff and format == "text":
            emit(diff_text(fix))
    return int(failed)

"""`limitcheck propose`: cutoffs for profiles, shown or written into them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from .options import Format, Output, Paper, Verbose

if TYPE_CHECKING:
    from ..checking.proposed import Proposed


def command(
    paths: Annotated[list[str], typer.Argument(metavar="PATH...", help="Profiles or folders.")],
    write: Annotated[
        bool, typer.Option("--write", help="Put the proposed numbers into the files.")
    ] = False,
    diff: Annotated[
        bool, typer.Option("--diff", help="Show what --write changes, as a patch.")
    ] = False,
    format: Format = "text",
    output: Output = None,
    paper: Paper = "a4",
    verbose: Verbose = False,
) -> int:
    """Propose a high and a low cutoff, with what binds them.

    Exit code: 0 every profile has a proposal for both, 1 one has none, or a
    proposal could not be written, 2 a file or argument that cannot be used.

    \b
    Example: limitcheck propose tea.toml --diff
    """
    from datetime import date

    from ..checking.contradictions import conflicts
    from ..checking.proposed import Proposed
    from ..checking.selection import profiles
    from ..documents.proposal import proposal_data, proposal_document
    from .fix import show_patch
    from .output import asked, show

    wanted, today = asked(format, output, verbose, paper=paper, inputs=paths), date.today()
    files, looked = profiles(paths)
    against = conflicts([file for file, _ in files])
    found = [Proposed(file, policy, today, against.get(file.path, ())) for file, policy in files]
    failed = not all(each.complete for each in found)
    done = [_rewritten(each, write=write) if write or diff else each for each in found]
    failed |= any(each.not_written for each in done)
    shown = done if write else found
    document, data = proposal_document(shown, today, looked), proposal_data(shown, looked)
    show(wanted, document, data, aside=diff)
    for each in done if diff else ():
        if each.written is not None:
            show_patch(each.written.fix)
    return int(failed)


def _rewritten(found: Proposed, *, write: bool) -> Proposed:
    """The profile with the proposed numbers in it, or as it was, with why nothing was written."""
    from ..checking.corrections import NotFixed
    from ..checking.proposed import Proposed, written
    from ..profile.atomic import CannotWrite
    from .output import complain, write_file

    try:
        after = written(found)
        if after is None or after.written is None:
            return found
        if write:
            fix = after.written.fix
            write_file(fix.path, fix.after, was=fix.sha256)
        return after
    except (NotFixed, CannotWrite) as error:
        complain(f"{found.file.path}: not changed: {error.message}", error.advice)
        same = found.file, found.policy, found.today, found.conflicts
        return Proposed(*same, not_written=error.message)

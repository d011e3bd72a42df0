"""`limitcheck propose`: cutoffs for profiles, shown or written into them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from .options import Format, Output, Paper, Verbose

if TYPE_CHECKING:
    from ..checking.corrections import Fix
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

    from ..checking.proposed import Proposed
    from ..checking.run import conflicts
    from ..checking.selection import profiles
    from ..documents.proposal import proposal_data, proposal_document
    from .fix import show_patch
    from .output import asked, show, write_file

    wanted, today = asked(format, output, verbose, paper=paper, inputs=paths), date.today()
    files, looked = profiles(paths)
    against = conflicts([file for file, _ in files])
    found = [Proposed(file, policy, today, against.get(file.path, ())) for file, policy in files]
    failed = not all(each.complete for each in found)
    document, data = proposal_document(found, today, looked), proposal_data(found, looked)
    show(wanted, document, data, aside=diff)
    for each in found if write or diff else ():
        fix = _rewritten(each)
        failed |= fix is None and bool(each.changes)
        if fix is not None and write:
            write_file(fix.path, fix.after, was=fix.sha256)
        if fix is not None and diff:
            show_patch(fix)
    return int(failed)


def _rewritten(found: Proposed) -> Fix | None:
    """The profile with the proposed numbers; None where nothing changes or it is refused."""
    from ..checking.corrections import NotFixed
    from ..checking.proposed import written
    from .output import complain

    try:
        return written(found)
    except NotFixed as error:
        complain(f"{found.file.path}: not changed: {error.message}", error.advice)
        return None

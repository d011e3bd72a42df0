"""`limitcheck report`: profiles with their findings as one page to read, print and sign."""

from __future__ import annotations

from typing import Annotated

import typer


def command(
    profiles: Annotated[list[str], typer.Argument(metavar="PROFILE...", help="The profiles.")],
    output: Annotated[
        str, typer.Option("--output", "-o", metavar="FILE", help="FILE.html or FILE.pdf.")
    ],
) -> int:
    """Write a report on profiles: HTML, or PDF/A-2b, to read, print and sign.

    Exit code: 0 written, 2 a file or argument that cannot be used.

    \b
    Example: limitcheck report tea.toml -o tea.html
    """
    from datetime import date
    from pathlib import Path

    from ..checking.file import check_file
    from ..checking.policy_file import policy_for
    from ..documents.profile import Checked, profile_document
    from ..profile.load import load
    from .pages import page_writer

    write = page_writer(output)
    today = date.today()
    checked = []
    for path in profiles:
        file, policy = load(path), policy_for(Path(path))
        checked.append(Checked(file, check_file(file, policy, today), policy))
    write(profile_document(checked, today))
    return 0

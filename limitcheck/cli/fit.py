"""`limitcheck fit`: which instruments can run which methods, with safe limits."""

from __future__ import annotations

from typing import Annotated

import typer

from .options import check_format


def command(
    methods: Annotated[
        list[str], typer.Argument(metavar="METHOD...", help="Profiles or folders of profiles.")
    ],
    on: Annotated[
        list[str],
        typer.Option(metavar="INSTRUMENT", help="A description or profile; may be repeated."),
    ],
    format: Annotated[str, typer.Option(metavar="NAME", help="text, csv or json.")] = "text",
) -> int:
    """Propose limits for every method on every instrument, or say why there are none.

    The parts between the instrument's first and last column give way to the
    method's own. Exit code: 0 every method fits somewhere, 1 one fits nowhere, 2 a
    file or argument that cannot be used.

    \b
    Example: limitcheck fit methods/ --on hm-lc-07.toml --on hm-lc-11.toml
    """
    import json
    from pathlib import Path

    from ..checking.policy_file import policy_for
    from ..documents.as_text.fit import document, render, render_csv
    from ..policy import margins_for
    from ..profile.instruments import load_instrument
    from ..profile.load import load
    from ..profile.text import NotAProfile
    from ..transfer.fit import Method, fit
    from .gather import targets
    from .output import Refused, emit

    check_format(format, "text", "csv", "json")
    systems = [load_instrument(path) for path in on]
    found = []
    for target in targets(methods):
        try:
            file = load(target.path, only_profiles=not target.named)
        except NotAProfile:
            continue
        found.append(Method(file, margins_for(file.profile, policy_for(Path(target.path)))))
    if not found:
        raise Refused("no profile among these", "name profiles, or folders that hold some")
    rows = tuple(fit(found, systems))
    if format == "json":
        emit(json.dumps(document(rows, systems), indent=1, ensure_ascii=False) + "\n")
    elif format == "csv":
        emit(render_csv(rows, systems))
    else:
        emit(render(rows, systems))
    return 0 if all(any(cell.fits for cell in row.cells) for row in rows) else 1

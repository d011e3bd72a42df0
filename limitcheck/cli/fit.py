"""`limitcheck fit`: which instruments can run which methods, with safe limits."""

from __future__ import annotations

from typing import Annotated

import typer

from .options import Output, Paper, Verbose


def command(
    methods: Annotated[
        list[str], typer.Argument(metavar="METHOD...", help="Profiles or folders of profiles.")
    ],
    on: Annotated[
        list[str],
        typer.Option(metavar="INSTRUMENT", help="A description or profile; may be repeated."),
    ],
    format: Annotated[
        str, typer.Option(metavar="NAME", help="What to print: text, csv, json or markdown.")
    ] = "text",
    output: Output = None,
    paper: Paper = "a4",
    verbose: Verbose = False,
) -> int:
    """Propose limits for every method on every instrument, or say why there are none.

    The parts between the instrument's first and last column give way to the
    method's own. Exit code: 0 every method fits somewhere, 1 one fits nowhere, 2 a
    file or argument that cannot be used.

    \b
    Example: limitcheck fit methods/ --on hm-lc-07.toml --on hm-lc-11.toml
    """
    from datetime import date
    from pathlib import Path

    from ..checking.policy_file import policy_for
    from ..checking.selection import profiles
    from ..documents.fit import fit_csv, fit_data, fit_document
    from ..profile.instruments import load_instrument
    from ..transfer.fit import fit
    from .output import PRINTED, WRITTEN, asked, show

    wanted = asked(
        format, output, verbose, printed=(*PRINTED, "csv"), written=(*WRITTEN, "csv"), paper=paper
    )
    instruments = [(load_instrument(path), policy_for(Path(path))) for path in on]
    found, looked = profiles(methods)
    table = fit([method for method, _ in found], instruments, today := date.today())
    document, data = fit_document(table, today, looked), fit_data(table, looked)
    show(wanted, document, data, csv=fit_csv(table))
    return 0 if table.fitting == len(table.rows) else 1

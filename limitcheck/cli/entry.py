"""`limitcheck entry`: the analyst is about to type a number as a cutoff."""

from __future__ import annotations

from typing import Annotated

import typer

from .options import Format, Output, Paper, Picture, Verbose


def command(
    value: Annotated[
        list[str],
        typer.Argument(
            metavar="VALUE", help="The number as it would be typed; with a unit, in any; or off."
        ),
    ],
    profile: Annotated[
        str | None, typer.Option(metavar="FILE", help="The method's profile.")
    ] = None,
    low: Annotated[bool, typer.Option("--low", help="It is the low cutoff.")] = False,
    unit: Annotated[
        str | None,
        typer.Option(metavar="UNIT", help="What the instrument shows, without a profile."),
    ] = None,
    expected_low: Annotated[
        str | None, typer.Option(metavar="PRESSURE", help="Lowest normal pressure.")
    ] = None,
    expected_high: Annotated[
        str | None, typer.Option(metavar="PRESSURE", help="Highest normal pressure.")
    ] = None,
    rating: Annotated[
        list[str] | None,
        typer.Option(metavar="PRESSURE", help="Rating of a part, pump to column; may be repeated."),
    ] = None,
    format: Format = "text",
    output: Output = None,
    paper: Paper = "a4",
    picture: Picture = None,
    verbose: Verbose = False,
) -> int:
    """May this number be typed as a cutoff? If not, what is?

    Exit code: 0 it may, 1 it should not or that is not decided (check would
    have the same question open), 2 something given cannot be used.

    \b
    Example: limitcheck entry 106 --profile profiles/conventional-400-bar.toml
    Example: limitcheck entry 4061 psi --profile tea.toml
    Example: limitcheck entry 35 --unit bar --expected-low 180 --expected-high 230
             --rating "400 bar"
    """
    from datetime import date
    from pathlib import Path

    from ..checking.entry import Field, ask, described
    from ..checking.policy_file import policy_for
    from ..documents.entry import entry_data, entry_document
    from ..errors import Refused
    from ..profile.load import load
    from .output import asked, show

    wanted, today = (
        asked(format, output, verbose, paper=paper, pictures=picture or ()),
        date.today(),
    )
    if profile is not None and (unit or expected_low or expected_high or rating):
        raise Refused(
            "--profile already says unit, expected pressure and ratings",
            "give either --profile or the others",
        )
    if profile is not None:
        known = load(profile).profile
    else:
        known = described(unit, expected_low, expected_high, rating or [])
    policy = policy_for(Path(profile or "entry"))
    field: Field = "low" if low else "high"
    answer = ask(known, " ".join(value), field, policy, today, only=profile is None)
    show(wanted, entry_document(answer, today), entry_data(answer))
    return 0 if answer.may_be_typed else 1

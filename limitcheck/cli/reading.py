"""`limitcheck reading`: is this pressure normal, and if not, what may cause it?"""

from __future__ import annotations

from typing import Annotated

import typer

from .options import At, Format, Output, Paper, Verbose, together


def command(
    pressure: Annotated[
        list[str],
        typer.Argument(metavar="PRESSURE", help='As read: "286 bar", or 286 in its own unit.'),
    ],
    profile: Annotated[str, typer.Option(metavar="FILE", help="The profile in use.")],
    at: At = None,
    swing: Annotated[
        str | None,
        typer.Option(
            metavar="PRESSURE",
            help="Highest minus lowest within a minute, in the unit of the reading or its own.",
        ),
    ] = None,
    period: Annotated[
        str | None, typer.Option(metavar="SECONDS", help="From one highest to the next.")
    ] = None,
    came: Annotated[
        str | None,
        typer.Option(metavar="HOW", help="suddenly, slowly, at-start-up or at-an-injection."),
    ] = None,
    since: Annotated[
        str | None,
        typer.Option(metavar="TIME", help='As "2 weeks", a date, today, yesterday or always.'),
    ] = None,
    after: Annotated[
        str | None,
        typer.Option(
            metavar="CHANGE",
            help="column change, new batch, new solvent, maintenance, new samples or nothing.",
        ),
    ] = None,
    leak_seen: Annotated[
        bool | None, typer.Option("--leak-seen/--no-leak-seen", help="Is a leak seen?")
    ] = None,
    all_causes: Annotated[
        bool, typer.Option("--all", help="Every cause with its test and source.")
    ] = False,
    output: Output = None,
    paper: Paper = "a4",
    format: Format = "text",
    verbose: Verbose = False,
) -> int:
    """Compare a pressure with the profile: how far from normal, and the likely causes.

    Exit code: 0 normal, 1 not normal, 2 a file or argument that cannot be used. Not normal are
    also a passed cutoff or rating, a leak, and a swing that is larger than expected or can't be
    judged.

    \b
    Example: limitcheck reading "286 bar" --profile tea.toml
    Example: limitcheck reading 286 --profile tea.toml --swing 20 --came suddenly
    Example: limitcheck reading 92 --profile tea.toml --at "flow=0.5 mL/min"
    """
    from datetime import date

    from ..checking import typed
    from ..checking.doubts import band_in_doubt
    from ..checking.typed import parse_change
    from ..diagnosis.reading import read
    from ..diagnosis.swings import seconds
    from ..diagnosis.telling import AFTER, CAME, Told, days_since, one_of
    from ..documents.reading import reading_data, reading_document
    from ..errors import Refused
    from ..physics.liquid import CannotPredict
    from ..profile.load import load
    from .output import asked, show

    wanted = asked(format, output, verbose, paper=paper)
    file, today = load(profile), date.today()
    unit = file.profile.instrument.pressure_unit
    value = typed.pressure(" ".join(pressure), unit, "reading")
    told = Told(
        one_of(came, CAME, "--came") if came is not None else None,
        days_since(since, today, "--since") if since is not None else None,
        one_of(after, AFTER, "--after") if after is not None else None,
        leak_seen,
    )
    seen = typed.pressure(swing, value.unit, "--swing") if swing is not None else None
    if period is not None and seen is None:
        raise Refused("--period has no --swing", "give the swing too, as --swing 20")
    seconds_seen = seconds(period, "--period") if period is not None else None
    change, _ = parse_change(at or ())
    doubt = band_in_doubt(file, today)
    try:
        found = read(
            file.profile, value, change,
            told=told, swing=seen, period=seconds_seen, in_doubt=bool(doubt),
        )  # fmt: skip
    except CannotPredict as error:
        raise Refused(
            f"{file.place(error.at)}: the conditions of --at cannot be worked out: {error.message}",
            f"give {error.advice}, or leave --at out"
            if error.advice
            else "complete [conditions] and the column's geometry, or leave --at out",
        ) from None
    document = reading_document(
        file, found, today, together(at), all_causes=all_causes, doubt=doubt
    )
    show(wanted, document, reading_data(file, found, together(at), doubt=doubt))
    return 0 if found.good else 1

"""`limitcheck baseline`: the normal pressure of a system, from a log of past pressures."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, BinaryIO

import typer

from .options import Format, Output, Paper, Picture, Verbose

if TYPE_CHECKING:
    from ..findings import KeyPath
    from ..history.baseline import Baseline
    from ..history.layout import Options
    from ..history.life import Life
    from ..history.log import Choice
    from ..profile.load import ProfileFile


def command(
    log: Annotated[
        str, typer.Argument(metavar="LOG.csv", help="Past pressures; - for standard input.")
    ],
    profile: Annotated[
        str | None, typer.Option(metavar="FILE", help="The profile the log belongs to.")
    ] = None,
    method: Annotated[
        str | None, typer.Option(metavar="ID", help="Only this method (default: the profile's).")
    ] = None,
    column: Annotated[str | None, typer.Option(metavar="SERIAL", help="Only this column.")] = None,
    since: Annotated[str | None, typer.Option(metavar="DATE", help="Only from then on.")] = None,
    until: Annotated[str | None, typer.Option(metavar="DATE", help="Only up to then.")] = None,
    coverage: Annotated[
        float, typer.Option(help="Share of all readings the band should hold.")
    ] = 0.95,
    confidence: Annotated[float, typer.Option(help="Probability that it does.")] = 0.95,
    interval: Annotated[
        str, typer.Option(metavar="KIND", help="auto, normal or distribution-free.")
    ] = "auto",
    unit: Annotated[
        str | None, typer.Option(metavar="UNIT", help="Of a log that names none.")
    ] = None,
    delimiter: Annotated[
        str | None, typer.Option(metavar="NAME", help="comma, semicolon, tab or bar.")
    ] = None,
    decimal: Annotated[
        str | None, typer.Option(metavar="NAME", help="Decimal sign: point or comma.")
    ] = None,
    dates: Annotated[
        str | None, typer.Option(metavar="ORDER", help="day-first or month-first.")
    ] = None,
    use: Annotated[
        list[str] | None,
        typer.Option(
            metavar="ROLE=NAME",
            help="Column for time, pressure, unit, method, column, phase, flow or injections; may be repeated.",
        ),
    ] = None,
    write: Annotated[
        bool, typer.Option("--write", help="Put the band into the profile as [expected].")
    ] = False,
    worn: Annotated[
        str | None,
        typer.Option(
            metavar="PRESSURE", help="At which the laboratory calls a column worn: when will it be?"
        ),
    ] = None,
    state: Annotated[
        str | None,
        typer.Option(
            metavar="FILE.json", help="Judge the new rows against what was agreed; kept in FILE."
        ),
    ] = None,
    agree: Annotated[
        bool, typer.Option("--agree", help="Agree on the normal of this log, into --state.")
    ] = False,
    by: Annotated[str | None, typer.Option(metavar="NAME", help="Who agrees.")] = None,
    reason: Annotated[str | None, typer.Option(metavar="TEXT", help="Why.")] = None,
    output: Output = None,
    paper: Paper = "a4",
    picture: Picture = None,
    format: Format = "text",
    verbose: Verbose = False,
) -> int:
    """Find the normal pressure band, drift, steps and mixed units in a log.

    The log is a text table with a header: time, pressure, and if you like unit,
    method, column, phase. With --state, later rows are judged against a normal
    that somebody agreed on (--agree), and the charts go on from day to day.
    Exit code: 0 steady, or as agreed; 1 not steady, not as agreed or in doubt;
    2 a file or argument that cannot be used.

    \b
    Example: limitcheck baseline runs.csv --profile tea.toml
    Example: limitcheck baseline runs.csv --profile tea.toml --state tea.json
    """
    from datetime import date, time
    from typing import get_args

    from ..documents.baseline import baseline_data, baseline_document
    from ..errors import Refused
    from ..history.asked import date_of, one_of, options_of
    from ..history.band import Kind
    from ..history.baseline import find_baseline
    from ..history.log import Choice
    from ..profile.load import load
    from .agreement import agree_on, agreed_rows, judged, refuse_half
    from .output import asked, show
    from .streams import reason_of

    wanted = asked(
        format,
        output,
        verbose,
        paper=paper,
        inputs=[log],
        others=[("--state", state)] if state is not None else [],
        pictures=picture or (),
    )
    if write and profile is None:
        raise Refused("--write without a profile to write to", "name it with --profile")
    refuse_half(state, agree, by, reason, profile, write)
    for option, share in (("coverage", coverage), ("confidence", confidence)):
        if not 0.5 <= share <= 0.9999:
            raise Refused(f"--{option} {share:g}", "write a share from 0.5 to 0.9999, as in 0.95")
    choice = Choice(
        method=method,
        column=column,
        since=date_of(since, "--since", time.min),
        until=date_of(until, "--until", time.max),
        coverage=coverage,
        confidence=confidence,
        interval=one_of("--interval", interval, get_args(Kind)),
    )
    file = load(profile) if profile is not None else None
    own = file.profile.instrument.pressure_unit if file is not None else None
    options = options_of(unit, own, delimiter, decimal, dates, use or [])
    name = "standard input" if log == "-" else log
    try:
        with _open(log) as stream:
            if state is not None and file is not None and not agree:
                if since or until or worn or coverage != 0.95 or confidence != 0.95:
                    raise Refused(
                        "--since, --until, --worn, --coverage or --confidence beside --state",
                        "rows are judged in the order they come: leave them out, or --state",
                    )
                return judged(stream, name, options, choice, file, state, wanted)
            found = find_baseline(stream, name, options, choice, file.profile if file else None)
            rows = agreed_rows(stream, name, options, choice, found) if agree else ""
            lives = _lives(stream, name, options, choice, file, found.unit, worn)
    except OSError as error:
        raise Refused(
            f"{name}: cannot be read: {reason_of(error)}", "check the name and the permissions"
        ) from None
    document = baseline_document(found, file, date.today(), lives)
    show(wanted, document, baseline_data(found, file, lives))
    if write and file is not None:
        _write(file, found)
    if state is not None and file is not None:
        agree_on(file, found, state, by or "", reason or "", rows)
    return 0 if found.steady else 1


def _lives(
    stream: BinaryIO,
    name: str,
    options: Options,
    choice: Choice,
    file: ProfileFile | None,
    unit: str,
    worn: str | None,
) -> tuple[Life, ...]:
    """The life of each column, where --worn asks for it; raises Refused."""
    if worn is None:
        return ()
    from ..checking import typed
    from ..errors import Refused
    from ..history.life import find_lives
    from ..profile.hardware import under_pressure, weakest

    pressure = typed.pressure(worn, unit, "--worn")
    if pressure.value <= 0:
        raise Refused(f"--worn {worn} is not above zero", "write the pressure of a worn column")
    profile = file.profile if file is not None else None
    weak = weakest(under_pressure(profile)) if profile is not None else None
    if weak is not None and pressure > weak.pressure:
        raise Refused(
            f"--worn {pressure} is above what the {weak.name} holds, {weak.pressure}",
            "a column is worn before anything breaks: write a lower pressure",
        )
    return find_lives(stream, name, options, choice, profile, float(pressure.to(unit)))


def _open(log: str) -> BinaryIO:
    """The log as a seekable stream; standard input as far as it is read."""
    import sys
    from io import BufferedReader

    from ..errors import Refused
    from ..profile.text import NotRegular, open_regular
    from .streams import Piped

    if log == "-":
        return BufferedReader(Piped(sys.stdin.buffer))
    try:
        return open_regular(log)
    except (NotRegular, IsADirectoryError):
        raise Refused(
            f"{log}: not a regular file", "name a text file, or - for standard input"
        ) from None


def _write(file: ProfileFile, found: Baseline) -> None:
    """Put the band into the profile; every other byte stays."""
    from ..documents.baseline import stretch_options, why_not_steady
    from ..errors import Refused
    from ..profile.atomic import CannotWrite, replace_file
    from ..profile.load import load_bytes
    from ..profile.write import ChangeRefused, assign
    from .output import complain

    nothing = f"{file.path}: nothing written"
    if found.expected is None:
        raise Refused(f"{nothing}: too few readings", "log more runs first")
    if not found.steady:
        why = why_not_steady(found)
        advice = "log steady runs first, one method and one column"
        if (part := found.stretch) is not None:
            advice = (
                f"a steady part: {stretch_options(part)}; was the pressure right then? or log "
                "steady runs first"
            )
        complain(f"{nothing}: {why}", advice)
        return
    band = found.expected
    changes: dict[KeyPath, str] = {
        ("expected", "low"): band.low.number,
        ("expected", "high"): band.high.number,
        ("expected", "basis"): '"measured"',
    }
    try:
        content = assign(file.text, changes).encode()
        load_bytes(content, file.path)
        replace_file(file.path, content, was=file.sha256)
    except (ChangeRefused, CannotWrite) as error:
        raise Refused(f"{nothing}: {error}", "edit [expected] by hand") from None
    complain(f"{file.path}: [expected] is now {band}, measured.")

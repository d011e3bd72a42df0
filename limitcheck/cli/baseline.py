"""`limitcheck baseline`: the normal pressure of a system, from a log of past pressures."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, BinaryIO

import typer

from .options import Format, Pages, check_format

if TYPE_CHECKING:
    from datetime import datetime

    from ..findings import KeyPath
    from ..history.layout import Options
    from ..history.normal import Baseline, Choice
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
    confidence: Annotated[float, typer.Option(help="How surely it should.")] = 0.95,
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
            help="Column for time, pressure, unit, method, column or phase; may be repeated.",
        ),
    ] = None,
    write: Annotated[
        bool, typer.Option("--write", help="Put the band into the profile as [expected].")
    ] = False,
    output: Pages = None,
    format: Format = "text",
) -> int:
    """Find the normal pressure band, drift, steps and mixed units in a log.

    The log is a text table with a header: time, pressure, and if you like unit,
    method, column, phase. Exit code: 0 steady, 1 not steady or in doubt,
    2 a file or argument that cannot be used.

    \b
    Example: limitcheck baseline runs.csv --profile tea.toml
    """
    import json
    from datetime import date

    from ..documents.as_text.baseline import document, render
    from ..documents.readings import baseline_page
    from ..history.baseline import find_baseline
    from ..history.lines import LogError
    from ..profile.load import load
    from .output import Refused, emit
    from .pages import page_writers

    check_format(format)
    if write and profile is None:
        raise Refused("--write without a profile to write to", "name it with --profile")
    pages = page_writers(output or [])
    choice = _choice(method, column, since, until, coverage, confidence, interval)
    file = load(profile) if profile is not None else None
    own = file.profile.instrument.pressure_unit if file is not None else None
    options = _options(unit, own, delimiter, decimal, dates, use or [])
    name = "standard input" if log == "-" else log
    try:
        with _open(log) as stream:
            found = find_baseline(stream, name, options, choice, file.profile if file else None)
    except LogError as error:
        raise Refused(str(error), error.advice) from None
    except OSError as error:
        raise Refused(
            f"{name}: cannot be read: {error.strerror}", "check the name and the permissions"
        ) from None
    if format == "json":
        emit(json.dumps(document(found), indent=1, ensure_ascii=False) + "\n")
    else:
        emit(render(found))
    for write_page in pages:
        write_page(baseline_page(found, file, date.today().isoformat()))
    if write and file is not None:
        _write(file, found)
    return 0 if found.steady else 1


def _open(log: str) -> BinaryIO:
    """The log as a seekable stream; standard input is copied to a temporary file."""
    import os
    import shutil
    import stat
    import sys
    import tempfile

    from .output import Refused

    if log == "-":
        copy = tempfile.TemporaryFile()  # noqa: SIM115 - the caller closes it
        shutil.copyfileobj(sys.stdin.buffer, copy)
        return copy
    descriptor = os.open(
        log, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    )
    if not stat.S_ISREG(os.fstat(descriptor).st_mode):
        os.close(descriptor)
        raise Refused(f"{log}: not a regular file", "name a text file, or - for standard input")
    return os.fdopen(descriptor, "rb")


def _choice(
    method: str | None,
    column: str | None,
    since: str | None,
    until: str | None,
    coverage: float,
    confidence: float,
    interval: str,
) -> Choice:
    from ..history.normal import Choice
    from .output import Refused

    for name, value in (("coverage", coverage), ("confidence", confidence)):
        if not 0.5 <= value <= 0.9999:
            raise Refused(f"--{name} {value:g}", "write a share from 0.5 to 0.9999, as in 0.95")
    if interval not in ("auto", "normal", "distribution-free"):
        raise Refused(f'--interval "{interval}"', "write auto, normal or distribution-free")
    return Choice(
        method=method,
        column=column,
        since=_date(since, "--since"),
        until=_date(until, "--until", end=True),
        coverage=coverage,
        confidence=confidence,
        interval=interval,  # type: ignore[arg-type]
    )


def _date(text: str | None, option: str, *, end: bool = False) -> datetime | None:
    """A date; without a time of day its start, or its end where it is the last one."""
    from datetime import date, datetime, time

    from .output import Refused

    if text is None:
        return None
    try:
        if len(text) <= 10:
            return datetime.combine(date.fromisoformat(text), time.max if end else time.min)
        return datetime.fromisoformat(text)
    except ValueError:
        raise Refused(f'{option} "{text}" is not a date', "write as in 2026-03-09") from None


def _options(
    unit: str | None,
    own: str | None,
    delimiter: str | None,
    decimal: str | None,
    dates: str | None,
    use: list[str],
) -> Options:
    from ..history.cells import DateOrder, DecimalSign
    from ..history.layout import ROLES, Options
    from ..units import Pressure, UnitError, find_unit
    from .output import Refused

    names = {"comma": ",", "semicolon": ";", "tab": "\t", "bar": "|"}
    columns = {}
    for text in use:
        role, equals, name = text.partition("=")
        if not equals or role not in ROLES or not name.strip():
            raise Refused(
                f'--use "{text}"', f'write as in time="Run date"; roles: {", ".join(ROLES)}'
            )
        columns[role] = name
    try:
        known = find_unit(unit, Pressure) if unit is not None else own
    except UnitError as error:
        raise Refused(f"--unit: {error.message}", error.advice) from None
    for option, value, allowed in (
        ("--delimiter", delimiter, list(names)),
        ("--decimal", decimal, [sign.value for sign in DecimalSign]),
        ("--dates", dates, [order.value for order in DateOrder]),
    ):
        if value is not None and value not in allowed:
            raise Refused(f'{option} "{value}"', f"write {' or '.join(allowed)}")
    return Options(
        delimiter=names[delimiter] if delimiter is not None else None,
        decimal=DecimalSign(decimal) if decimal is not None else None,
        dates=DateOrder(dates) if dates is not None else None,
        unit=known,
        unit_from="by --unit" if unit is not None else "the log names none: the instrument's",
        columns=columns,
    )


def _write(file: ProfileFile, found: Baseline) -> None:
    """Put the band into the profile; every other byte stays."""
    from ..profile.load import load_bytes
    from ..profile.write import CannotWrite, ChangeRefused, assign, replace_file
    from .output import Refused, complain

    if found.expected is None:
        raise Refused(f"{file.path}: nothing written: too few readings", "log more runs first")
    if found.doubts:
        raise Refused(
            f"{file.path}: nothing written: {found.doubts[0]}", "correct the log, then run again"
        )
    band = found.expected
    changes: dict[KeyPath, str] = {
        ("expected", "low"): band.low,
        ("expected", "high"): band.high,
        ("expected", "basis"): '"measured"',
    }
    try:
        content = assign(file.text, changes).encode()
        load_bytes(content, file.path)
        replace_file(file.path, content)
    except (ChangeRefused, CannotWrite) as error:
        raise Refused(f"{file.path}: nothing written: {error}", "edit [expected] by hand") from None
    complain(f"{file.path}: [expected] is now {band.low} to {band.high} {band.unit}, measured.")

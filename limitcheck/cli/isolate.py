"""`limitcheck isolate`: where a restriction sits, by opening the flow path step by step."""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Annotated

import typer

from .options import At, Format, Output, Paper, Verbose, together

if TYPE_CHECKING:
    from ..diagnosis.isolation import Isolation
    from ..profile.model import Profile
    from ..units import Pressure


def command(
    profile: Annotated[str, typer.Argument(metavar="PROFILE", help="The profile in use.")],
    reading: Annotated[
        list[str] | None,
        typer.Option(metavar="STEP=VALUE", help="A pressure read; may be repeated."),
    ] = None,
    normal: Annotated[
        list[str] | None,
        typer.Option(metavar="STEP=VALUE", help="The same step on a good day; may be repeated."),
    ] = None,
    file: Annotated[
        str | None,
        typer.Option(metavar="FILE.toml", help="[readings] and [normal] tables: step = value."),
    ] = None,
    ask: Annotated[bool, typer.Option("--ask", help="Ask for the readings one at a time.")] = False,
    at: At = None,
    output: Output = None,
    paper: Paper = "a4",
    format: Format = "text",
    verbose: Verbose = False,
) -> int:
    """Find the blocked part: print the steps, take the readings, name the part.

    Without readings the plan is printed, with the normal pressure after each
    step. A step to be read again is given as STEP-again, then STEP-third. A
    gradient method is read at its starting composition, or at the one given by
    --at. Exit code: 0 done, 2 a file or argument that cannot be used.

    \b
    Example: limitcheck isolate tea.toml
    Example: limitcheck isolate t.toml --reading all=286 --reading column-inlet=14
    """
    from datetime import date

    from ..checking import typed
    from ..checking.doubts import band_in_doubt
    from ..checking.typed import parse_change
    from ..diagnosis.isolation import isolate
    from ..documents.isolation import isolation_data, isolation_document
    from ..profile.load import load
    from .output import asked, show

    wanted = asked(format, output, verbose, paper=paper)
    loaded = load(profile)
    unit = loaded.profile.instrument.pressure_unit
    readings, good = _from_file(file, unit) if file is not None else ({}, {})
    readings |= typed.steps(reading or [], unit, "--reading")
    good |= typed.steps(normal or [], unit, "--normal")
    change, _ = parse_change(at or ())
    doubt = band_in_doubt(loaded, date.today())
    known = partial(isolate, loaded.profile, normal=good, at=change, in_doubt=bool(doubt))
    if ask:
        readings = _asked(loaded.profile, readings, known)
    found = known(readings)
    document = isolation_document(loaded, found, date.today(), together(at), doubt=doubt)
    show(wanted, document, isolation_data(loaded, found, together(at), doubt=doubt))
    return 0


def _asked(
    profile: Profile, readings: dict[str, Pressure], known: Callable[..., Isolation]
) -> dict[str, Pressure]:
    """Ask for each step that has no reading; an empty answer skips it, q ends.

    So does a reading after which nothing may be opened: what to do is said with the answer.
    """
    from ..checking import typed
    from ..documents.cautions import CAUTIONS
    from ..documents.isolation import action_text, first_text, normal_text
    from ..errors import LimitcheckError
    from ..render.lines import wrap
    from .output import complain
    from .streams import ask, emit
    from .terminal import width_of

    unit, width = profile.instrument.pressure_unit, width_of(sys.stdout)
    begun = known(readings)
    waiting = [] if begun.open_nothing else list(begun.plan)
    first, caution = begun.first, CAUTIONS["zero-pressure"]
    emit("\n".join(wrap(caution, "  ", "    ", width=width)) + "\n")
    skipped: set[str] = set()
    while waiting:
        step = waiting.pop(0)
        if step.reading is not None or step.name in skipped:
            continue
        usual = normal_text(step, unit, begun.basis)
        told = f"{step.name}: {action_text(step)} Normal: {usual}"
        emit("\n".join(wrap(told, "  ", "    ", width=width)) + "\n")
        while True:
            emit(f"    read, in {unit} (Enter: skip, q: end): ")
            answer = ask()
            if answer.strip().lower() == "q" or not answer:
                emit("\n")
                return readings
            if not answer.strip():
                skipped.add(step.name)
                break
            try:
                given = {**readings, step.name: typed.pressure(answer, unit, step.name)}
                found = known(given)
            except LimitcheckError as error:  # also a pressure that no pump of this rating makes
                complain(error.message, error.advice)
                continue
            readings = given
            if found.open_nothing:  # met at once; what is read next is read at another flow
                return readings
            if found.first is not None and found.first != first:
                first = found.first
                emit("\n".join(wrap(first_text(first), "  ", "    ", width=width)) + "\n")
            break
        if not waiting:  # what to read again is known only now
            waiting = [step for step in known(readings).repeat if step.name not in skipped]
    return readings


def _from_file(path: str, unit: str) -> tuple[dict[str, Pressure], dict[str, Pressure]]:
    """The [readings] and [normal] tables of a file; raises Refused, UnreadableProfile."""
    from ..checking import typed
    from ..errors import Refused
    from ..profile.text import read_text

    own = read_text(path)

    def place(*keys: str) -> str:
        at = own.locate(keys)
        return f"{path}:{at.line}:{at.column}"

    advice = "write [readings] with lines such as column-inlet = 14, and [normal] likewise"
    found: dict[str, dict[str, Pressure]] = {"readings": {}, "normal": {}}
    for name, table in own.data.items():
        if name not in found or not isinstance(table, dict):
            raise Refused(f"{place(name)}: {name} is not a table of readings", advice)
        for step, value in table.items():
            if isinstance(value, (dict, list, bool)):
                raise Refused(f"{place(name, step)}: {name}.{step} is not a pressure", advice)
            what, number = f"{place(name, step)}: {step}", not isinstance(value, str)
            found[name][step] = typed.pressure(str(value), unit, what, decimal_point=number)
    if not any(found.values()):
        raise Refused(f"{path}: no readings in it", advice)
    return found["readings"], found["normal"]

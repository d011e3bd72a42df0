"""`limitcheck predict`: the pressure a method should make on its flow path."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Annotated, Any

import typer

from .options import Format, Output, Paper, Picture, Verbose, together

if TYPE_CHECKING:
    from ..documents.blocks import Document
    from ..physics.system import Change
    from ..profile.load import ProfileFile
    from ..units import Quantity


def command(
    profile: Annotated[str, typer.Argument(metavar="PROFILE", help="A profile.")],
    at: Annotated[
        list[str] | None,
        typer.Option(
            metavar="KEY=VALUE,...",
            help="Another condition: flow, temperature, ambient, percent-b, length, "
            "particle-size; may be repeated.",
        ),
    ] = None,
    calibrate: Annotated[
        str | None,
        typer.Option(
            metavar="PRESSURE", help="A pressure read at the pump: print the column's certificate."
        ),
    ] = None,
    format: Format = "text",
    output: Output = None,
    paper: Paper = "a4",
    picture: Picture = None,
    verbose: Verbose = False,
) -> int:
    """Predict the pressure from solvents, column and tubing, with its interval.

    \b
    Example: limitcheck predict tea.toml --at "flow=1.2 mL/min,ambient=25 degC"
    Example: limitcheck predict tea.toml --calibrate "152 bar"
    """
    from ..checking.typed import parse_change
    from ..errors import Refused
    from ..physics.liquid import CannotPredict
    from ..profile.load import load
    from .output import asked, show

    wanted = asked(format, output, verbose, pictures=picture or (), paper=paper)
    file = load(profile)
    change, typed = parse_change(at or ())
    try:
        if calibrate is None:
            document, data = _predicted(file, change, together(at))
        else:
            document, data = _calibrated(file, calibrate, change, typed)
    except CannotPredict as error:
        what = (
            "pressure cannot be predicted" if calibrate is None else "column cannot be calibrated"
        )
        raise Refused(
            f"{file.place(error.at)}: the {what}: {error.message}",
            "correct or complete [conditions], the part in [[flow_path]], or the option",
        ) from None
    show(wanted, document, data)
    return 0


def _predicted(
    file: ProfileFile, change: Change, at: str | None
) -> tuple[Document, dict[str, Any]]:
    from datetime import date

    from ..checking.doubts import band_in_doubt
    from ..documents.prediction import prediction_data, prediction_document
    from ..physics.predict import predict

    found, today = predict(file.profile, change), date.today()
    doubt = band_in_doubt(file, today)
    document = prediction_document(file, found, at, today, doubt=doubt)
    return document, prediction_data(file, found, at, doubt=doubt)


def _calibrated(
    file: ProfileFile, text: str, change: Change, typed: Mapping[str, Quantity]
) -> tuple[Document, dict[str, Any]]:
    from datetime import date

    from ..checking.typed import pressure
    from ..documents.prediction import calibration_data, calibration_document, certificate
    from ..errors import Refused
    from ..physics.calibrate import calibrate
    from ..physics.system import system

    if change.column_length is not None or change.particle_size is not None:
        raise Refused(
            "--calibrate with another column in --at", "change the column in the profile itself"
        )
    reading = pressure(text, file.profile.instrument.pressure_unit, "--calibrate")
    found = calibrate(file.profile, float(reading), change)
    line = certificate(file.profile, found, reading.unit, typed, system(file.profile, change))
    document = calibration_document(file, reading, found, line, date.today())
    return document, calibration_data(file, reading, found, line)

"""`limitcheck predict`: the pressure a method should make on its flow path."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from .options import Format, check_format

if TYPE_CHECKING:
    from ..physics.calibrate import Calibration
    from ..physics.system import Change, System
    from ..profile.model import Profile
    from ..units import Pressure, Quantity


def command(
    profile: Annotated[str, typer.Argument(metavar="PROFILE", help="A profile.")],
    at: Annotated[
        str | None,
        typer.Option(
            metavar="KEY=VALUE,...",
            help="Another condition: flow, temperature, ambient, percent-b, length, particle-size.",
        ),
    ] = None,
    calibrate: Annotated[
        str | None,
        typer.Option(
            metavar="PRESSURE", help="A pressure read at the pump: print the column's certificate."
        ),
    ] = None,
    format: Format = "text",
) -> int:
    """Predict the pressure from solvents, column and tubing, with its interval.

    \b
    Example: limitcheck predict tea.toml --at "flow=1.2 mL/min,ambient=25 degC"
    Example: limitcheck predict tea.toml --calibrate "152 bar"
    """
    from ..physics.liquid import CannotPredict
    from ..profile.load import load
    from .output import Refused, emit

    check_format(format)
    file = load(profile)
    change, typed = parse_change(at)
    try:
        if calibrate is None:
            text = _predicted(file.profile, change, at, format)
        else:
            text = _calibrated(file.profile, calibrate, change, typed, format)
    except CannotPredict as error:
        what = (
            "pressure cannot be predicted" if calibrate is None else "column cannot be calibrated"
        )
        raise Refused(
            f"{file.path}: the {what}: {error.message}",
            "correct or complete [conditions], the part in [[flow_path]], or the option",
        ) from None
    emit(text)
    return 0


def _predicted(profile: Profile, change: Change, at: str | None, format: str) -> str:
    from ..documents.as_text.prediction import document, render
    from ..physics.predict import predict_system
    from ..physics.system import system

    ready = system(profile, change)
    prediction = predict_system(ready)
    if format == "json":
        return _json(document(profile, prediction, ready, at))
    return render(profile, prediction, ready, at)


def parse_change(text: str | None) -> tuple[Change, dict[str, Quantity]]:
    """The change in ``--at``, and its quantities as typed, by key; raises Refused."""
    from ..physics.system import Change
    from .output import Refused
    from .typed import CONDITIONS, condition

    values: dict[str, float] = {}
    typed: dict[str, Quantity] = {}
    for item in text.split(",") if text is not None else ():
        key, equals, value = (piece.strip() for piece in item.partition("="))
        if not equals or key not in CONDITIONS:
            raise Refused(
                f'--at: "{item.strip()}" is not a condition',
                f'write as in "flow=1.2 mL/min,percent-b=40"; keys: {", ".join(CONDITIONS)}',
            )
        if key in typed:
            raise Refused(f"--at: {key} is given twice", "give each condition once")
        values[CONDITIONS[key]], typed[key] = condition(key, value, f"--at {key}")
    return Change(**values), typed


def _calibrated(
    profile: Profile, text: str, change: Change, typed: dict[str, Quantity], format: str
) -> str:
    from ..physics.calibrate import calibrate
    from ..physics.system import system
    from ..units import Pressure, UnitError
    from .output import Refused

    if change.column_length is not None or change.particle_size is not None:
        raise Refused(
            "--calibrate with another column in --at", "change the column in the profile itself"
        )
    try:
        reading = Pressure.parse(text)
    except UnitError as error:
        raise Refused(f"--calibrate: {error.message}", error.advice) from None
    found = calibrate(profile, float(reading), change)
    line = certificate(profile, found, reading.unit, typed, system(profile, change))
    if format == "json":
        return _json(_calibration_document(profile, reading, found, line))
    return _calibration_text(reading, found, line)


def certificate(
    profile: Profile, found: Calibration, unit: str, typed: dict[str, Quantity], ready: System
) -> str:
    """The line to paste into the column's [[flow_path]] table."""
    from ..units.printing import digits, in_unit

    conditions = profile.conditions
    assert conditions is not None  # calibrate refused a profile without
    temperature = typed.get("temperature") or conditions.temperature or conditions.ambient
    fields = [
        f'pressure = "{digits(in_unit(found.pressure, unit), 6)} {unit}"',
        f'flow = "{typed.get("flow") or conditions.flow}"',
        f'temperature = "{temperature}"',
    ]
    for key, name in (("solvent_a", ready.solvent_a), ("solvent_b", ready.solvent_b)):
        if name is not None:
            fields.append(f'{key} = "{name.strip().casefold()}"')
    fields.append(f"percent_b = {found.percent_b:.10g}")
    return f"certificate = {{{', '.join(fields)}}}"


def _calibration_text(reading: Pressure, found: Calibration, line: str) -> str:
    from math import exp

    from ..physics.resistance import bed_error
    from ..units.printing import figure

    unit = reading.unit
    below, above = bed_error()
    doubt = (
        ""
        if exp(-below) <= found.factor <= exp(above)
        else f"That is outside {exp(-below):.2f} to {exp(above):.2f}: check particle size, flow "
        "and solvents first.\n"
    )
    return (
        f"{reading} at the pump, {found.percent_b:g} % B: the other parts take "
        f"{figure(found.others, unit)} {unit},\n"
        f"the column {figure(found.pressure, unit)} {unit}, "
        f"{found.factor:.2f} times what was assumed of it.\n"
        f"{doubt}"
        "Only for a clean column in normal work: a blockage would become the new normal.\n"
        "Paste under the column, on one line:\n\n"
        f"{line}\n"
    )


def _calibration_document(
    profile: Profile, reading: Pressure, found: Calibration, line: str
) -> dict[str, Any]:
    from ..version import __version__

    return {
        "format": 1,
        "tool": {"name": "limitcheck", "version": __version__},
        "method": profile.method.id,
        "instrument": profile.instrument.id,
        "reading_pa": float(reading),
        "column_pa": found.pressure,
        "others_pa": found.others,
        "percent_b": found.percent_b,
        "factor": found.factor,
        "certificate": line,
    }


def _json(document: dict[str, Any]) -> str:
    import json

    return json.dumps(document, indent=1, ensure_ascii=False) + "\n"

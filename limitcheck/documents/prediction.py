"""A predicted pressure, and a column's calibration, as documents and as plain data."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from datetime import date
from functools import partial
from math import exp
from typing import Any

from ..charts.gradient import gradient_curve
from ..checking.band import band_of
from ..physics.calibrate import Calibration
from ..physics.constants import celsius
from ..physics.course import MIXED, Course, course, course_ends
from ..physics.flow_path import MEASURED_ERROR
from ..physics.over_course import is_gentle, over_course
from ..physics.predict import Prediction
from ..physics.system import System
from ..profile.load import ProfileFile
from ..profile.model import Profile
from ..units import COMMON_UNITS, Pressure, Quantity, percent
from ..units.printing import as_read, digits, figures, in_unit
from .blocks import Block, Bullets, Document, Section, Table, Text, ToType
from .data import frame, plain_data, predicted_data, pressure_data, profile_data
from .measured import measured_data, measured_sections
from .parts import answer, band_not_used, named, stated_temperatures

NOT_COVERED = "Not covered: dissolved sample, age and dirt of the column."


def prediction_document(
    file: ProfileFile, prediction: Prediction, changes: str | None, day: date, *, doubt: str
) -> Document:
    """The prediction with its interval and budget; `changes` says what differs from the profile.

    `doubt` is what speaks against the band of the profile, here and below.
    """
    profile = file.profile
    title = f"Predicted pressure of {named(profile)}"
    under = _conditions(profile, prediction, changes)
    told = [f"{title}: {band_text(profile, prediction)}.", under]
    columns = [part for part in profile.flow_path if part.part == "column"]
    if changes is not None and len(columns) > 1 and re.search("length|particle", changes):
        told.append(f"What is changed of a column is changed of the {columns[0].name}.")
    band = band_of(profile, doubt=doubt)
    if doubt:
        told.append(band_not_used(doubt))
    elif band is not None and changes is None:
        why = f", {band.why_not}" if not band.normal and band.basis != "predicted" else ""
        told.append(f"The profile expects {band.low} to {band.high} ({band.basis}){why}.")
    summary = [Text(text, strong=text is told[0]) for text in told]
    sections = (
        *prediction_sections(profile, prediction),
        Section("In each unit", (_every_unit(prediction, profile),), in_record=True),
    )
    return answer(title, summary, sections, [file], day, cautions=("who-decides",))


def band_text(profile: Profile, prediction: Prediction) -> str:
    """The interval and the most likely pressure, at the highest point of a gradient."""
    unit, run = profile.instrument.pressure_unit, _run(profile, prediction)
    top = run.highest
    low, central, high = (as_read(p, unit) for p in (top.low, top.central, top.high))
    told = f"{low} to {high} {unit}, most likely {central} {unit}{_but(profile, prediction)}"
    if len(prediction.points) == 1:
        return told
    lowest = as_read(run.lowest.central, unit)
    return (
        f"{told}, at the highest point of the run ({digits(top.minute)} min, "
        f"{figures(top.percent_b)} % B at the column inlet); most likely {lowest} {unit} at the "
        f"lowest{_mixed(profile, prediction, run)}"
    )


def _mixed(profile: Profile, prediction: Prediction, run: Course | Prediction) -> str:
    """What the course leaves open: a hold at the end, and mixing."""
    unit, end, told = profile.instrument.pressure_unit, prediction.points[-1], ""
    if end.central > MIXED * run.highest.central:
        held = f"up to {as_read(end.central, unit)} {unit} where its last composition is held"
        told = f". It still rises at the end of the programme: {held}"
    lowest, highest = zip(*course_ends(profile, prediction), strict=True)
    moved = [
        f"the {name} {as_read(min(ends), unit)} to {as_read(max(ends), unit)} {unit}"
        for name, ends in (("highest", highest), ("lowest", lowest))
        if max(ends) > MIXED * min(ends)
    ]
    if moved:
        told += f". Mixing on the way to the column may make {' and '.join(moved)}"
    return told


def _run(profile: Profile, prediction: Prediction) -> Course | Prediction:
    """The course of a gradient as the column sees it; else the prediction itself."""
    if len(prediction.points) == 1:
        return prediction
    return course(profile, prediction.ready)


def _but(profile: Profile, prediction: Prediction) -> str:
    """What the first sentence may not leave out: parts that add any pressure, pairs not used."""
    known = {segment.place for segment in prediction.ready.path.segments}
    unknown = [
        part.name
        for place, part in enumerate(profile.flow_path)
        if part.part == "restrictor" and place not in known
    ]
    told = f", without what the {unknown[0]} adds, which is not known" if unknown else ""
    fit = prediction.ready.path.fit
    if fit is not None and fit.unused:
        told += ", by geometry alone: the measured pairs are not used"
    return told


def prediction_sections(profile: Profile, prediction: Prediction) -> Iterator[Section]:
    """The course of a gradient, the pressure by part, and what the interval rests on."""
    reasons = prediction.reasons
    throughout = ""
    if len(prediction.points) > 1:
        run = course(profile, prediction.ready)
        yield Section("Over the run", (gradient_curve(profile, run),))
        reasons = (*reasons, run.told)
        throughout = f", at {figures(prediction.highest.percent_b)} % B throughout"
        over = over_course(profile, prediction)[1]
        if not over.held and not is_gentle(over):
            throughout += ", which never fills the column whole"
    unit = profile.instrument.pressure_unit
    rows = tuple(
        (
            share.name,
            *(as_read(p, unit) for p in (share.low, share.central, share.high)),
            percent(share.central / prediction.central),
        )
        for share in prediction.budget
    )
    blocks: list[Block] = [
        Table("", ("Part", "Low", "Central", "High", "Share"), rows, (1, 2, 3, 4))
    ]
    if prediction.left_out:
        left_out = ", ".join(prediction.left_out)
        blocks.append(Text(f"Left out, no resistance given: {left_out}."))
    yield Section(f"Pressure by part, in {unit}{throughout}", tuple(blocks))
    yield from measured_sections(profile, prediction)
    yield Section("What the interval rests on", (Bullets((*reasons, NOT_COVERED)),))


def _conditions(profile: Profile, prediction: Prediction, changes: str | None) -> str:
    ready, conditions = prediction.ready, profile.conditions
    flows = [conditions.flow.to("mL/min")] if conditions and conditions.flow else []
    degrees = stated_temperatures(profile)
    shares = [conditions.percent_b] if conditions and conditions.percent_b is not None else []
    state = ready.state
    solvents = " + ".join(name for name in (ready.solvent_a, ready.solvent_b) if name)
    run = (
        f"gradient over {digits(ready.programme[-1][0])} min"
        if len(ready.programme) > 1
        else f"{figures(prediction.highest.percent_b, 4, typed=shares)} % B"
    )
    changed = f" (changed here: {changes})" if changes else ""
    hot, cold = (figures(celsius(k), 4, typed=degrees) for k in (state.hot, state.cold))
    return (
        f"At {figures(state.flow * 6e7, typed=flows)} mL/min, column "
        f"{hot} degC, elsewhere {cold} degC, {solvents}, {run}{changed}."
    )


def _every_unit(prediction: Prediction, profile: Profile) -> Table:
    units = tuple(dict.fromkeys((profile.instrument.pressure_unit, *COMMON_UNITS)))
    run = _run(profile, prediction)
    top = run.highest
    found = {"low": top.low, "central": top.central, "high": top.high}
    if len(prediction.points) > 1:
        found["central, lowest of the run"] = run.lowest.central
    rows = tuple((name, *(as_read(p, unit) for unit in units)) for name, p in found.items())
    return Table("", ("Predicted", *units), rows, tuple(range(1, len(units) + 1)))


def prediction_data(
    file: ProfileFile, prediction: Prediction, changes: str | None, *, doubt: str
) -> dict[str, Any]:
    """The prediction as plain data; `parts`, counted from 1, is at one composition."""
    ready, band = prediction.ready, band_of(file.profile, doubt=doubt)
    shape = partial(predicted_data, unit=file.profile.instrument.pressure_unit)
    points = plain_data(prediction.points, shape, ("minute", "percent_b"))
    run = _run(file.profile, prediction)
    highest, lowest = plain_data((run.highest, run.lowest), shape, ("minute", "percent_b"))
    return frame(
        profile=profile_data(file),
        conditions={
            "flow": _amount(ready.state.flow * 6e7, "mL/min"),
            "temperature": _amount(celsius(ready.state.hot), "degC"),
            "ambient": _amount(celsius(ready.state.cold), "degC"),
            "ambient_known": ready.state.cold_known,
            "solvent_a": ready.solvent_a,
            "solvent_b": ready.solvent_b,
            "changed": changes,
        },
        predicted={end: highest[end] for end in ("low", "central", "high")},
        highest=highest,
        lowest=lowest,
        course=None
        if not isinstance(run, Course)
        else {
            "delay": None if run.delay is None else float(f"{run.delay:.4g}"),
            "transit": None if run.transit is None else float(f"{run.transit:.4g}"),
            "told": run.told,
        },
        points=points,
        parts=[
            {
                "part": share.place + 1,
                "name": share.name,
                **{end: shape(getattr(share, end)) for end in ("low", "central", "high")},
                "share": float(f"{share.central / prediction.central:.4g}"),
            }
            for share in prediction.budget
        ],
        left_out=list(prediction.left_out),
        rests_on=list(prediction.reasons),
        measured=measured_data(file.profile, prediction),
        extrapolated=prediction.extrapolated,
        band_in_doubt=doubt or None,
        expected=band
        and {
            "low": pressure_data(band.low),
            "high": pressure_data(band.high),
            "basis": band.basis,
            "why_not_normal": doubt or band.why_not or None,
        },
    )


def _amount(value: float, unit: str) -> dict[str, str]:
    return {"value": f"{value:.6g}", "unit": unit}


def certificate(
    profile: Profile, found: Calibration, unit: str, typed: Mapping[str, Quantity], ready: System
) -> str:
    """The line of the column's [[flow_path]] table; `typed` are the conditions it was read at."""
    conditions = profile.conditions
    assert conditions is not None  # nothing is calibrated without
    temperature = typed.get("temperature") or conditions.temperature or conditions.ambient
    fields = [
        f'pressure = "{digits(in_unit(found.pressure, unit), 6)} {unit}"',
        f'flow = "{typed.get("flow") or conditions.flow}"',
        f'temperature = "{temperature}"',
    ]
    for key, name in (("solvent_a", ready.solvent_a), ("solvent_b", ready.solvent_b)):
        if name is not None:
            fields.append(f'{key} = "{name.strip()}"')
    fields.append(f"percent_b = {found.percent_b:.10g}")
    return f"certificate = {{{', '.join(fields)}}}"


def calibration_document(
    file: ProfileFile, reading: Pressure, found: Calibration, line: str, day: date
) -> Document:
    """The column's certificate, to paste into the profile, with what it comes of."""
    unit = reading.unit
    title = f"Certificate of the column of {named(file.profile)}"
    below, above = exp(found.below), exp(found.above)
    doubt = Text(
        f"The column takes {found.factor:.2f} times what was assumed of it, outside "
        f"{1 / below:.2f} to {above:.2f}: check particle size, flow and solvents first."
    )
    usual = 1 / below <= found.factor <= above
    key, _, value = line.partition(" = ")
    least, most = found.others - found.others_low, found.others_high - found.others
    unsure = Text(
        f"How much the other parts take is not well known, {as_read(found.others_low, unit)} to "
        f"{as_read(found.others_high, unit)} {unit}: the column may take "
        f"{as_read(max(found.pressure - most, 0.0), unit)} to "
        f"{as_read(found.pressure + least, unit)} {unit}. A certificate is trusted to "
        f"{percent(MEASURED_ERROR)}. Read the pressure with a union in place of the column too, "
        "and give both as [[measured]]."
    )
    known = max(least, most) <= MEASURED_ERROR * found.pressure
    throughout, why = found.throughout, f"{reading} at the pump"
    if throughout is None:
        why += f", {found.percent_b:g} % B: the other parts take"
    else:
        why += (
            f" as the highest pressure of the gradient. At {found.percent_b:g} % B throughout the "
            f"flow path makes {as_read(throughout, unit)} {unit} with such a column; in the run "
            "the other parts take"
        )
    summary = (
        Text(f"{title}. Paste it under the column, on one line:", strong=True),
        ToType(key, value),
        *(() if usual else (doubt,)),
        *(() if known else (unsure,)),
        Text("Only for a clean column in normal work: a blockage would become the new normal."),
    )
    why += (
        f" {as_read(found.others, unit)} {unit}, the column"
        f"{'' if throughout is None else ' at that composition'} "
        f"{as_read(found.pressure, unit)} {unit}, "
        f"{found.factor:.2f} times what was assumed of it."
    )
    sections = (Section("Why", (Text(why),)),)
    return answer(title, summary, sections, [file], day, cautions=("who-decides",))


def calibration_data(
    file: ProfileFile, reading: Pressure, found: Calibration, line: str
) -> dict[str, Any]:
    """The column's certificate and what it comes of as plain data."""
    return frame(
        profile=profile_data(file),
        reading=pressure_data(reading),
        column=predicted_data(found.pressure, reading.unit),
        other_parts=predicted_data(found.others, reading.unit),
        other_parts_low=predicted_data(found.others_low, reading.unit),
        other_parts_high=predicted_data(found.others_high, reading.unit),
        percent_b=found.percent_b,
        factor=found.factor,
        certificate=line,
    )

"""One pressure and its causes: the document, and the data for JSON."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from typing import Any

from ..diagnosis.advice import confirmation
from ..diagnosis.causes import Cause
from ..diagnosis.reading import Reading
from ..profile.load import ProfileFile
from ..units import percent, show
from ..units.printing import as_read
from .blocks import Bullets, Document, Section, Table, Text
from .cautions import IN_A_RECORD, READING_A_PRESSURE, texts
from .data import frame, predicted_data, pressure_data, profile_data
from .faults import fault_words, not_worked_out
from .parts import answer, capital, named


def reading_document(
    file: ProfileFile, reading: Reading, day: date, changes: str | None = None
) -> Document:
    """How far from normal, what to look at, and why; `changes` says at which other conditions."""
    about = named(file.profile)
    shown = show(reading.pressure, reading.unit) + (f" at {changes}" if changes else "")
    return answer(
        f"{about}: {shown}",
        (Text(f"{shown} {_verdict(reading, about)}", strong=True), Bullets(reading.cutoffs)),
        _sections(reading),
        [file],
        day,
        cautions=IN_A_RECORD if reading.position == "normal" else READING_A_PRESSURE,
    )


def _verdict(reading: Reading, about: str) -> str:
    """How far from normal the reading is, as the end of a sentence."""
    normal, unit = reading.normal, reading.unit
    if normal is None:
        return f"can't be judged: no normal pressure is known of {about}; {reading.no_normal}."
    band = f"{as_read(normal.low, unit)} to {as_read(normal.high, unit)} {unit} ({normal.basis})"
    if reading.position == "normal":
        return f"is normal for {about}: {band}."
    off = f"{as_read(abs(reading.off_by), unit)} {unit} ({percent(abs(reading.off_share))})"
    return f"is {off} {reading.position} for {about}: {band}."


def _sections(reading: Reading) -> Iterator[Section]:
    """What to look at, what is not known, and all causes for the record."""
    if reading.position == "normal":
        names = ", ".join(fault_words(c.name) for c in reading.causes if c.fit == "fits")
        if names:
            yield Section("", (Text(f"These faults also give a normal pressure: {names}."),))
    elif reading.causes:
        yield Section("What to look at", tuple(_what_to_look_at(reading)))
    yield from not_worked_out(reading.not_computed)
    if reading.causes:
        rows = tuple(
            (
                fault_words(cause.name),
                cause.description,
                "any" if cause.any_size else _band(cause, reading.unit),
                "fits best" if cause.alike else cause.fit,
                confirmation(cause.name)[1],
            )
            for cause in reading.causes
        )
        columns = ("Cause", "What", "Pressure", "Fit", "Cheapest test")
        caption = "The best fit first; of those that fit alike, the cheapest test"
        yield Section("All causes", (Table(caption, columns, rows),), in_record=True)


def _what_to_look_at(reading: Reading) -> Iterator[Table]:
    """The tests that tell the causes apart, the likeliest causes first."""
    fitting = [cause for cause in reading.causes if cause.fit == "fits"]
    alike = [cause for cause in fitting if cause.alike]
    one, several = "Fits best", "Cheapest first: pressure alone can't tell these causes apart"
    for caption, causes in (
        (one if len(alike) == 1 else several, alike),
        ("Fits too, less well", [cause for cause in fitting if not cause.alike]),
        ("Nearly fits", [cause for cause in reading.causes if cause.fit == "near"]),
    ):
        if causes:
            rows = tuple(_tests(causes, reading.unit))
            yield Table(caption, ("What to do", "It may be"), rows)


def _tests(causes: Iterable[Cause], unit: str) -> Iterator[tuple[str, str]]:
    """Each test once, with the causes it would confirm."""
    by_test: dict[str, list[str]] = {}
    for cause in causes:
        band = "" if cause.any_size else f" ({_band(cause, unit)})"
        told = f"{fault_words(cause.name)}{band}: {cause.description}"
        by_test.setdefault(confirmation(cause.name)[1], []).append(told)
    return ((capital(test), "; or ".join(found)) for test, found in by_test.items())


def _band(cause: Cause, unit: str) -> str:
    return f"{as_read(cause.low, unit)} to {as_read(cause.high, unit)} {unit}"


def reading_data(file: ProfileFile, reading: Reading, changes: str | None = None) -> dict[str, Any]:
    """The reading for JSON."""
    unit, normal = reading.unit, reading.normal
    return frame(
        profile=profile_data(file),
        changed=changes,
        pressure=pressure_data(reading.pressure),
        position=reading.position,
        normal=None
        if normal is None
        else {
            "low": predicted_data(normal.low, unit),
            "high": predicted_data(normal.high, unit),
            "basis": normal.basis,
        },
        no_normal=reading.no_normal,
        off_by=predicted_data(reading.off_by, unit) if normal else None,
        off_share=float(f"{reading.off_share:.6g}") if normal else None,
        cutoffs=list(reading.cutoffs),
        causes=[
            {
                "name": cause.name,
                "description": cause.description,
                "low": predicted_data(cause.low, unit),
                "high": predicted_data(cause.high, unit),
                "any_size": cause.any_size,
                "fit": cause.fit,
                "alike": cause.alike,
                "test": confirmation(cause.name)[1],
                "confused_with": list(reading.confused_with(cause)),
            }
            for cause in reading.causes
        ],
        not_computed=[missing._asdict() for missing in reading.not_computed],
        cautions=texts(READING_A_PRESSURE),
    )

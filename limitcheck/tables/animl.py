"""What to type at each instrument as AnIML: the analytical information markup language of ASTM
subcommittee E13.15, an open standard; its core, version 0.90.

Nothing was run yet, so a row is a `Template` of a step: its `Method` names the instrument as its
device, and has the pressures as parameters of a category, each with its unit, defined in SI units.
The core has no technique that says what a cutoff is: the names are ours, and readers go by them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from fractions import Fraction
from typing import NamedTuple
from xml.etree import ElementTree

from ..checking.root import shown_text
from ..units import Pressure, plain_or_rounded
from ..version import __version__
from .to_type import OFF, SheetRow, as_typed

NAMESPACE = "urn:org:astm:animl:schema:core:draft:0.90"
_DIGITS = 15
"""What a number of 64 bits keeps."""
_VALUES = {"String": "S", "Float64": "D", "Boolean": "Boolean"}
"""By type of a parameter: the element that has its value."""
NOT_IN_IT = (
    "AnIML has no place for what a cutoff rests on: parts and their ratings, conditions, measured "
    "pairs, margins and acceptances are not in this file; the JSON of limitcheck export has them."
)
"""On every row: what is lost."""


class _Said(NamedTuple):
    """A parameter: its name, type and value, and the unit of a pressure."""

    name: str
    type: str
    value: str
    unit: str = ""


def animl_text(rows: Iterable[SheetRow], day: date, caution: str) -> str:
    """The rows as one document; a row that may not be typed has no numbers, and why."""
    root = ElementTree.Element("AnIML", {"xmlns": NAMESPACE, "version": "0.90"})
    steps = ElementTree.SubElement(root, "ExperimentStepSet")
    for number, row in enumerate(rows, 1):
        instrument = row.report.instrument or "not known"
        place = {"sourceDataLocation": shown_text(row.report.path)}
        name = {"name": _clean(f"{row.method} on {instrument}"), "templateID": f"row-{number}"}
        template = ElementTree.SubElement(steps, "Template", name | {"id": f"t{number}"} | place)
        method = ElementTree.SubElement(template, "Method", {"name": _clean(row.method)})
        device = ElementTree.SubElement(method, "Device")
        for tag in ("DeviceIdentifier", "Name"):
            ElementTree.SubElement(device, tag).text = _clean(instrument)
        category = ElementTree.SubElement(method, "Category", {"name": "Pressure cutoffs"})
        for said in _parameters(row, day, caution):
            _add(category, said)
    ElementTree.indent(root)
    made = ElementTree.tostring(root, encoding="unicode")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{made}\n'


def _parameters(row: SheetRow, day: date, caution: str) -> Iterator[_Said]:
    profile, report = row.profile, row.report
    yield _Said("May be typed", "Boolean", "true" if row.may_be_typed else "false")
    for why in row.why_not:
        yield _Said("Why nothing is to be typed", "String", why)
    if profile is not None and row.may_be_typed:
        for end, pressure in (("High", profile.cutoffs.high), ("Low", profile.cutoffs.low)):
            typed = as_typed(pressure)
            if pressure is not None and typed != OFF:
                yield _number(f"{end} cutoff", pressure)
            yield _Said(f"{end} cutoff to type", "String", typed)
        yield _Said("Unit that the instrument shows", "String", profile.instrument.pressure_unit)
        band = row.band
        if band is not None and band.normal:
            yield _number("Normal pressure from", band.low)
            yield _number("Normal pressure to", band.high)
        elif band is not None:
            yield _Said("Normal pressure", "String", row.normal)
    for note in row.notes:
        yield _Said("Note", "String", note)
    yield _Said("SHA-256", "String", report.sha256 or "not known")
    yield _Said("Checked on", "String", day.isoformat())
    yield _Said("Checked with", "String", f"limitcheck {__version__}")
    yield _Said("Caution", "String", caution)
    yield _Said("Not in this file", "String", NOT_IN_IT)


def _number(name: str, pressure: Pressure) -> _Said:
    number = plain_or_rounded(pressure.to(pressure.unit), _DIGITS)
    return _Said(name, "Float64", number, pressure.unit)


def _add(category: ElementTree.Element, said: _Said) -> None:
    kind = {"name": said.name, "parameterType": said.type}
    parameter = ElementTree.SubElement(category, "Parameter", kind)
    ElementTree.SubElement(parameter, _VALUES[said.type]).text = _clean(said.value)
    if not said.unit:
        return
    labels = {"label": said.unit, "quantity": "pressure"}
    unit = ElementTree.SubElement(parameter, "Unit", labels)
    pascals = plain_or_rounded(Fraction(Pressure.of(1, said.unit).value), _DIGITS)
    for symbol, exponent, factor in (("kg", 1, pascals), ("m", -1, "1"), ("s", -2, "1")):
        power = {"factor": factor, "exponent": str(exponent)}
        ElementTree.SubElement(unit, "SIUnit", power).text = symbol


def _clean(text: str) -> str:
    """The text without what XML cannot hold."""
    return "".join(letter if letter.isprintable() else " " for letter in text)

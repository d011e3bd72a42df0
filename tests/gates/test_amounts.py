"""Every physical number of the format outside what is usual: a finding on its line, never silence.

Ranges: common practice, no source; the critical point of water, 373.946 degC, is IAPWS R2-83.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any, NamedTuple, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limitcheck.checks import Subject
from limitcheck.checks.usual_amounts import amount_implausible
from limitcheck.checks.which_number import geometry_implausible
from limitcheck.cli.app import run
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.profile.amounts import RANGES, Range, unusual_amounts
from limitcheck.profile.model import Profile
from limitcheck.profile.table import FormatTable
from limitcheck.units import QUANTITIES, Quantity, Temperature, Volume

from ..transfer.changed import changed

Capture = pytest.CaptureFixture[str]
ERROR, WARNING, SILENT = "error", "warning", ""


class Amount(NamedTuple):
    """A value put into the profile, the grade of the finding on it, and words it says."""

    place: str
    value: Any
    grade: str
    says: str = ""
    base: str = "gradient"


def minutes(*ends: float | str) -> list[dict[str, Any]]:
    return [{"minute": Decimal(end), "percent_b": 5 + i} for i, end in enumerate(map(str, ends))]


def at_flow(flow: str, rating: str = "390 bar") -> list[dict[str, str]]:
    return [{"flow": flow, "rating": rating}]


def hot(temperature: str, rating: str = "300 bar") -> list[dict[str, str]]:
    return [{"temperature": temperature, "rating": rating}]


def drop(pressure: str, flow: str = "1 mL/min", **more: str) -> dict[str, str]:
    return {"pressure": pressure, "flow": flow, **more}


AMOUNTS = [
    Amount("conditions.temperature", "350 degC", ERROR, "350 K or 350 degF would be usual"),
    Amount("conditions.temperature", "308 degC", ERROR, "308 K or 308 degF would be usual"),
    Amount("conditions.temperature", "250 degC", WARNING, "usual is 0 to 200 degC"),
    Amount("conditions.temperature", "35 K", ERROR, "35 degC or 35 degF would be usual"),
    Amount("conditions.temperature", "-5 degC", WARNING),
    Amount("conditions.temperature", "180 degC", SILENT),
    Amount("conditions.temperature", "4 degC", SILENT),
    Amount("conditions.temperature", "95 degF", SILENT),
    Amount("conditions.ambient", "293 degC", ERROR, "293 K would be usual"),
    Amount("conditions.ambient", "68 degC", WARNING, "68 degF would be usual"),
    Amount("conditions.ambient", "70 degF", SILENT),
    Amount("conditions.injection_volume", "10 mL", WARNING, "10 mL into 2490 uL"),
    Amount("conditions.injection_volume", "20 L", ERROR, "20 uL or 20 mL or 20 nL"),
    Amount("conditions.injection_volume", "20 mL", WARNING, "into the empty column"),
    Amount("conditions.injection_volume", "0.1 nL", WARNING, "0.1 uL or 0.1 mL"),
    Amount("conditions.injection_volume", "5 nL", SILENT),
    Amount("conditions.injection_volume", "1 mL", SILENT),
    Amount("conditions.injection_minute", 19, ERROR, "within the gradient"),
    Amount("conditions.injection_minute", 2, SILENT),
    Amount("conditions.gradient", minutes(0, 1800), WARNING, "1800 seconds"),
    Amount("conditions.gradient", minutes(0, 86400), ERROR, "86400 seconds"),
    Amount("conditions.gradient", minutes(0, 0.5), SILENT),
    Amount("conditions.gradient", minutes(0, 0.05), WARNING, "0.05 hours"),
    Amount("conditions.gradient", minutes(0, 0), ERROR, "not possible"),
    Amount("conditions.gradient", minutes(0, 720), SILENT),
    Amount("conditions.percent_b", Decimal("0.18"), WARNING, "18 %", "isocratic"),
    Amount("conditions.percent_b", 0, SILENT, "", "isocratic"),
    Amount("conditions.percent_b", 1, SILENT, "", "isocratic"),
    Amount("instrument.dwell_volume", "2.0 L", ERROR, "2.0 uL or 2.0 mL"),
    Amount("instrument.dwell_volume", "100 mL", WARNING, "100 uL"),
    Amount("instrument.dwell_volume", "1.0 uL", WARNING, "over the flow"),
    Amount("instrument.dwell_volume", "0.01 uL", WARNING, "0.01 mL or 0.01 L"),
    Amount("instrument.dwell_volume", "0.04 mL", SILENT),
    Amount("instrument.dwell_volume", "20 mL", SILENT),
    Amount("instrument.display_step", 50, WARNING, "0.001 to 10 bar"),
    Amount("instrument.display_step", 250, ERROR, "250 kPa would be usual"),
    Amount("instrument.display_step", Decimal("0.1"), SILENT),
    Amount("instrument.entry_max", 8000, WARNING, "8000 psi"),
    Amount("instrument.entry_max", 40000, ERROR, "40000 psi"),
    Amount("column.certificate", drop("9000 bar"), ERROR, "9000 psi"),
    Amount("column.certificate", drop("9000 psi"), SILENT),
    Amount("column.certificate", drop("88 bar", "1 uL/min"), WARNING, "through 4.6 mm"),
    Amount("column.certificate", drop("88 bar", "1 L/min"), WARNING, "through 4.6 mm"),
    Amount("column.certificate", drop("88 bar", "20000 L/min"), ERROR, "20000 uL/min"),
    Amount("column.certificate", drop("88 bar", temperature="298 degC"), ERROR, "298 K"),
    Amount("column.certificate", drop("88 bar", temperature="25 degC"), SILENT),
    Amount("pump.resistance_at", drop("0.001 bar"), WARNING, "0.001 MPa"),
    Amount("pump.resistance_at", drop("2 bar"), SILENT),
    Amount("injector.rating_at_flow", at_flow("0.5 nL/min"), SILENT),
    Amount("injector.rating_at_flow", at_flow("0.1 nL/min"), WARNING, "0.1 mL/min"),
    Amount("injector.rating_at_flow", at_flow("5 mL/min", "2 bar"), WARNING, "2 MPa"),
    Amount("injector.rating_at_flow", at_flow("5 mL/min"), SILENT),
    Amount("column.rating_at_temperature", hot("333 degC"), WARNING, "333 K"),
    Amount("column.rating_at_temperature", hot("633 degC"), ERROR, "not possible"),
    Amount("column.rating_at_temperature", hot("60 degC", "0.4 bar"), WARNING, "0.4 MPa"),
    Amount("column.rating_at_temperature", hot("60 degC"), SILENT),
    Amount("column.plate_number", 12, WARNING, "100 to 1000000"),
    Amount("column.plate_number", 12000, SILENT),
    Amount("column.permeability", "8e-14 m2", SILENT),
    Amount("column.permeability", "0.08 m2", ERROR, "0.08 um2"),
    Amount("column.permeability", "8e-14 cm2", ERROR),
    Amount("tubing.coil_diameter", "50 m", ERROR, "50 mm or 50 cm"),
    Amount("tubing.coil_diameter", "50 um", ERROR, "50 mm"),
    Amount("tubing.coil_diameter", "50 mm", SILENT),
    Amount("pump.stroke_volume", "2 L", ERROR, "2 uL or 2 mL"),
    Amount("pump.stroke_volume", "50 mL", WARNING, "50 uL"),
    Amount("pump.stroke_volume", "50 nL", WARNING, "50 uL"),
    Amount("pump.stroke_volume", "0.2 uL", WARNING, "0.2 uL at 1.0 mL/min, 0.012 s"),
    Amount("pump.stroke_volume", "50 uL", SILENT),
    Amount("expected.swing", 60, WARNING, "60 psi"),
    Amount("expected.swing", "2 MPa", SILENT),
    Amount("expected.swing", 2, SILENT),
    Amount("expected.swing", 0, SILENT),
    Amount("expected.swing", 300, ERROR, "300 psi or 300 kPa"),
    # Lengths and flows, of which `meant` looks for the number that was meant.
    Amount("column.bore", "4.6 um", WARNING, "4.6 um"),
    Amount("column.length", "150 m", WARNING, "150 mm"),
    Amount("column.length", "150 um", WARNING, "150 mm"),
    Amount("column.particle_size", "3 mm", WARNING, "3 um"),
    Amount("column.particle_size", "3 nm", WARNING, "3 um"),
    Amount("column.inlet_frit", "2 mm", WARNING, "outside what is made"),
    Amount("column.outlet_frit", "0.5 mm", WARNING, "outside what is made"),
    Amount("tubing.bore", "170 mm", WARNING, "outside what is made"),
    Amount("tubing.length", "600 m", WARNING, "600 mm"),
    Amount("conditions.flow", "1.0 uL/min", WARNING, "1.0 mL/min"),
    Amount("conditions.flow", "1.0 L/min", WARNING, "does not go with a bore"),
]


@pytest.mark.parametrize("case", AMOUNTS, ids=lambda case: f"{case.place}={case.value}"[:50])
def test_an_unusual_amount_is_a_finding_on_its_line(
    case: Amount, tmp_path: Path, capsys: Capture
) -> None:
    path = tmp_path / "kestrel.toml"
    text = changed(case.base, {case.place: case.value}).text
    path.write_text(text, encoding="utf-8")
    code = run(["check", str(path), "--format", "json"])
    (report,) = json.loads(capsys.readouterr().out)["profiles"]
    key = case.place.rpartition(".")[2]
    found = [
        item
        for item in report["findings"]
        if item["check"] in ("amount-implausible", "geometry-implausible")
        and key in str([item["path"], item["related"]])
        and case.says in item["message"]
    ]
    assert [item["severity"] for item in found][:1] == ([case.grade] if case.grade else [])
    if found:
        line = text.splitlines()[found[0]["line"] - 1]
        assert found[0]["path"][-1] in line
        assert code == 1 or case.grade == WARNING


@pytest.mark.parametrize(
    ("place", "value"),
    [
        ("column.bore", "4.6 um"),
        ("conditions.flow", "1 nL/min"),
        ("conditions.injection_volume", "20 L"),
        ("instrument.dwell_volume", "100 mL"),
        ("column.length", "150 um"),
    ],
)
def test_one_slip_is_said_once(place: str, value: str) -> None:
    subject = Subject(changed("gradient", {place: value}).profile, DEFAULT_POLICY, date.max)
    found = [*amount_implausible(subject), *geometry_implausible(subject)]
    assert len(found) == 1


SPANS = [
    ("conditions.temperature", Temperature, "degC", RANGES["temperature"]),
    ("conditions.ambient", Temperature, "degC", RANGES["ambient"]),
    ("conditions.injection_volume", Volume, "uL", RANGES["injection volume"]),
    ("instrument.dwell_volume", Volume, "uL", RANGES["dwell volume"]),
]


@pytest.mark.parametrize(("place", "kind", "unit", "span"), SPANS, ids=lambda item: str(item)[:30])
@given(number=st.decimals("0.00001", "100000000", places=5))
def test_inside_is_silent_and_outside_is_a_finding(
    place: str, kind: type[Quantity], unit: str, span: Range, number: Decimal
) -> None:
    profile = changed("gradient", {place: f"{number:f} {unit}"}).profile
    own = tuple(place.split("."))
    found = [item for item in unusual_amounts(profile) if item.places == (own,)]
    amount = float(kind.of(f"{number:f}", unit))
    assert bool(found) == (not span.least <= amount <= span.most)
    assert all(item.possible == (span.lowest <= amount <= span.highest) for item in found)


def numbers(table: type[FormatTable], name: str = "") -> Iterator[str]:
    """Every key of the format that holds an amount, by table and key."""
    for key, field in table.model_fields.items():
        for kind in inner(field.annotation, field.metadata):
            if isinstance(kind, type) and issubclass(kind, FormatTable):
                yield from numbers(kind, kind.__name__)
            elif kind in (Fraction, *QUANTITIES):
                yield f"{name}.{key}"


def inner(annotation: Any, metadata: Any = ()) -> Iterator[Any]:
    if get_args(annotation):
        for part in get_args(annotation):
            yield from inner(part)
    else:
        yield annotation


RULED = {
    # This table and its relations.
    *("Instrument.display_step", "Instrument.entry_max", "Instrument.dwell_volume"),
    *("Conditions.temperature", "Conditions.ambient", "Conditions.injection_volume"),
    *("Conditions.injection_minute", "GradientPoint.minute", "Column.plate_number"),
    *("Resistance.pressure", "Resistance.flow", "Resistance.temperature"),
    *("MeasuredPair.pressure", "MeasuredPair.flow", "MeasuredPair.temperature"),
    *("FlowRating.flow", "FlowRating.rating", "TemperatureRating.temperature"),
    "TemperatureRating.rating",
    # geometry-implausible, rating-implausible.
    *("Conditions.flow", "Tube.length", "Tube.bore", "Column.length", "Column.bore"),
    *("Column.particle_size", "Column.inlet_frit", "Column.outlet_frit"),
    *("Pump.rating", "Device.rating", "Tube.rating", "Column.rating"),
    *("Column.permeability", "Tube.coil_diameter", "Pump.stroke_volume", "Expected.swing"),
    # From 0 to 100; whole numbers up to four: anything else is unreadable.
    "Pump.heads",
    *("Conditions.percent_b", "GradientPoint.percent_b", "Resistance.percent_b"),
    "MeasuredPair.percent_b",
    # The checks of cutoffs and of the expected band; the margins' own limits.
    *("Cutoffs.high", "Cutoffs.low", "Expected.low", "Expected.high"),
    *("MarginSettings.high", "MarginSettings.low", "MarginSettings.headroom"),
}


def test_every_number_of_the_format_has_its_range() -> None:
    assert set(numbers(Profile)) == RULED


def test_the_ranges_are_in_order_and_water_is_not_critical_in_them() -> None:
    for span in RANGES.values():
        assert span.lowest <= span.least < span.most <= span.highest
    assert RANGES["temperature"].highest < 273.15 + 373.946  # IAPWS R2-83
    assert "usual" in (amount_implausible.__doc__ or "")

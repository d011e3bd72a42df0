"""What the generator draws from: hardware classes, ratings as labels carry them, columns.

The figures are common practice, no source: pressures that labels of the trade carry, in the
unit a label carries them in, and the columns and flows used on such hardware.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Geometry:
    """Columns of one bore [mm]: lengths [mm], particle sizes [um] and flows [mL/min] in use."""

    bore: float
    lengths: tuple[int, ...]
    particles: tuple[float, ...]
    flows: tuple[float, ...]
    particle: str = "fully porous"


@dataclass(frozen=True, slots=True)
class HardwareClass:
    """One class of instrument; `share` and `displays` are relative weights."""

    name: str
    share: int
    displays: Mapping[str, int]
    pumps: tuple[str, ...]
    injectors: tuple[str, ...]
    tubing: tuple[str, ...]
    fittings: tuple[str, ...]
    columns: tuple[str, ...]
    cells: tuple[str, ...]
    geometries: tuple[Geometry, ...]
    bores: tuple[float, ...]
    """Tubing bores [mm]."""
    rest: tuple[float, float]
    """Pressure outside the column that no part of a profile accounts for [bar], at the
    greatest flow of the column's bore."""
    restrictor: float = 0.02
    """Share with a restrictor after the detector cell, which holds 2-4 bar at any flow."""


_CELLS = ("60 bar", "120 bar", "1000 psi", "6 MPa", "12 MPa", "40 bar", "400 bar", "500 psi")

CONVENTIONAL = HardwareClass(
    "conventional",
    42,
    {"bar": 46, "psi": 26, "MPa": 18, "kgf/cm2": 7, "kPa": 3},
    (
        "400 bar",
        "400 bar",
        "40 MPa",
        "5800 psi",
        "6000 psi",
        "6000 psi",
        "345 bar",
        "5000 psi",
        "35 MPa",
        "350 bar",
        "420 bar",
        "400 kgf/cm2",
        "350 kgf/cm2",
        "44 MPa",
    ),
    ("400 bar", "6000 psi", "40 MPa", "5000 psi", "7000 psi", "350 bar", "60 MPa", "600 bar"),
    ("5000 psi", "7000 psi", "6000 psi", "345 bar", "400 bar", "15000 psi", "1000 bar", "4000 psi"),
    ("5000 psi", "345 bar", "6000 psi", "400 bar", "15000 psi", "10000 psi", "27.6 MPa"),
    (
        "400 bar",
        "400 bar",
        "6000 psi",
        "40 MPa",
        "5800 psi",
        "350 bar",
        "5000 psi",
        "300 bar",
        "4000 psi",
        "30 MPa",
        "25 MPa",
        "3000 psi",
        "20 MPa",
        "200 bar",
        "4500 psi",
    ),
    _CELLS,
    (
        Geometry(
            4.6,
            (150, 150, 250, 250, 100, 50, 75, 125),
            (5, 5, 3.5, 3),
            (0.5, 0.8, 1.0, 1.0, 1.2, 1.5, 2.0),
        ),
        Geometry(4.0, (125, 250), (5,), (0.7, 0.8, 1.0)),
        Geometry(3.0, (150, 100, 50), (3.5, 5, 3), (0.3, 0.4, 0.5, 0.6, 0.8)),
        Geometry(2.1, (150, 100, 50), (3.5, 3, 5), (0.2, 0.25, 0.3, 0.4)),
        Geometry(7.8, (300,), (5, 9, 10), (0.5, 0.6, 1.0)),
    ),
    (0.17, 0.25, 0.12),
    (1, 12),
)

INTERMEDIATE = HardwareClass(
    "intermediate",
    20,
    {"bar": 52, "psi": 20, "MPa": 24, "kgf/cm2": 3, "kPa": 1},
    ("600 bar", "600 bar", "60 MPa", "8700 psi", "9000 psi", "620 bar", "66 MPa", "62 MPa"),
    ("600 bar", "60 MPa", "9000 psi", "800 bar", "15000 psi"),
    ("15000 psi", "1000 bar", "600 bar", "7000 psi", "1200 bar", "9000 psi"),
    ("9000 psi", "15000 psi", "600 bar", "1000 bar", "400 bar", "6000 psi"),
    (
        "600 bar",
        "600 bar",
        "9000 psi",
        "60 MPa",
        "8700 psi",
        "400 bar",
        "6000 psi",
        "1000 bar",
        "15000 psi",
        "40 MPa",
    ),
    _CELLS,
    (
        Geometry(4.6, (150, 100, 75), (2.7,), (0.8, 1.0, 1.2, 1.5), "superficially porous"),
        Geometry(3.0, (150, 100), (2.7,), (0.4, 0.5, 0.6, 0.8), "superficially porous"),
        Geometry(2.1, (150, 100, 50), (2.7,), (0.2, 0.3, 0.4, 0.5), "superficially porous"),
        Geometry(4.6, (150, 250), (3, 5), (1.0, 1.5)),
        Geometry(2.1, (100, 50), (1.8, 2.5), (0.2, 0.3, 0.4)),
    ),
    (0.17, 0.12),
    (5, 40),
)

ULTRA_HIGH = HardwareClass(
    "ultra-high",
    22,
    {"bar": 44, "psi": 34, "MPa": 20, "kgf/cm2": 1, "kPa": 1},
    (
        "1000 bar",
        "100 MPa",
        "14500 psi",
        "15000 psi",
        "15000 psi",
        "1034 bar",
        "1200 bar",
        "1300 bar",
        "130 MPa",
        "18000 psi",
        "18850 psi",
        "105 MPa",
        "1250 bar",
    ),
    ("1000 bar", "15000 psi", "1300 bar", "18000 psi", "130 MPa", "100 MPa"),
    ("1300 bar", "18000 psi", "20000 psi", "1200 bar", "1000 bar", "130 MPa"),
    ("15000 psi", "18000 psi", "20000 psi", "1300 bar", "1200 bar", "1000 bar"),
    (
        "1000 bar",
        "15000 psi",
        "100 MPa",
        "1200 bar",
        "18000 psi",
        "14500 psi",
        "103 MPa",
        "1034 bar",
        "600 bar",
        "9000 psi",
        "1500 bar",
    ),
    _CELLS,
    (
        Geometry(2.1, (50, 75, 100, 150), (1.7, 1.8, 1.9), (0.2, 0.3, 0.4, 0.5, 0.6, 0.8)),
        Geometry(3.0, (50, 100), (1.8, 2.0), (0.4, 0.6, 0.8, 1.2)),
        Geometry(1.0, (50, 100, 150), (1.7, 1.8), (0.05, 0.1, 0.15)),
        Geometry(2.1, (100, 150), (1.6, 2.7), (0.3, 0.4, 0.5), "superficially porous"),
    ),
    (0.10, 0.12),
    (15, 90),
)

BIO_INERT = HardwareClass(
    "bio-inert, low pressure",
    8,
    {"bar": 32, "MPa": 40, "psi": 24, "kPa": 2, "kgf/cm2": 2},
    ("400 bar", "35 MPa", "5000 psi", "240 bar", "25 MPa", "20 MPa", "50 bar", "5 MPa", "700 psi"),
    ("5000 psi", "345 bar", "25 MPa", "400 bar", "10 MPa"),
    ("5000 psi", "4000 psi", "345 bar", "200 bar", "20 MPa"),
    ("5000 psi", "4000 psi", "345 bar", "1000 psi", "70 bar"),
    (
        "10 bar",
        "20 bar",
        "40 bar",
        "35 bar",
        "50 bar",
        "70 bar",
        "100 bar",
        "5 MPa",
        "4 MPa",
        "3 MPa",
        "10 MPa",
        "600 psi",
        "1000 psi",
        "150 psi",
        "1500 psi",
        "3000 psi",
        "2000 psi",
    ),
    ("20 bar", "30 bar", "2 MPa", "300 psi", "60 bar", "5 MPa"),
    (
        Geometry(7.8, (300,), (5,), (0.4, 0.5, 0.8, 1.0)),
        Geometry(10, (300,), (9, 13), (0.25, 0.4, 0.5, 0.75)),
        Geometry(5, (50,), (10, 15), (0.5, 1.0, 1.5, 2.0)),
        Geometry(4, (250,), (5.5, 7, 9), (0.6, 0.8, 1.0)),
        Geometry(2, (250,), (6, 9), (0.2, 0.25)),
        Geometry(16, (600,), (34,), (0.5, 1.0, 1.5)),
    ),
    (0.25, 0.17, 0.5),
    (0.3, 3),
    0.3,
)

PREPARATIVE = HardwareClass(
    "preparative",
    8,
    {"bar": 46, "psi": 32, "MPa": 18, "kgf/cm2": 3, "kPa": 1},
    (
        "400 bar",
        "420 bar",
        "200 bar",
        "3000 psi",
        "20 MPa",
        "6000 psi",
        "4000 psi",
        "300 bar",
        "30 MPa",
        "100 bar",
    ),
    ("400 bar", "5000 psi", "6000 psi", "350 bar", "40 MPa"),
    ("5000 psi", "4000 psi", "345 bar", "400 bar", "15000 psi"),
    ("5000 psi", "345 bar", "4000 psi", "15000 psi", "300 bar"),
    (
        "200 bar",
        "3000 psi",
        "350 bar",
        "5000 psi",
        "100 bar",
        "1500 psi",
        "20 MPa",
        "400 bar",
        "6000 psi",
        "25 MPa",
    ),
    _CELLS,
    (
        Geometry(19, (100, 150, 250), (5, 10), (10, 15, 17, 20, 25)),
        Geometry(21.2, (150, 250), (5, 10), (15, 20, 21, 25)),
        Geometry(30, (150, 250), (5, 10), (25, 30, 40, 43)),
        Geometry(50, (250,), (10, 15), (60, 80, 100, 118)),
    ),
    (0.5, 0.75, 1.0),
    (2, 25),
)

CLASSES = (CONVENTIONAL, INTERMEDIATE, ULTRA_HIGH, BIO_INERT, PREPARATIVE)

LOW_PRESSURE_GEOMETRIES = (
    Geometry(4.6, (50, 75, 33), (5, 3.5, 10), (0.3, 0.5, 0.8, 1.0)),
    Geometry(4.6, (150, 250), (10, 5, 7), (0.3, 0.5, 0.8, 1.0)),
    Geometry(4.6, (50, 100), (13,), (1.0, 2.0, 3.0), "monolith"),
    Geometry(7.8, (300,), (9, 10), (0.5, 0.6, 1.0)),
    Geometry(8.0, (300,), (5, 10), (0.5, 1.0)),
    Geometry(3.0, (50,), (5, 3.5), (0.3, 0.4)),
)
"""Columns of methods of 10-40 bar on 400-600 bar hardware; a monolith has the permeability of
a bed of coarse particles and no particle size in its profile."""
LOW_PRESSURE_SHARE = 0.16
"""Of conventional and intermediate instruments, so about a tenth of all profiles."""

STEPS: Mapping[str, tuple[str, ...]] = {
    "bar": ("1", "1", "1", "1", "0.1"),
    "psi": ("1", "1", "1", "1", "10"),
    "MPa": ("0.1", "0.1", "0.01"),
    "kPa": ("100", "10"),
    "kgf/cm2": ("1",),
}
"""Display steps, by unit."""

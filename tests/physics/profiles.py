"""Profiles for tests: an invented method on an invented instrument, changed piece by piece."""

from __future__ import annotations

import tomllib
from datetime import date
from decimal import Decimal

from limitcheck.profile.answered import MadeFrom
from limitcheck.profile.model import Profile, validate_profile

HEAD = """
format = 1
[method]
id = "KB-TEST-1"
[instrument]
id = "KB-LC-09"
pressure_unit = "bar"
"""
CUTOFFS = "cutoffs = {high = 150, low = 40}"
CONDITIONS = (
    'conditions = {flow = "1.0 mL/min", temperature = "35 degC", ambient = "21 degC", '
    'solvent_a = "water", solvent_b = "acetonitrile", percent_b = 18}'
)
GRADIENT = (
    'conditions = {flow = "1.0 mL/min", temperature = "35 degC", ambient = "21 degC", '
    'solvent_a = "water", solvent_b = "acetonitrile", gradient = ['
    "{minute = 0, percent_b = 5}, {minute = 12, percent_b = 95}, {minute = 15, percent_b = 95}]}"
)
PUMP = '{part = "pump", rating = "400 bar"}'
TUBE = '{part = "tubing", label = "first", length = "600 mm", bore = "0.17 mm"}'
INJECTOR = '{part = "injector"}'
TUBE_2 = '{part = "tubing", label = "second", length = "300 mm", bore = "0.12 mm"}'
COLUMN = '{part = "column", length = "150 mm", bore = "4.6 mm", particle_size = "5 um"}'
CELL = '{part = "detector cell", rating = "60 bar"}'
PARTS = (PUMP, TUBE, INJECTOR, TUBE_2, COLUMN, CELL)


def profile(
    *parts: str,
    conditions: str = CONDITIONS,
    cutoffs: str = CUTOFFS,
    expected: str = "",
    measured: str = "",
) -> Profile:
    """A profile of these parts (all of ``PARTS`` if none are given)."""
    lines = [cutoffs, conditions, f"expected = {expected}" if expected else ""]
    lines.append(f"measured = [{measured}]" if measured else "")
    text = "\n".join(lines) + f"\nflow_path = [{', '.join(parts or PARTS)}]\n" + HEAD
    # keys of the root table must come before the tables
    return validate_profile(tomllib.loads(text, parse_float=Decimal))


def transferred(made: Profile) -> Profile:
    """The profile as `transfer --new` makes one: it names the file its numbers are from."""
    digest = "0" * 64
    source = MadeFrom(
        gave="method", path="kestrel-bay.toml", sha256=digest, values=digest,
        instrument="KB-LC-09", tool="limitcheck 1.0", day=date(2026, 11, 25),
    )  # fmt: skip
    return made.model_copy(update={"source": (source,)})


def pair(flow: float, bar: float, **fields: str) -> str:
    """A measured pair: mL/min and bar, and other fields as TOML text."""
    return _table({"flow": f'"{flow} mL/min"', "pressure": f'"{bar:.4f} bar"', **fields})


def column(**fields: str) -> str:
    """A column part with other or more fields, as TOML text."""
    base = {"part": '"column"', "length": '"150 mm"', "bore": '"4.6 mm"', "particle_size": '"5 um"'}
    return _table({**base, **fields})


def conditions(**fields: str) -> str:
    """The usual conditions with other or more fields; an empty text removes one."""
    base = {
        "flow": '"1.0 mL/min"',
        "temperature": '"35 degC"',
        "ambient": '"21 degC"',
        "solvent_a": '"water"',
        "solvent_b": '"acetonitrile"',
        "percent_b": "18",
    }
    return "conditions = " + _table({**base, **fields})


def _table(fields: dict[str, str]) -> str:
    return "{" + ", ".join(f"{key} = {value}" for key, value in fields.items() if value) + "}"

"""The injector of other mistakes: typing errors, geometry slips, conversions from memory.

Each takes a clean profile and gives a document with one wrong value, and the truth about it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from copy import deepcopy
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from random import Random
from typing import Any

from limitcheck.findings import KeyPath
from limitcheck.profile.hardware import column_index, under_pressure
from limitcheck.units import Flow, Length, Pressure, Quantity

from .generator import Clean
from .slips import ENTRY_MAX, EXPECTED_HIGH, EXPECTED_LOW, HIGH, LOW, Slip
from .tidy import number

RULES: tuple[tuple[str, str, str], ...] = (
    ("15", "bar", "psi"),
    ("14.5", "bar", "psi"),
    ("14", "bar", "psi"),
    ("150", "MPa", "psi"),
    ("145", "MPa", "psi"),
    ("10", "MPa", "kgf/cm2"),
    ("0.07", "psi", "bar"),
    ("0.07", "psi", "kgf/cm2"),
    ("0.1", "kgf/cm2", "MPa"),
)
"""Conversions from memory: the factor, from, to."""
_NUMBER = re.compile(r"(0|[1-9][0-9]*)(\.[0-9]+)?")
_COLUMNS = ("column", "guard column")
_TUBES = ("tubing", "loop")


def rule_of_thumb(clean: Clean, rng: Random) -> Slip | None:
    """The high cutoff is the weakest rating that stands in a unit, times a rule's factor."""
    profile = clean.profile
    unit, step = profile.instrument.pressure_unit, profile.instrument.step
    found = []
    for factor, given, read in RULES:
        stand = [part.pressure for part in under_pressure(profile) if part.pressure.unit == given]
        if read == unit and stand:
            found.append((Fraction(factor), given, min(stand)))
    if not found:
        return None
    factor, given, rating = rng.choice(found)
    typed = round(rating.to(given) * factor / step) * step
    if profile.expected is not None and Pressure.of(typed, unit) <= profile.expected.high:
        return None
    most = profile.instrument.entry_max
    if most is not None and typed > most:
        return None
    slip = Slip(deepcopy(clean.document))
    slip.document["cutoffs"]["high"] = number(typed)
    slip.truth[HIGH] = rating
    return slip


def typing(field: str) -> Callable[[Clean, Random], Slip | None]:
    """A maker of typing errors in a pressure: a power of ten, or one digit."""

    def make(clean: Clean, rng: Random) -> Slip | None:
        paths = [path for path in _fields(clean, field) if _true(clean, path) is not None]
        if not paths:
            return None
        path = rng.choice(paths)
        true = _true(clean, path)
        assert true is not None
        slip = Slip(deepcopy(clean.document))
        *tables, key = path
        table: Any = slip.document
        for step in tables:
            table = table[step]
        text, _, unit = str(table[key]).partition(" ")
        wrong = mistyped(rng, text)
        if wrong is None:
            return None
        table[key] = f"{wrong} {unit}" if unit else number(Fraction(wrong))
        slip.truth[path] = true
        return slip

    return make


def mistyped(rng: Random, text: str) -> str | None:
    """A number with one typing error; None where that makes no other number above zero."""
    digits = [i for i, c in enumerate(text) if c.isdigit()]
    at = rng.choice(digits)
    kind = rng.choice(("x10", "/10", "x100", "dropped", "doubled", "swapped", "wrong"))
    if kind in ("x10", "/10", "x100"):
        power = {"x10": Decimal(10), "/10": Decimal("0.1"), "x100": Decimal(100)}[kind]
        wrong = f"{(Decimal(text) * power).normalize():f}"
    elif kind == "dropped":
        wrong = text[:at] + text[at + 1 :]
    elif kind == "doubled":
        wrong = text[: at + 1] + text[at:]
    elif kind == "swapped":
        if len(digits) < 2:
            return None
        i, j = rng.choice(list(pairwise(digits)))
        swapped = list(text)
        swapped[i], swapped[j] = text[j], text[i]
        wrong = "".join(swapped)
    else:
        wrong = text[:at] + rng.choice("0123456789".replace(text[at], "")) + text[at + 1 :]
    if not _NUMBER.fullmatch(wrong):  # no number of TOML: refused when read
        return None
    value = Decimal(wrong)
    same = value == Decimal(text) or value == 0
    return None if same else f"{value.normalize():f}"


def _fields(clean: Clean, field: str) -> list[KeyPath]:
    last = column_index(clean.profile)
    return {
        "high": [HIGH],
        "low": [LOW],
        "end of band": [EXPECTED_LOW, EXPECTED_HIGH],
        "rating": [("flow_path", i, "rating") for i in range(last + 1)],
        "entry_max": [ENTRY_MAX],
    }[field]


def _true(clean: Clean, path: KeyPath) -> Quantity | None:
    value = value_at(clean.profile, path)
    return value if isinstance(value, Quantity) and value.value > 0 else None


def value_at(profile: Any, path: KeyPath) -> Quantity | str | None:
    """What stands at a key path of a profile; a number of the instrument's with its unit."""
    value = profile
    for step in path:
        if isinstance(step, int):
            value = value[step]
        else:
            value = None if value is None else getattr(value, step, None)
    if isinstance(value, Fraction):
        return Pressure.of(value, profile.instrument.pressure_unit)
    return value if isinstance(value, Quantity | str) else None


def geometry(*changes: tuple[tuple[str, ...], str, str, str]) -> Callable[..., Slip | None]:
    """A maker of slips of a length: parts, key, the unit meant, the unit written instead.

    The number is the true one in the unit that was meant.
    """

    def make(clean: Clean, rng: Random) -> Slip | None:
        found = [
            (("flow_path", i, key), meant, read)
            for parts, key, meant, read in changes
            for i, part in enumerate(clean.document["flow_path"])
            if part["part"] in parts and key in part
        ]
        if not found:
            return None
        path, meant, read = rng.choice(found)
        slip = Slip(deepcopy(clean.document))
        part = slip.document["flow_path"][path[1]]
        true = Length.parse(part[path[2]])
        part[path[2]] = f"{number(true.to(meant))} {read}"
        slip.truth[path] = true
        return slip

    return make


BY_1000 = geometry(
    (_COLUMNS, "particle_size", "um", "mm"),
    (_COLUMNS, "bore", "mm", "um"),
    (_COLUMNS, "length", "mm", "um"),
    (_COLUMNS, "length", "mm", "m"),
    (_COLUMNS, "length", "m", "mm"),
    (_COLUMNS, "inlet_frit", "um", "mm"),
    (_COLUMNS, "outlet_frit", "um", "mm"),
    (_TUBES, "bore", "mm", "um"),
    (_TUBES, "bore", "um", "mm"),
    (_TUBES, "length", "mm", "um"),
    (_TUBES, "length", "mm", "m"),
)
BY_10 = geometry(
    (_COLUMNS, "bore", "mm", "cm"),
    (_COLUMNS, "length", "mm", "cm"),
    (_COLUMNS, "length", "cm", "mm"),
    (_TUBES, "bore", "mm", "cm"),
    (_TUBES, "length", "mm", "cm"),
    (_TUBES, "length", "cm", "mm"),
)


def radius(clean: Clean, rng: Random) -> Slip | None:
    """The column's radius stands where its bore belongs."""
    path = clean.document["flow_path"]
    index = column_index(clean.profile)
    if "bore" not in path[index]:
        return None
    slip = Slip(deepcopy(clean.document))
    true = Length.parse(path[index]["bore"])
    slip.document["flow_path"][index]["bore"] = f"{number(true.to('mm') / 2)} mm"
    slip.truth["flow_path", index, "bore"] = true
    return slip


def flow(clean: Clean, rng: Random) -> Slip | None:
    """The flow by a thousand: mL/min for uL/min or the reverse."""
    text = clean.document.get("conditions", {}).get("flow")
    if text is None:
        return None
    true = Flow.parse(text)
    meant, read = rng.choice((("mL/min", "uL/min"), ("uL/min", "mL/min")))
    slip = Slip(deepcopy(clean.document))
    slip.document["conditions"]["flow"] = f"{number(true.to(meant))} {read}"
    slip.truth["conditions", "flow"] = true
    return slip

"""Seeded, realistic, genuinely clean profiles. `generate(seed, index)` is reproducible alone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from random import Random

from limitcheck.profile.model import Profile, validate_profile
from limitcheck.units import USUAL_STEP, Pressure, round_down

from .hardware import CLASSES, CONVENTIONAL, INTERMEDIATE, LOW_PRESSURE_SHARE, STEPS, HardwareClass
from .method import USUAL_PRESSURE, Document, Run, conditions, describe, flow_path, run_on
from .order import in_order
from .tidy import in_unit, number, tidy

HIGH_KINDS = {
    "tight": 42,
    "generous": 7,
    "under rating": 20,
    "rating": 6,
    "rating, rounded": 6,
    "default": 14,
    "house": 5,
}
"""High cutoff: 10-50 % above expected; 50-100 %; 10-20 % under the weakest rating; at it, rounded
down; at it, rounded to the next round number either way (at most 0.5 % over); the largest the
instrument takes, never touched; one value for all methods of a house, anywhere between.
Relative weights."""
LOW_KINDS = {"share": 45, "weak": 35, "off": 20}
"""Low cutoff: 30-80 % of expected; 5-20 bar whatever the method; none. Relative weights."""
KEPT = {"all": 84, "no band": 6, "pump's rating only": 5, "no ratings": 3, "no high cutoff": 2}
"""What of pressures and ratings stands in the profile. Relative weights."""
UNSTORABLE_SHARE = 0.04
"""Profiles whose cutoffs are finer than the display step."""


@dataclass(frozen=True, slots=True)
class Clean:
    """A clean profile: the TOML document, the validated profile, and how it was made."""

    index: int
    document: Document
    profile: Profile
    tags: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Stratum:
    """What is decided before a profile is tried, so that rejection cannot change the shares."""

    hardware: HardwareClass
    display: str
    low_pressure: bool
    high: str
    low: str
    kept: str
    unstorable: bool


def generate(seed: int, index: int, *, display: str | None = None) -> Clean:
    """The clean profile number `index`; `display` fixes the unit the instrument shows."""
    rng = Random(f"{seed}:{index}:{display}")
    hardware = rng.choices(CLASSES, [c.share for c in CLASSES])[0]
    stratum = Stratum(
        hardware,
        display or rng.choices(list(hardware.displays), list(hardware.displays.values()))[0],
        hardware in (CONVENTIONAL, INTERMEDIATE) and rng.random() < LOW_PRESSURE_SHARE,
        rng.choices(list(HIGH_KINDS), list(HIGH_KINDS.values()))[0],
        rng.choices(list(LOW_KINDS), list(LOW_KINDS.values()))[0],
        rng.choices(list(KEPT), list(KEPT.values()))[0],
        rng.random() < UNSTORABLE_SHARE,
    )
    for _ in range(10_000):
        clean = _attempt(rng, index, stratum)
        if clean is not None:
            return clean
    raise RuntimeError(f"no clean profile of {stratum}")


def _attempt(rng: Random, index: int, stratum: Stratum) -> Clean | None:
    hardware, unit = stratum.hardware, stratum.display
    path, weakest = flow_path(rng, hardware)
    run = run_on(rng, hardware, path, low_pressure=stratum.low_pressure)
    if run is None or run.high > 0.85 * weakest:
        return None
    detail = rng.choices(("full", "conditions", "none"), (60, 15, 25))[0]
    describe(rng, path, run, detail)
    step = rng.choice(STEPS[unit])
    if run.high < 30 and unit == "MPa":
        step = rng.choice(("0.01", "0.1"))
    pump = path[0]["rating"]
    instrument = _instrument(rng, unit, step, pump)
    band_unit = unit if rng.random() < 0.9 else rng.choice(("bar", "psi", "MPa"))
    basis = rng.choices(("measured", "declared", "predicted"), (55, 40, 5))[0]
    band = _band(rng, run, band_unit, step if band_unit == unit else None, basis)
    entry_max = instrument.get("entry_max")
    default = _native(pump, unit, step) if entry_max is None else Fraction(entry_max)
    above = Pressure.of(band[1], band_unit).to(unit)
    typed = str(Fraction(step) / 10) if stratum.unstorable else step
    high = _high(rng, stratum.high, unit, typed, above, in_unit(weakest, unit), default)
    low = _low(rng, stratum.low, unit, typed, Pressure.of(band[0], band_unit).to(unit))
    own = "" if band_unit == unit and rng.random() < 0.9 else f" {band_unit}"
    document: Document = {
        "format": 1,
        "method": {"id": f"KB-{index:05d}", "site": rng.choice(("Kestrel Bay", "Harrow Mill"))},
        "instrument": instrument,
        "cutoffs": {"high": number(high)} | ({} if low is None else {"low": number(low)}),
        "expected": {
            "low": f"{number(band[0])}{own}" if own else number(band[0]),
            "high": f"{number(band[1])}{own}" if own else number(band[1]),
            "basis": basis,
        },
        **({} if detail == "none" else {"conditions": conditions(rng, run)}),
        "flow_path": path,
    }
    if entry_max is not None and high > Fraction(entry_max):
        return None
    _keep(document, stratum.kept)
    profile = validate_profile(document)
    if not in_order(profile):
        return None
    return Clean(
        index,
        document,
        profile,
        {
            "class": hardware.name,
            "high": stratum.high,
            "low": stratum.low,
            "geometry": detail,
            "kept": stratum.kept,
            "pressure": "low" if run.high < USUAL_PRESSURE else "usual",
            "band": "own unit" if own else "bare",
        },
    )


def _keep(document: Document, kept: str) -> None:
    """Leave out of the document what this lab does not write down."""
    if kept == "no band":
        del document["expected"]
    elif kept == "no high cutoff":
        del document["cutoffs"]["high"]
    elif kept != "all":
        parts = document["flow_path"]
        for part in parts if kept == "no ratings" else parts[1:]:
            part.pop("rating", None)
            part.pop("rating_at_temperature", None)


def _instrument(rng: Random, unit: str, step: str, pump: str) -> Document:
    table: Document = {"id": f"KB-LC-{rng.randrange(1, 60):02d}", "pressure_unit": unit}
    if Fraction(step) != USUAL_STEP[unit] or rng.random() < 0.7:
        table["display_step"] = number(Fraction(step))
    if rng.random() < 0.55:
        table["entry_max"] = number(_field_limit(pump, unit, step))
    return table


@lru_cache(maxsize=256)
def _native(rating: str, unit: str, step: str) -> Fraction:
    """The largest value the instrument shows that is not above its pump's rating."""
    grid = max(Fraction(step), {"psi": Fraction(10), "kPa": Fraction(100)}.get(unit, Fraction(0)))
    return Pressure.parse(rating).to(unit) // grid * grid


@lru_cache(maxsize=256)
def _field_limit(rating: str, unit: str, step: str) -> Fraction:
    """The largest value the entry field takes: the rating, as a round number of the unit where
    one is within 0.5 % of it (a label of 8700 psi stands on a pump whose field takes 60 MPa)."""
    exact = Pressure.parse(rating).to(unit)
    grid = {"bar": 5, "psi": 50, "MPa": 1, "kPa": 500, "kgf/cm2": 5}[unit]
    rounded = Fraction(round(exact / grid) * grid)
    return rounded if abs(rounded / exact - 1) < Fraction(1, 200) else _native(rating, unit, step)


def _band(
    rng: Random, run: Run, unit: str, step: str | None, basis: str
) -> tuple[Fraction, Fraction]:
    """The expected band: what the run shows, and the run-to-run spread this lab allows."""
    below, above = (rng.choice((0.05, 0.1, 0.1, 0.15, 0.2)) for _ in range(2))
    share = "0.01" if basis == "measured" else "0.06"
    low = tidy(rng, in_unit(run.low * (1 - below), unit), unit, step=step, share=share)
    high = tidy(rng, in_unit(run.high * (1 + above), unit), unit, step=step, share=share)
    return low, high


def _high(
    rng: Random,
    kind: str,
    unit: str,
    step: str,
    above: Fraction,
    weakest: Fraction,
    default: Fraction,
) -> Fraction:
    """The high cutoff in `unit`, from the highest expected pressure and the weakest rating."""
    if kind == "default":
        return default
    if kind == "rating":
        return round_down(weakest, Fraction(step))
    if kind == "rating, rounded":
        return tidy(rng, weakest, unit, step=step, share="0.005")
    if kind == "under rating":
        return tidy(rng, weakest * Fraction(rng.uniform(0.8, 0.9)), unit, step=step)
    if kind == "house":
        between = float(above) * float(weakest / above) ** rng.uniform(0.2, 0.8)
        return tidy(rng, Fraction(between), unit, step=step)
    least, most = (1.1, 1.5) if kind == "tight" else (1.5, 2.0)
    return tidy(rng, above * Fraction(rng.uniform(least, most)), unit, step=step)


def _low(rng: Random, kind: str, unit: str, step: str, below: Fraction) -> Fraction | None:
    """The low cutoff in `unit`, from the lowest expected pressure; None: left out."""
    if kind == "off":
        return rng.choice((Fraction(0), None))
    share = Fraction(rng.uniform(0.3, 0.8)) * below
    if kind == "share":
        return tidy(rng, share, unit, step=step, share="0.1")
    weak = in_unit(rng.choice((5, 5, 10, 10, 15, 20)), unit)
    return tidy(rng, min(weak, share), unit, step=step, share="0.3")

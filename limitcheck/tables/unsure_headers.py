"""Headers that may mean a pressure: not every word is known, or one has two meanings."""

from __future__ import annotations

from collections.abc import Iterable

from .header_text import is_any_pressure, may_be_unit, split_unit, units_kind, without_remarks
from .titles import units_named
from .words import KEYS, LONGEST_HEADER, QUANTITY, Kind, SheetKind, can_give, signs_of_any, words_of

_ABBREVIATED = {"hpl": "cutoffs.high", "lpl": "cutoffs.low"}
PRESSURE_WORDS = frozenset({"pressure", "pressures", "press", "druck", "pression"})
_PARTS = frozenset({"pump", "injector", "tubing", "fitting", "cell", "detector", "column"})
_ENDS = {"max": "high", "min": "low"}
_OTHER_UNITS = frozenset({
    "nm", "s", "sec", "h", "hr", "hrs", "hour", "hours", "minute", "minutes", "mau", "au", "mv",
    "g", "mg/l", "µg/l", "mg/ml", "µg/ml", "ng/ml", "hz", "v", "ppm", "%",
})  # fmt: skip
_OTHER_QUANTITIES = frozenset({
    "time", "zeit", "temps", "wavelength", "detection", "quantitation", "temperature", "temp",
    "temperatur", "flow", "calibration", "linear", "concentration", "weight", "volume", "retention",
    "absorbance",
})  # fmt: skip
"""Words of headers of method tables that are of no pressure; common practice, no source."""
_OF_TIME_TOO = frozenset({"stop", "alarm", "limit", "limits", "range", "from", "to"})


def may_stand_for(text: str, sheet: SheetKind) -> tuple[str, ...]:
    """The keys that a header may mean of which a word is not known: those that are to be asked.

    >>> may_stand_for("High cutoff of 2019", "methods"), may_stand_for("Flow (wash)", "methods")
    (('cutoffs.high',), ('conditions.flow',))
    >>> may_stand_for("% A", "methods")
    ('conditions.percent_a',)
    """
    signs = signs_of_any(text)
    if {"percent", "a"} <= signs and not signs & {"b", "gradient"} and can_give(sheet, PERCENT_A):
        return (PERCENT_A,)
    paths = pressures_in(text) or without_remarks(text, sheet)
    if not paths and is_any_pressure(text):
        paths = tuple(path for path in ANY_PRESSURE if can_give(sheet, path))
    return paths


PERCENT_A = "conditions.percent_a"
"""No key of a profile: % B is 100 less it, where there are two solvents."""
ANY_PRESSURE = ("expected", "expected.high", "cutoffs.high", "pump.rating", "column.rating")
"""What a pressure may be whose header does not say which, or names what it is of only."""


def pressures_in(text: str) -> tuple[str, ...]:
    """The cutoffs, bands, ratings and gradients that a header of unknown words may mean.

    >>> pressures_in("Old high cutoff"), pressures_in("HPL (bar)"), pressures_in("Analyst")
    (('cutoffs.high',), ('cutoffs.high',), ())
    >>> pressures_in("Stop time (min)"), pressures_in("Gradient time (min)")
    ((), ('conditions.gradient',))
    >>> pressures_in("Guard column rating (bar)"), pressures_in("% B at the end")
    (('guard column.rating',), ('conditions.gradient',))
    """
    words = words_of(text[:LONGEST_HEADER])
    signs = signs_of_any(text)
    short = {path for word, path in _ABBREVIATED.items() if word in words}
    if "gradient" in signs and "dwell" not in signs:
        return ("conditions.gradient",)  # one that is left out makes the method another
    if {"percent", "b"} <= signs:
        return ("conditions.gradient",)  # its start or end, beside which % B is no isocratic one
    most = "max" in signs and bool(signs & _PARTS) and _names_pressure(text, words)
    if (not signs & {"limit", "range", "rating"} and not short and not most) or _is_other(
        text, words
    ):
        return ()
    if "rating" in signs or (most and "limit" not in signs):
        return _ratings(signs)
    if "limit" in signs and not signs & {"max", "min"}:
        short |= {"cutoffs.high", "cutoffs.low"}
    if "limit" in signs:
        short |= {f"cutoffs.{end}" for sign, end in _ENDS.items() if sign in signs}
    if "range" in signs:
        short.add("expected")
    return tuple(path for path in KEYS if path in short)


def _ratings(signs: frozenset[str]) -> tuple[str, ...]:
    """The ratings that a header may mean, by the parts it names: any, where it names none."""
    of_guard = "guard column.rating"
    if "guard" in signs:
        return (of_guard,)
    every = [path for path in KEYS if path.endswith(".rating") and path != of_guard]
    named = tuple(path for path in every if set(path.partition(".")[0].split()) & signs)
    return named or tuple(every)


def _names_pressure(text: str, words: Iterable[str]) -> bool:
    units = (units_kind(unit) for _, unit in split_unit(text[:LONGEST_HEADER]))
    return bool(set(words) & PRESSURE_WORDS) or "pressure" in units


def _is_other(text: str, words: list[str]) -> bool:
    """Whether a header says by a word or its unit that it is of no pressure."""
    if set(words) & PRESSURE_WORDS:
        return False
    units = {unit.casefold() for _, unit in split_unit(text[:LONGEST_HEADER])}
    other = units & _OTHER_UNITS or {u for u in units if units_kind(u) not in (None, "pressure")}
    named = set(words) & _OTHER_QUANTITIES - ({"flow"} if "cell" in words else set())
    return bool(other or named)


def stated_unit(text: str, kind: Kind) -> str:
    """The unit that a header states of a key of a kind, where its words alone do not say the key.

    >>> stated_unit("Site limit since 2019 (psi)", "pressure"), stated_unit("Site limit", "band")
    ('psi', '')
    """
    if kind not in QUANTITY:
        return ""
    spelled = [unit for _, unit in split_unit(text[:LONGEST_HEADER])]
    fitting = (unit for unit in spelled if units_kind(unit) == QUANTITY[kind])
    others = (unit for unit in spelled if may_be_unit(unit))  # it is asked
    if found := next(fitting, "") or next(others, ""):
        return found
    among = dict.fromkeys(units_named(text[:LONGEST_HEADER]))  # "bar, old"
    return next(iter(among)) if len(among) == 1 and QUANTITY[kind] == "pressure" else ""


def may_be_minutes(text: str, beside: Iterable[str]) -> bool:
    """Whether the last word of a header, "min", may be the unit of time, as in "Stop (min)".

    It is the least where it says so of a pressure, or where a header `beside` it has the most.

    >>> may_be_minutes("Stop (min)", []), may_be_minutes("Stop (min)", ["Stop (max)"])
    (True, False)
    """
    words = words_of(text[:LONGEST_HEADER])
    if len(words) < 2 or words[-1] != "min" or not set(words[:-1]) <= _OF_TIME_TOO:
        return False
    return [*words[:-1], "max"] not in [words_of(other[:LONGEST_HEADER]) for other in beside]

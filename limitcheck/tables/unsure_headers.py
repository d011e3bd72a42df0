"""Headers that may mean a pressure: not every word is known, or one has two meanings."""

from __future__ import annotations

from collections.abc import Iterable

from .words import KEYS, LONGEST_HEADER, signs_of_any, split_unit, units_kind, words_of  # fmt: skip

_ABBREVIATED = {"hpl": "cutoffs.high", "lpl": "cutoffs.low"}
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


def pressures_in(text: str) -> tuple[str, ...]:
    """The cutoffs, bands and gradients that a header may mean of which not every word is known.

    >>> pressures_in("Old high cutoff"), pressures_in("HPL (bar)"), pressures_in("Analyst")
    (('cutoffs.high',), ('cutoffs.high',), ())
    >>> pressures_in("Stop time (min)"), pressures_in("Gradient time (min)")
    ((), ('conditions.gradient',))
    """
    words = words_of(text[:LONGEST_HEADER])
    signs = signs_of_any(text)
    short = {path for word, path in _ABBREVIATED.items() if word in words}
    if "gradient" in signs and "dwell" not in signs:
        return ("conditions.gradient",)  # one that is left out makes the method another
    if (not signs & {"limit", "range"} and not short) or _is_other(text, words):
        return ()
    if "limit" in signs and not signs & {"max", "min"}:
        short |= {"cutoffs.high", "cutoffs.low"}
    if "limit" in signs:
        short |= {f"cutoffs.{end}" for sign, end in _ENDS.items() if sign in signs}
    if "range" in signs:
        short.add("expected")
    return tuple(path for path in KEYS if path in short)


def _is_other(text: str, words: list[str]) -> bool:
    """Whether a header says by a word or its unit that it is of no pressure."""
    if set(words) & {"pressure", "press", "druck", "pression"}:
        return False
    units = {unit.casefold() for _, unit in split_unit(text[:LONGEST_HEADER])}
    other = units & _OTHER_UNITS or {u for u in units if units_kind(u) not in (None, "pressure")}
    return bool(other or set(words) & _OTHER_QUANTITIES)


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

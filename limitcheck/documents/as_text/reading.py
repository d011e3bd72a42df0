"""One reading and its causes as text and as plain dictionaries."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ...diagnosis.reading import Cause, Reading
from ...profile.model import Profile
from ...render.lines import wrap
from ...units.printing import digits, short
from ...version import __version__
from ..cautions import READING_A_PRESSURE, texts
from ..paragraphs import caution_lines, items, plain_data


def render(profile: Profile, reading: Reading, changes: str | None = None) -> str:
    """The reading for people; `changes` says at which other conditions it was taken."""
    unit = reading.unit
    at = f" at {changes}" if changes else ""
    lines = [
        *wrap(
            f"{profile.method.id} on {profile.instrument.id}: {short(reading.pressure)} {unit}{at}"
        ),
        *wrap(position_text(reading), "  "),
        *(line for told in reading.cutoffs for line in wrap(told, "  ", "    ")),
    ]
    lines += _all_causes(reading)
    if reading.not_computed:
        lines += ["", "Not worked out:"]
        lines += items(f"{words(name)}: {why}" for name, why in reading.not_computed)
    lines += ["", *caution_lines(READING_A_PRESSURE)]
    return "\n".join(lines) + "\n"


def position_text(reading: Reading) -> str:
    """How far from normal the reading is."""
    if reading.no_normal is not None:
        return f"no normal pressure to hold it against: {reading.no_normal}"
    low, high = reading.expected_low, reading.expected_high
    assert low is not None
    assert high is not None
    band = f"normal is {short(low, 4)} to {short(high, 4)} {reading.unit} ({reading.basis})"
    if reading.position == "normal":
        return f"normal: {band}"
    assert reading.off_by is not None
    assert reading.off_share is not None
    off = f"{digits(abs(reading.off_by))} {reading.unit} ({abs(reading.off_share):.0%})"
    return f"{reading.position} by {off}: {band}"


def _all_causes(reading: Reading) -> Iterator[str]:
    if reading.position == "normal":
        if unseen := unseen_text(reading):
            yield ""
            yield from wrap(unseen)
        return
    for title, causes in cause_groups(reading):
        yield ""
        yield from wrap(title)
        for cause in causes:
            yield from _cause(cause, reading)
    if unfit := unfit_text(reading):
        yield ""
        yield from wrap(unfit, "", "  ")


def unseen_text(reading: Reading) -> str:
    """The causes that a normal pressure does not rule out; empty where there are none."""
    names = ", ".join(words(cause.name) for cause in reading.causes if cause.fit == "fits")
    return f"Would stay unseen, being normal pressures too: {names}." if names else ""


def cause_groups(reading: Reading) -> Iterator[tuple[str, list[Cause]]]:
    """The causes to look into, the likeliest first, each group under its heading."""
    best = [cause for cause in reading.causes if cause.alike]
    rest = [cause for cause in reading.causes if cause.fit == "fits" and not cause.alike]
    near = [cause for cause in reading.causes if cause.fit == "near"]
    alike = "These fit alike; pressure can't tell them apart. The cheapest test first:"
    titles = ("Fits best:" if len(best) == 1 else alike, "Fits too, less well:", "Near:")
    for title, causes in zip(titles, (best, rest, near), strict=True):
        if causes:
            yield title, causes


def unfit_text(reading: Reading) -> str:
    """The causes that do not fit, with what they predict; empty where there are none."""
    told = ", ".join(
        f"{words(cause.name)} ({band_text(cause, reading.unit)})"
        for cause in reading.causes
        if cause.fit == "does not fit"
    )
    return f"Does not fit: {told}." if told else ""


def _cause(cause: Cause, reading: Reading) -> Iterator[str]:
    yield from wrap(f"{cause_name(cause, reading)}: {cause.description}", "  ", "    ")
    yield from wrap(f"test: {cause.test}", "    ", "      ")
    if cause.confused_with:
        fitting = sum(other.fit == "fits" for other in reading.causes)
        yield from wrap(f"confused with: {confused_text(cause, fitting)}", "    ", "      ")


def cause_name(cause: Cause, reading: Reading) -> str:
    """A cause in words, with the pressures it predicts."""
    return words(cause.name) + ("" if cause.any_size else f" ({band_text(cause, reading.unit)})")


def confused_text(cause: Cause, fitting: int) -> str:
    """The causes it is confused with; `fitting` is how many causes fit in all."""
    if cause.any_size and len(cause.confused_with) == fitting - 1 > 2:
        return "every other cause that fits"
    return ", ".join(words(name) for name in cause.confused_with)


def band_text(cause: Cause, unit: str) -> str:
    """The pressures a cause predicts."""
    return f"{digits(cause.low)} to {digits(cause.high)} {unit}"


def words(name: str) -> str:
    """The name of a cause as a reader would say it."""
    return name.replace("-", " ")


def document(profile: Profile, reading: Reading, changes: str | None = None) -> dict[str, Any]:
    """The reading for JSON: pressures in `unit`."""
    return {
        "format": 1,
        "tool": {"name": "limitcheck", "version": __version__},
        "method": profile.method.id,
        "instrument": profile.instrument.id,
        "changed": changes,
        **plain_data(reading),
        "cautions": texts(READING_A_PRESSURE),
    }

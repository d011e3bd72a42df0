"""The plan for isolating a restriction, and what the readings say, as text and as data."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from typing import Any

from ...diagnosis.isolation import Excess, Isolation, PlannedStep
from ...profile.model import Profile
from ...render.lines import safe, wrap
from ...units.printing import digits, short
from ...version import __version__
from ..cautions import AT_THE_BENCH, texts
from ..paragraphs import caution_lines, plain_data

BEFORE_EACH_STEP = "Flow off, display at zero."
HOW_TO_READ = (
    "Each step begins with the flow off and the display at zero; only then open or close "
    "anything, the open end over a waste vessel. Then flow on, with the flow, mobile phase and "
    "temperature of the method; wait until the pressure is steady; read. Where the pump stops "
    "at its high cutoff, take every reading at a lower flow, and say which (--at). Keep the "
    "readings of a good day: given too (--normal), they make the answer far surer."
)


def render(profile: Profile, isolation: Isolation) -> str:
    """Verdict, plan and advice for people."""
    unit = isolation.unit
    lines = [
        *wrap(f"{profile.method.id} on {profile.instrument.id}: where does the restriction sit?"),
        *wrap(capital(isolation.message), "  "),
    ]
    if isolation.reversed_column is not None:
        lines += wrap(capital(isolation.reversed_column), "  ")
    if isolation.doubt is not None:
        lines += wrap(capital(isolation.doubt), "  ")
    if isolation.excesses and isolation.verdict != "contradiction":
        lines += ["", *_table(isolation)]
    if isolation.further:
        lines += ["", "To tell these parts apart, go on:"]
        for step in isolation.further:
            lines += step_lines(step, unit)
    for advice in isolation.advice:
        lines += ["", *wrap(f"If it is the {advice.part}, in this order:")]
        lines += [
            line
            for number, text in enumerate(advice.steps, 1)
            for line in wrap(text, f"  {number}. ", "     ")
        ]
    lines += ["", f"Steps, normal pressure and reading in {unit}:", *wrap(HOW_TO_READ, "  ")]
    for step in isolation.plan:
        lines += step_lines(step, unit)
    if isolation.no_normal is not None:
        lines += ["", *wrap(f"No normal pressures: {isolation.no_normal}.")]
        lines += wrap("Give those of a good day: --normal all=..., --normal column-inlet=...")
    lines += ["", *caution_lines(AT_THE_BENCH)]
    return "\n".join(lines) + "\n"


def step_lines(step: PlannedStep, unit: str) -> Iterator[str]:
    """What to do in one step, the normal pressure then and the reading, if there is one."""
    yield from wrap(f"{step.name}: {action_text(step)}", "  ", "    ")
    read = f"; read: {short(step.reading)} {unit}" if step.reading is not None else ""
    yield f"    normal: {normal_text(step, unit)}{read}"


def action_text(step: PlannedStep) -> str:
    """What to do in one step."""
    return f"{BEFORE_EACH_STEP} {capital(step.action)}."


def normal_text(step: PlannedStep, unit: str) -> str:
    """The normal pressure of one step."""
    if step.low is None or step.high is None:
        return "not known"
    return f"{digits(step.low)} to {digits(step.high)} {unit}"


def _table(isolation: Isolation) -> Iterator[str]:
    yield f"{f'Drop over parts, in {isolation.unit}':<44}{'drop':>8}{'normal':>8}{'excess':>20}"
    for excess in isolation.excesses:
        first, *rest = textwrap.wrap(safe(", ".join(excess.parts)), 41)
        figures = f"{digits(excess.drop):>8}{drop_text(excess):>8}{excess_text(excess):>20}"
        yield f"  {first:<42}{figures}"
        for more in rest:
            yield f"    {more}"


def drop_text(excess: Excess) -> str:
    """The normal drop of a group."""
    return "-" if excess.normal is None else digits(excess.normal)


def excess_text(excess: Excess) -> str:
    """The excess of a group, as an interval."""
    if excess.low is None or excess.high is None:
        return "-"
    return f"{_signed(excess.low)} to {_signed(excess.high)}"


def _signed(value: float) -> str:
    return f"-{digits(-value)}" if value < 0 else digits(value)


def capital(text: str) -> str:
    """The text with a capital first letter."""
    return text[:1].upper() + text[1:]


def document(profile: Profile, isolation: Isolation) -> dict[str, Any]:
    """The isolation for JSON: pressures in `unit`."""
    return {
        "format": 1,
        "tool": {"name": "limitcheck", "version": __version__},
        "method": profile.method.id,
        "instrument": profile.instrument.id,
        **plain_data(isolation),
        "how_to_read": HOW_TO_READ,
        "cautions": texts(AT_THE_BENCH),
    }

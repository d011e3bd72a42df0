"""A column's life as a section of a document."""

from __future__ import annotations

from datetime import datetime

from ..charts.life import life_chart
from ..history.life import Life, WornAt
from ..units.printing import short
from .blocks import Section, Text


def life_section(life: Life) -> Section:
    """When the column will be worn, with the picture."""
    name = f"column {life.serial}" if life.serial else "the column"
    return Section(
        f"Life of {name}", (Text(_verdict(life), strong=True), life_chart(life), Text(_basis(life)))
    )


def _verdict(life: Life) -> str:
    worn = f"{short(life.worn)} {life.unit}, at which it is called worn"
    if life.reached is not None:
        return f"It reached {worn}, on {life.reached:%Y-%m-%d}."
    if life.worn_at is None:
        return f"No day is named for {worn}: {life.why_none}."
    at, what = life.worn_at, "injections" if life.counted else "runs"
    high = "no upper end" if at.high is None else f"{at.high:,.0f}"
    return (
        f"It will reach {worn}, at about {at.central:,.0f} {what} ({at.low:,.0f} to {high}); "
        f"{_dates(at)}."
    )


def _dates(at: WornAt) -> str:
    if at.date is None:
        return "at the pace so far, more than ten years off"
    latest = f"{at.latest:%Y-%m-%d}" if at.latest is not None else "more than ten years off"
    return f"at the pace so far about {at.date:%Y-%m-%d} ({_day(at.earliest)} to {latest})"


def _day(time: datetime | None) -> str:
    return "unknown" if time is None else f"{time:%Y-%m-%d}"


def _basis(life: Life) -> str:
    flow = (
        f"Pressures are taken to {short(life.reference_flow)} mL/min, in proportion to the flow "
        "(laminar, one temperature and mobile phase)."
        if life.reference_flow is not None
        else "Pressures are as read: the log has no flows, or the profile none."
    )
    counted = "" if life.counted else " Injections are not in the log: its rows are counted."
    return (
        f"{flow}{counted} The pressure of a worn column is the laboratory's own. The interval "
        "(95 %) is that of the line through the readings; a blockage that comes suddenly is not in "
        "it."
    )

"""Later readings judged against a normal that was agreed on.

One reading after another, the charts of level and scatter going on from where they stood, so that a
creep too slow for any one day shows.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import BinaryIO

from ..profile.model import Profile
from .agreed import Agreement, CannotJudge, State, conditions_of, fingerprint, hexadecimal
from .layout import Options
from .log import Choice, Log, Logged
from .running import JudgedPhase, RunningCharts
from .summaries import Point

_OTHER_FLOW = 0.02  # of the method's flow


@dataclass(frozen=True, slots=True)
class Judged:
    """New rows against what was agreed; pressures in `unit`."""

    path: str
    sha256: str
    unit: str
    agreed: Agreement
    first: datetime | None
    last: datetime
    readings: int
    before: int  # readings judged earlier
    first_agreed: Agreement | None  # where it was agreed anew since
    phases: tuple[JudgedPhase, ...]
    notes: tuple[str, ...]
    unjudged: bool  # rows in the time agreed on that the agreement does not rest on

    @property
    def as_agreed(self) -> bool:
        """Whether both charts are inside their limits, and no more outside the band than chance."""
        return not self.unjudged and not any(phase.moved for phase in self.phases)


def judge(
    stream: BinaryIO, path: str, options: Options, choice: Choice, profile: Profile, state: State
) -> tuple[Judged, State]:
    """Judge the rows of a log that are later than the last judged, and the state after that.

    Pressures come in the agreed unit. Raises LogError for a log that cannot be used, CannotJudge
    where it is of another unit, method, instrument or column than agreed, where rows that were
    judged are changed, or where no row is new.
    """
    agreed = state.agreed
    _same(agreed, profile)
    log = Log(stream, path, agreed.unit, options)
    log.refuse_unknown(choice)
    charts = {chart.phase: RunningCharts(chart, agreed) for chart in state.charts}
    old, rows = 0, int(state.rows, 16)
    waiting, at_last = list(state.at_last), list(state.at_last)
    seen = total = others = agreed_rows = agreed_print = 0
    own = profile.conditions.flow if profile.conditions is not None else None
    flow = float(own.to("mL/min")) if own is not None else None
    first: datetime | None = None
    last = state.last
    for row in log.rows():
        _refuse_zone(path, row, state)
        if not choice.takes(row):
            continue
        if agreed.method is not None and row.method.casefold() != agreed.method.casefold():
            others += 1
            continue
        if row.time <= agreed.until:
            if row.time >= agreed.since:
                agreed_rows += 1
                agreed_print += fingerprint(row)
            continue
        _refuse_flow(path, row, flow)
        print_of = fingerprint(row)
        if row.time < state.last or (row.time == state.last and hexadecimal(print_of) in waiting):
            if row.time == state.last:
                waiting.remove(hexadecimal(print_of))
            seen += 1
            old += print_of
            continue
        if row.column and agreed.columns and row.column not in agreed.columns:
            raise CannotJudge(
                f"{path}:{row.line}: column {row.column} is not the one agreed on, "
                f"{', '.join(agreed.columns)}",
                "log its steady runs and agree anew, or choose one with --column",
            )
        if row.phase not in charts:
            known = ", ".join(f'"{name}"' for name in charts)
            raise CannotJudge(
                f'{path}:{row.line}: phase "{row.phase}" was not agreed on: {known}',
                "name the phases alike, or agree anew",
            )
        charts[row.phase].add(Point(row.line, row.time, row.pressure))
        rows += print_of
        at_last = [*(at_last if row.time == last else ()), hexadecimal(print_of)]
        first, last, total = first or row.time, row.time, total + 1
    notes = [*_on_agreed_rows(agreed_rows, agreed_print, agreed), *_on_old_rows(seen, old, state)]
    if first is None and others:
        raise CannotJudge(
            f"{path}: no row is of method {agreed.method}", "name the methods as before"
        )
    if first is None:
        raise CannotJudge(
            f"{path}: no row is later than the last judged, {state.last:%Y-%m-%d %H:%M}",
            "give the log with the new rows",
        )
    unjudged = agreed_rows not in (0, agreed.readings)
    phases = tuple(chart.finish() for chart in charts.values())
    judged = Judged(
        path, log.sha256(), agreed.unit, agreed, first, last, total, state.judged,
        state.agreements[0] if len(state.agreements) > 1 else None, phases, tuple(notes),
        unjudged,
    )  # fmt: skip
    after = state.model_copy(
        update={
            "charts": tuple(chart.state() for chart in charts.values()),
            "last": last,
            "judged": state.judged + total,
            "rows": hexadecimal(rows),
            "at_last": tuple(at_last),
        }
    )
    return judged, after


def _same(agreed: Agreement, profile: Profile) -> None:
    """Raises CannotJudge where the profile is not the one that was agreed for."""
    now = {
        "method": (agreed.profile_method, profile.method.id),
        "instrument": (agreed.instrument, profile.instrument.id),
        "site": (agreed.site, profile.method.site),
        "unit": (agreed.unit, profile.instrument.pressure_unit),
    }
    high, low = profile.cutoffs.high, profile.cutoffs.low
    top, bottom = (max(p.high for p in agreed.phases), min(p.low for p in agreed.phases))
    for cutoff, inside in (
        (high, high is not None and 0 < float(high.to(agreed.unit)) <= top),
        (low, low is not None and float(low.to(agreed.unit)) >= bottom),
    ):
        if inside:
            raise CannotJudge(
                f"the cutoff {cutoff} lies inside the agreed band",
                "see to the cutoff first (limitcheck check), or agree anew",
            )
    if agreed.conditions != conditions_of(profile):
        raise CannotJudge(
            "[conditions] or the flow path of the profile are not those agreed for",
            "take the profile as it was, or log steady runs and agree anew",
        )
    for what, (then, here) in now.items():
        if then != here:
            raise CannotJudge(
                f"the {what} of the profile is {here or 'not given'}, agreed was for "
                f"{then or 'none'}",
                "take the state that belongs to this profile, or agree anew",
            )


def _refuse_zone(path: str, row: Logged, state: State) -> None:
    """Raises CannotJudge for times that cannot be compared."""
    if (row.time.tzinfo is None) is not (state.last.tzinfo is None):
        raise CannotJudge(
            f"{path}:{row.line}: times with a time zone here, or in what was agreed, not both",
            "write times as in the log agreed on, or agree anew",
        )


def _refuse_flow(path: str, row: Logged, flow: float | None) -> None:
    """Raises CannotJudge for a run at another flow [mL/min] than the method's."""
    if flow is not None and row.flow is not None and abs(row.flow / flow - 1) > _OTHER_FLOW:
        raise CannotJudge(
            f"{path}:{row.line}: a flow of {row.flow:g} mL/min, the method's is {flow:g}",
            "judge runs of the method's flow alone",
        )


def _on_agreed_rows(rows: int, fingerprints: int, agreed: Agreement) -> Iterator[str]:
    """What is known of the rows agreed on, where the log still holds them."""
    if rows == agreed.readings and hexadecimal(fingerprints) != agreed.rows:
        raise CannotJudge(
            "rows that were agreed on are changed in this log",
            "find out who changed them and why; then agree anew, with the reason",
        )
    if rows not in (0, agreed.readings):
        yield (
            f"{rows} rows lie in the time agreed on, which rests on {agreed.readings}: none of "
            "them was judged. Were rows put in, or taken out?"
        )


def _on_old_rows(seen: int, fingerprint: int, state: State) -> Iterator[str]:
    """What is known of the rows judged before, where the log still holds them."""
    if seen > state.judged:
        raise CannotJudge(
            f"the log holds {seen} rows between what was agreed and the last judged, "
            f"{state.judged} were judged",
            "rows were put in later; were they left out before? Agree anew, with the reason",
        )
    if seen == state.judged and hexadecimal(fingerprint) != state.rows:
        raise CannotJudge(
            "rows that were judged before are changed in this log",
            "find out who changed them and why; then agree anew, with the reason",
        )
    if 0 < seen < state.judged:
        yield (
            f"{seen} rows are not later than the last judged, and were not judged; "
            f"{state.judged - seen} of the {state.judged} judged before are not in this log."
        )

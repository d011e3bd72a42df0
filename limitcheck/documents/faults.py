"""What faults do to the pressure, as a document."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import date

from ..physics.faults import (
    FaultEffect,
    Faults,
    NotComputed,
    NotRated,
    Overload,
    Smallest,
    not_rated,
    overload,
)
from ..physics.left_out import PARTS_LEFT_OUT, allowed
from ..physics.liquid import CannotPredict
from ..physics.over_course import run_ends
from ..profile.load import ProfileFile
from ..units import Pressure
from ..units.printing import as_read, as_stated
from .blocks import Bullets, Document, Section, Table, Text
from .parts import answer, band_not_used, named
from .verdict import not_used

OUTCOMES = {
    None: "Nobody notices",
    "high": "The high cutoff stops the pump",
    "low": "The low cutoff stops the pump",
}
CAUTION = (
    "A fault that nobody notices can still spoil results or wet the bench: cutoffs do not replace "
    "leak sensors, system suitability tests and a look at the instrument."
)
CERTAINTY = (
    "usually: from the middle of the normal band on, or from the most likely pressure on where it "
    "is predicted; sometimes: only at its end."
)
UNSURE = "as wide as the prediction is unsure, not as the pressure moves"
NOT_MEASURED = (
    "What stands here as usually or sometimes holds or does not, for one system; measure its "
    "normal pressure to know."
)
RESTS_ON_IT = "What stands here rests on it."
FROM_PAIRS = (
    "It rests on the measured pairs; what stands here as usually or sometimes is what they leave "
    "open. To know, give in [expected] what normal runs read."
)


def faults_document(file: ProfileFile, found: Faults, day: date, *, doubt: str) -> Document:
    """Which faults go unnoticed, which cutoff stops the others, and the smallest that is seen.

    ``doubt`` is what speaks against the band that they start from.
    """
    profile, unseen = file.profile, [e for e in found.effects if e.stopped_by is None]
    cutoffs = ", ".join(
        f"{name} {value if value is not None and value.value > 0 else 'off'}"
        for name, value in (("high", profile.cutoffs.high), ("low", profile.cutoffs.low))
    )
    verdict = (
        f"{named(profile)}: nobody notices {len(unseen)} of {len(found.effects)} faults with "
        f"these cutoffs: {cutoffs}."
    )
    over = sum(overloaded(found, effect) is not None for effect in found.effects)
    told = [Text(verdict, strong=True)]
    if over:
        more = "1 fault" if over == 1 else f"{over} faults"
        text = f"{more} can pass what a part holds before anything stops the pump."
        told.append(Text(text, strong=True))
    said = doubt if found.normal.typed else band_not_used(doubt)
    against = [Text(said, strong=True)] if doubt else []
    not_given = [Text(text) for text in _not_rated_told(found)]
    summary = (*told, *not_given, *against, Text(normal_text(found, in_doubt=bool(doubt))))
    summary = (*summary, Text(CAUTION))
    return answer(f"Faults of {named(profile)}", summary, faults_sections(found), [file], day)


def normal_text(found: Faults, *, in_doubt: bool) -> str:
    """The pressure that faults start from, `in_doubt` where something speaks against the band.

    Raises CannotPredict where there is none.
    """
    normal, unit = found.normal, found.profile.instrument.pressure_unit
    span = _span(normal.low, normal.high, unit, normal.typed)
    if in_doubt and normal.typed:
        told = [f"Expected pressure, in doubt: {span} ({normal.basis}).", RESTS_ON_IT]
        return " ".join([*told, *_predicted_told(found)])
    told = [f"Normal pressure: {span} ({normal.basis})."]
    told += _predicted_told(found)
    for which, reached in (("low", _reached_low(found)), ("high", _reached_high(found))):
        if reached:
            told.append(f"A normal run itself {reached} the {which} cutoff: correct that first.")
    if normal.basis == "declared" and (beyond := _beyond(found)):
        told.append(beyond)
    return " ".join(told)


def _span(low: float, high: float, unit: str, typed: tuple[Pressure, ...] = ()) -> str:
    least, most = (as_stated(end, unit, typed=typed) for end in (low, high))
    return f"{least} to {most} {unit}"


def _predicted_told(found: Faults) -> Iterator[str]:
    """What a predicted band is, and where the pressures of one system lie."""
    normal, unit = found.normal, found.profile.instrument.pressure_unit
    if normal.basis != "predicted":
        return
    low, high = (_span(end.low, end.high, unit) for end in (normal.lowest, normal.highest))
    expected, unsure = found.profile.expected, (normal.lowest.low, normal.highest.high)
    try:
        fit = found.prediction.ready.path.fit
    except CannotPredict as error:
        yield f"That is only predicted; how unsure it is can't be worked out: {error.message}."
        yield NOT_MEASURED
        return
    if normal.gradient:
        yield (
            f"It is predicted: for one system the lowest pressure of the run lies somewhere in "
            f"{low}, the highest somewhere in {high}."
        )
    elif expected is not None and unsure != (normal.low, normal.high):
        yield f"It is predicted: for one system it lies somewhere in {high}, {UNSURE}."
    else:
        yield f"It is predicted: for one system it lies somewhere in that band, {UNSURE}."
    if normal.left_out:
        yield left_out_text(normal.left_out, unit)
    yield FROM_PAIRS if fit is not None and not fit.unused else NOT_MEASURED
    if unused := not_used(normal):
        yield unused.rstrip()


def left_out_text(pascal: float, unit: str) -> str:
    """How much of the high end is allowed for parts left out, a sentence."""
    return f"{allowed(pascal, unit)} of its high end is for {PARTS_LEFT_OUT}."


def _reached_low(found: Faults) -> str:
    """Whether a normal run reaches the low cutoff, or may; empty where it does not."""
    low, normal = found.cutoff("low"), found.normal
    if low is None or normal.low > low:
        return ""
    return "may reach" if found.profile.expected is None and normal.lowest.high > low else "reaches"


def _reached_high(found: Faults) -> str:
    """The same for the high cutoff."""
    high, normal = found.cutoff("high"), found.normal
    if high is None or normal.high < high:
        return ""
    only = found.profile.expected is None and normal.highest.low < high
    return "may reach" if only else "reaches"


def _not_rated_told(found: Faults) -> Iterator[str]:
    """Which faults lie beyond what a derating table states, in sentences."""
    for fault, part in open_ratings(found):
        at = f"the {part.by} is {part.at or 'not given'}"
        when = f"With {fault_words(fault)} {at}" if fault else f"In the method {at}"
        yield f"{when}, and {part.reason}: whether it holds is not decided."


def open_ratings(found: Faults) -> Iterator[tuple[str, NotRated]]:
    """Parts without a stated rating in the method, under no name, and under each other fault."""
    always = not_rated(found.profile)
    yield from (("", part) for part in always)
    known = {part.path for part in always}
    for effect in found.effects:
        hit = overloaded(found, effect)
        for part in not_rated(found.profile, effect.name):
            if part.path not in known and (hit is None or hit.part.place != part.part.place):
                yield effect.name, part


def _beyond(found: Faults) -> str:
    """What to say of a declared band that no prediction bears out; empty where one does."""
    try:
        predicted = found.prediction
    except CannotPredict:
        return ""
    normal, unit = found.normal, found.profile.instrument.pressure_unit
    lowest, highest = run_ends(found.profile, predicted)
    low, high = lowest.low, highest.high
    if low <= normal.low and normal.high <= high:
        return ""
    return (
        f"It is only declared, and reaches beyond what is predicted, {as_read(low, unit)} to "
        f"{as_read(high, unit)} {unit}: what stands below is no surer than that band. Measure it."
    )


def faults_sections(found: Faults) -> Iterator[Section]:
    """The pressure under each fault, by outcome, the smallest fault seen, what is not known."""
    unit = found.profile.instrument.pressure_unit
    for outcome, heading in OUTCOMES.items():
        effects = [effect for effect in found.effects if effect.stopped_by == outcome]
        if not effects:
            continue
        columns = ["Fault", "What happens", "Low", "Middle", "High"]
        rows = [_row(effect, unit) for effect in effects]
        if outcome is not None:
            columns.append("How surely")
            rows = [(*row, e.certainty or "") for row, e in zip(rows, effects, strict=True)]
        table = Table("", tuple(columns), tuple(rows), (2, 3, 4))
        yield Section(f"{heading}; pressure in {unit}", (table,))
    over = [(e, hit) for e in found.effects if (hit := overloaded(found, e)) is not None]
    if over:
        title = f"Past what a part holds, before anything stops the pump; pressure in {unit}"
        reached = tuple((fault_words(e.name), _reached(h, unit), h.told) for e, h in over)
        table = Table("", ("Fault", "Reaches", "Weakest part, what it holds"), reached)
        yield Section(title, (table,))
    smallest = tuple((item.description, _seen(item)) for item in found.smallest)
    seen = Table(
        "From the near to the far end of the normal band", ("Fault", "Seen from"), smallest
    )
    yield Section("The smallest fault that these cutoffs see", (seen, Text(CERTAINTY)))
    yield from not_worked_out(found.not_computed)


def _reached(hit: Overload, unit: str) -> str:
    """Where the cutoff stops it, or about how far it goes without."""
    pressure = as_read(hit.reached, unit)
    return f"{pressure}, the high cutoff" if hit.stopped else f"about {pressure}"


def overloaded(found: Faults, effect: FaultEffect) -> Overload | None:
    """The part that a fault takes past what it holds, if any, before the high cutoff stops it."""
    high = found.profile.cutoffs.high
    on = high if high is not None and high.value > 0 else None
    return overload(found.profile, effect.name, effect.most, on)


def not_worked_out(
    faults: Iterable[NotComputed], words: Callable[[str], str] | None = None
) -> Iterator[Section]:
    """The faults of which nothing is known, by reason; `words` are those of a name."""
    by_reason: dict[str, list[str]] = {}
    for fault in faults:
        by_reason.setdefault(fault.reason, []).append((words or fault_words)(fault.name))
    if by_reason:
        items = tuple(f"{', '.join(names)}: {reason}" for reason, names in by_reason.items())
        yield Section("Not worked out", (Bullets(items),))


def fault_words(name: str) -> str:
    """A fault's name as words; the solvents keep their capitals."""
    return {"only-a": "only A", "only-b": "only B"}.get(name, name.replace("-", " "))


def _row(effect: FaultEffect, unit: str) -> tuple[str, ...]:
    band = (as_read(pascal, unit) for pascal in (effect.low, effect.central, effect.high))
    return (fault_words(effect.name), effect.description, *band)


def _seen(smallest: Smallest) -> str:
    if smallest.earliest is None or smallest.latest is None:
        return smallest.reason or ""
    near, far = round(100 * smallest.earliest), round(100 * smallest.latest)
    return f"{near} %" if near == far else f"{near} to {far} %"

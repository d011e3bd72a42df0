"""Units: which was meant, conversions by rule of thumb, conversions rounded past a rating."""

from __future__ import annotations

from collections.abc import Iterator

from ..findings import Confidence, Finding, KeyPath, Related, Severity, Suggestion
from ..meant import Explanation, Group, Verdict, judge
from ..meant.evidence import EXPECTED, HIGH, INSTRUMENT, LOW
from ..profile.hardware import RatedPart
from ..units import Pressure, plain, plain_or_rounded, round_down, round_up, show
from ..units.rules_of_thumb import by_rule_of_thumb, rounded_over
from .bench import left_as_typed
from .subject import Subject, gap, typed


def unit_confusion(subject: Subject) -> Iterator[Finding]:
    """A number was most likely meant in another unit.

    At the bench: a number ten times too small stops the run as soon as the pump starts; one
    ten times too large protects nothing, and the weakest part gives way first.
    The numbers of a profile (cutoffs, expected band, ratings, the instrument's unit) are held
    against each other and against the predicted pressure. Where they do not agree as
    declared, the smallest change of units under which they do is named. Where several fit
    alike, all are named, with the measurement that would settle it.
    bar and kgf/cm2 are 2 % apart and are never told apart this way.
    Do: check the number at its origin (method, label, instrument), then enter what is given.
    Source: arithmetic, and the ratios that people use (common practice, no source).
    """
    verdict = judge(subject.evidence)
    if verdict is None:
        return
    explanation = verdict.best
    for group, unit in explanation.meant.items():
        yield _confused(subject, verdict, explanation, group, unit)


def _confused(
    subject: Subject, verdict: Verdict, explanation: Explanation, group: Group, unit: str
) -> Finding:
    broken = verdict.declared.broken
    if verdict.ties or verdict.near_miss:
        confidence = Confidence.POSSIBLE
    elif verdict.clear and broken and group in (HIGH, LOW, EXPECTED):
        # A rating plate or a front panel must be looked at, however clear the numbers are.
        confidence = Confidence.CERTAIN
    else:
        confidence = Confidence.LIKELY
    suggestions = corrections(subject, group, unit)
    first = suggestions[0]
    was = _declared_unit(subject, group)
    near = f" ({_near(unit)} would fit as well: 2 % apart)" if explanation.near else ""
    both = ""
    if len(explanation.meant) == 2:
        both = " Two numbers must be read so for all to agree; see the other finding."
    message = (
        f"{left_as_typed(subject, group)} {_read_as(subject, group, unit)}{near}, and all "
        f"numbers of the profile agree: {unit} was meant, not {was}.{both}"
    )
    return Finding(
        Severity.ERROR if broken else Severity.WARNING,
        message,
        _advice(suggestions, verdict.ties),
        _path(group),
        confidence=confidence,
        related=_related(subject, group),
        suggestion=first,
        also=tuple(suggestions[1:]),
        data={"meant_unit": unit, "ties": [_tie_data(tie) for tie in verdict.ties]},
    )


def _path(group: Group) -> KeyPath:
    return (*group, "high") if group == EXPECTED else group


def corrections(subject: Subject, group: Group, unit: str) -> list[Suggestion]:
    """What to enter where if a group was meant in another unit, rounded the safe way."""
    instrument, path = subject.profile.instrument, _path(group)
    if group == INSTRUMENT:
        return [Suggestion(INSTRUMENT, unit, unit, unit)]
    if group[0] == "flow_path":
        number = _rating(subject, group).number
        return [Suggestion(path, number, unit, unit)]
    found = []
    for path, entered in _entered(subject, group):
        value = Pressure.of(entered.number, unit).to(instrument.pressure_unit)
        rounding = round_up if path in (LOW, (*EXPECTED, "high")) else round_down
        enter = plain_or_rounded(rounding(value, instrument.step))
        found.append(Suggestion(path, enter, instrument.pressure_unit, unit))
    return found


def _entered(subject: Subject, group: Group) -> list[tuple[KeyPath, Pressure]]:
    if group == HIGH:
        return [(HIGH, subject.high)]
    if group == LOW:
        return [(LOW, subject.low)]
    expected = subject.expected
    return [((*EXPECTED, "high"), expected.high), ((*EXPECTED, "low"), expected.low)]


def _rating(subject: Subject, group: Group) -> Pressure:
    rated = next(part for part in subject.rated if part.index == group[1])
    return rated.part.rating or rated.pressure


def _declared_unit(subject: Subject, group: Group) -> str:
    if group == EXPECTED:
        return subject.expected.high.unit
    return _rating(subject, group).unit if group[0] == "flow_path" else subject.unit


def _read_as(subject: Subject, group: Group, unit: str) -> str:
    """The number in the meant unit, and what that is in the declared one."""
    if group == INSTRUMENT:
        return f"Read as {unit}, what was typed at this instrument fits the hardware"
    if group == EXPECTED:
        band = subject.expected
        low, high = (Pressure.of(p.number, unit) for p in (band.low, band.high))
        return f"Read as {unit} it is {show(low, subject.unit)} to {show(high, subject.unit)}"
    number = _rating(subject, group) if group[0] == "flow_path" else _entered(subject, group)[0][1]
    meant = Pressure.of(number.number, unit)
    return f"Read as {meant} it is {show(meant, number.unit)}"


def _near(unit: str) -> str:
    return "bar" if unit == "kgf/cm2" else "kgf/cm2"


def _advice(suggestions: list[Suggestion], ties: tuple[Explanation, ...]) -> str:
    first = suggestions[0]
    if first.path == INSTRUMENT:
        text = f'Set pressure_unit = "{first.enter}" if that is what the front panel shows.'
    elif first.path[0] == "flow_path":
        text = f'Read the plate again; write rating = "{first.enter} {first.unit}" if it says so.'
    else:
        numbers = " and ".join(f"{s.path[-1]} = {s.enter}" for s in suggestions)
        text = f"Check the number at its origin, then enter {numbers} ({first.unit})."
    if ties:
        others = "; ".join(_tie_text(tie) for tie in ties)
        text += (
            f" It may as well be: {others}. A pressure read on the running method, with its "
            "unit, settles it."
        )
    return text


def _tie_text(tie: Explanation) -> str:
    return " and ".join(f"{_name(group)} in {unit}" for group, unit in tie.meant.items())


def _name(group: Group) -> str:
    names = {
        HIGH: "the high cutoff",
        LOW: "the low cutoff",
        EXPECTED: "the expected band",
        INSTRUMENT: "all numbers of the instrument",
    }
    return names.get(group) or f"the rating of part {int(group[1]) + 1}"


def _tie_data(tie: Explanation) -> list[dict[str, object]]:
    return [{"path": list(_path(group)), "meant_unit": unit} for group, unit in tie.meant.items()]


def _related(subject: Subject, group: Group) -> tuple[Related, ...]:
    related = []
    expected, weakest = subject.profile.expected, subject.weakest
    if expected is not None and group != EXPECTED:
        band = f"expected {expected.low} to {expected.high}"
        related.append(Related((*EXPECTED, "high"), band))
    if weakest is not None and weakest.path != group:
        related.append(Related(weakest.path, f"weakest: {weakest.name}, {weakest.pressure}"))
    return tuple(related)


def rule_of_thumb_conversion(subject: Subject) -> Iterator[Finding]:
    """A cutoff is a rating times a rule of thumb, such as 15 psi to the bar.

    At the bench: 15 psi to the bar is 3.4 % too high, enough to pass a rating: 400 bar
    becomes 6000 psi, which is 413.7 bar.
    Do: convert exactly (`limitcheck convert`) and round down.
    Source: the rule is common practice, no source; the exact factors are NIST SP 811's.
    """
    high, step = subject.high, subject.profile.instrument.step
    for rated in subject.loaded:
        thumb = by_rule_of_thumb(high, rated.pressure, step)
        if thumb is None:
            continue
        over = high.value > rated.pressure.value
        if not over and subject.evidence.untouched:
            continue  # the same number stands on another label
        exact = show(thumb.exact, subject.unit, apart=[high])
        effect = (
            f"{gap(high, rated.pressure, subject.unit)} above the rating"
            if over
            else f"{gap(rated.pressure, high, subject.unit)} under it"
        )
        yield Finding(
            Severity.ERROR if over else Severity.NOTE,
            f"The high cutoff {high} is the rating of the {rated.name}, {rated.pressure}, by the "
            f"rule {thumb.rule}. Exactly it is {exact}: the cutoff is {effect}.",
            "Convert exactly and round down.",
            HIGH,
            confidence=Confidence.LIKELY,
            related=(Related(rated.path, f"{rated.name} is rated {rated.pressure}"),),
            suggestion=_rating_rounded_down(subject, rated) if over else None,
        )
        return


def rounded_over_rating(subject: Subject) -> Iterator[Finding]:
    """A cutoff is a rating converted to another unit and rounded up past it.

    At the bench: the cutoff is above the rating by less than a display step. Little, but a
    record that says "not above the rating" is then wrong.
    Do: round high cutoffs down.
    Source: arithmetic; 400 bar is 5801.5 psi (NIST SP 811), not 5802.
    """
    high, step = subject.high, subject.profile.instrument.step
    for rated in subject.loaded:
        if not rounded_over(high, rated.pressure, step):
            continue
        yield Finding(
            Severity.ERROR,
            f"The high cutoff {typed(high, rated.pressure)} is the rating of the {rated.name}, "
            f"{rated.pressure}, converted and rounded up: exactly it is "
            f"{show(rated.pressure, subject.unit, apart=[high])}.",
            "Round high cutoffs down.",
            HIGH,
            related=(Related(rated.path, f"{rated.name} is rated {rated.pressure}"),),
            suggestion=_rating_rounded_down(subject, rated),
        )
        return


def _rating_rounded_down(subject: Subject, rated: RatedPart) -> Suggestion | None:
    """The largest number the field stores that is not above a rating, if no part is weaker."""
    step = subject.profile.instrument.step
    number = round_down(rated.pressure.to(subject.unit), step)
    if number <= 0 or subject.weakest is not rated:
        return None
    return Suggestion(HIGH, plain(number), subject.unit, kind="rounding")

"""Which number was meant: a unit, a digit, a length. What `meant` judged, as findings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction

from ..findings import Confidence, Finding, KeyPath, Related, Severity, Suggestion, path_text
from ..meant import Explanation, Group, Judgement, MeantNumber
from ..meant.evidence import EXPECTED, EXPECTED_HIGH, EXPECTED_LOW, HIGH, INSTRUMENT, LOW, NEAR_UNIT
from ..meant.geometry import value_at
from ..profile.model import Column, Profile
from ..profile.plausible import Implausible
from ..units import Flow, Length, Pressure, is_in, plain, plain_or_rounded, round_safely, show
from .bench import change_text, left_as_typed, name_of, origin, settles
from .identity import changed, found_at, shown
from .subject import Skip, Subject

MEANT = {
    Confidence.CERTAIN: "was meant",
    Confidence.LIKELY: "was probably meant",
    Confidence.POSSIBLE: "may have been meant",
}
_MOVED = Fraction(1, 100)
"""Rounded to the step of the field by more than this share, a number says something else."""
_EVEN = Fraction(1, 400)
"""A number that is not stored is written in full steps where that moves it by no more."""


def unit_confusion(subject: Subject) -> Iterator[Finding]:
    """A number may have been meant in another unit.

    At the bench: a number ten times too small stops the run as soon as the pump starts; one
    ten times too large protects nothing, and the weakest part gives way first.
    The numbers of a profile (cutoffs, expected band or one end of it, ratings, the largest
    entry, the instrument's unit) are compared with each other and with the predicted
    pressure. Where they do not agree as declared, the smallest change under which they do is
    named, with how probable it is; another unit is one explanation, a typing error another.
    bar and kgf/cm2 are 2 % apart and are never told apart this way.
    Do: check the number at its origin (method, label, instrument).
    Source: arithmetic, and the ratios that people use (common practice, no source).
    """
    for judgement, change in _changes(subject):
        if change.kind not in ("typing", "geometry"):
            yield _finding(subject, judgement, change, _unit_message(subject, judgement, change))
    _comparable(subject)


def mistyped_number(subject: Subject) -> Iterator[Finding]:
    """A pressure may have a typing error: a digit, or the decimal point.

    At the bench: as with a wrong unit, a cutoff ten times off stops every run or protects
    nothing; one wrong digit can do the same.
    A digit left out, typed twice, wrong, or changed with the next, and ten times, a tenth
    or a hundred times the number: where one of these in one number makes all numbers of the
    profile agree, and no other explanation is more probable, it is named.
    Do: check the number at its origin (method, label, instrument).
    Source: arithmetic, and the ratios that people use (common practice, no source).
    """
    for judgement, change in _changes(subject):
        if change.kind == "typing":
            number = f"{change.number} {change.unit}"
            it = "all but the predicted pressure" if judgement.best.against_prediction else "it"
            message = (
                f"{left_as_typed(subject, change.group)} A typing error explains {it}: {number} "
                f"{MEANT[judgement.confidence]}."
            )
            if judgement.best.either:
                message += " Another unit would give the same number."
            yield _finding(subject, judgement, change, message)
    _comparable(subject)


def _comparable(subject: Subject) -> None:
    """Skips the check where a number stands alone: nothing can contradict its unit."""
    subject.expected_or_predicted()
    subject.all_rated()
    _ = subject.high


def geometry_implausible(subject: Subject) -> Iterator[Finding]:
    """A length, a particle size, a bore or the flow is hardly possible, or does not fit.

    At the bench: the pressure predicted from it is wrong, often by orders of magnitude, and
    every limit and diagnosis that rests on the prediction with it.
    Particles are given in um, bores and column lengths in mm: a size in the other unit is 1000
    times off. A bore may be given as its radius, a flow in the wrong one of mL/min and uL/min.
    Do: check the length or flow at its origin (column label, method).
    Source: common practice, no source (wide ranges by kind of part).
    """
    for item in subject.evidence.geometry:
        judged = [j for j in subject.meant.sizes if j.broken[0].path == item.paths[0]]
        outside = _outside(subject, item)
        found = Finding(Severity.WARNING, outside, origin(item.paths[0]), item.paths[0])
        if judged:
            change = judged[0].best.changes[0]
            meant = f" {change.number} {change.unit} {MEANT[judged[0].confidence]}."
            found = _finding(subject, judged[0], change, outside + meant, Severity.WARNING)
        yield _of_all(subject, item, found)
    for judgement, change in _changes(subject):
        if change.kind == "geometry":
            name = name_of(subject.profile, change.group)
            message = (
                f"The {name}, {value_at(subject.profile, change.group)}, does not fit the expected "
                f"pressure: with {change.number} {change.unit} the two agree; that "
                f"{MEANT[judgement.confidence]}."
            )
            yield _finding(subject, judgement, change, message, Severity.WARNING)
    for index, part in enumerate(subject.profile.flow_path):
        packed = isinstance(part, Column) and part.particle != "monolith"
        for key in ("length", "bore", "particle_size") if packed else ():
            if getattr(part, key) is None:
                what = f"{key} of the {part.name}"
                raise Skip(f"no {what}", what, ("flow_path", index))


def _of_all(subject: Subject, item: Implausible, found: Finding) -> Finding:
    """Given for every number that it may lie in: the one at its place, the others by key."""
    own, *rest = dict.fromkeys((found.path, *item.paths))
    others = {str(path[-1]): shown(found_at(subject.profile, path)) for path in rest}
    if others and isinstance(meant := found.compared.limit, str) and meant:
        others["meant"] = meant
    value = shown(found_at(subject.profile, own))
    return found._replace(compared=changed(value, others)) if others else found


def _changes(subject: Subject) -> Iterator[tuple[Judgement, MeantNumber]]:
    """The numbers under whose change the pressures of the profile agree."""
    judgement = subject.meant.pressures
    if judgement is not None:
        yield from ((judgement, change) for change in judgement.best.changes)


def _finding(
    subject: Subject,
    judgement: Judgement,
    change: MeantNumber,
    message: str,
    worst: Severity = Severity.ERROR,
) -> Finding:
    suggestions = meant(subject, change)
    number = f"{change.number} " if change.number else ""
    seen = ", ".join(shown(found_at(subject.profile, item.path)) for item in suggestions)
    sure = judgement.broken and judgement.confidence is not Confidence.POSSIBLE
    best, rivals = judgement.best, judgement.rivals
    data = {
        "meant_unit": change.unit,
        "probability": round(best.probability, 4),
        "rivals": [rival_data(rival.changes, rival.probability) for rival in rivals],
    }
    return Finding(
        worst if sure else Severity.WARNING,
        message,
        _advice(subject, change, judgement),
        suggestions[0].path,
        confidence=judgement.confidence,
        related=_related(subject, change.group),
        suggestion=suggestions[0],
        also=tuple(suggestions[1:]),
        doubts=tuple(path for rival in rivals for path in places(rival.changes)),
        compared=changed(seen, f"{number}{change.unit}, {judgement.confidence}"),
        data=data,
    )


def _unit_message(subject: Subject, judgement: Judgement, change: MeantNumber) -> str:
    best, group = judgement.best, change.group
    near = ""
    if best.near and change.unit in NEAR_UNIT:
        near = f" ({NEAR_UNIT[change.unit]} would fit as well: 2 % apart)"
    agree = "all numbers of the profile agree"
    if best.against_prediction:
        agree = "all numbers but the predicted pressure agree"
    text = (
        f"{left_as_typed(subject, group)} {_read_as(subject, group, change.unit)}{near}, and "
        f"{agree}: {change.unit} {MEANT[judgement.confidence]}, not "
        f"{subject.evidence.unit_of(group)}."
    )
    if best.either:
        text += " A misplaced decimal point would give the same number."
    if len(best.changes) == 2:
        text += " Two numbers must be read so for all to agree; see the other finding."
    return text


def _read_as(subject: Subject, group: Group, unit: str) -> str:
    """The number in the meant unit, and what that is in the declared one."""
    if group == INSTRUMENT:
        return f"Read as {unit}, what was typed at this instrument fits the hardware"
    if group == EXPECTED:
        band = subject.expected
        low, high = (Pressure.of(p.number, unit) for p in (band.low, band.high))
        return f"Read as {unit} it {is_in(low, subject.unit)} to {show(high, subject.unit)}"
    number = Pressure.of(subject.evidence.text_of(group), unit)
    which = f"its {'minimum' if group == EXPECTED_LOW else 'maximum'} " if _is_end(group) else "it "
    return f"Read as {number} {which}{is_in(number, subject.evidence.unit_of(group))}"


def _is_end(group: Group) -> bool:
    return group in (EXPECTED_LOW, EXPECTED_HIGH)


def meant(subject: Subject, change: MeantNumber) -> list[Suggestion]:
    """What a change says was meant, as it belongs in each field; cutoffs rounded the safe way."""
    group, unit, kind = change.group, change.unit, change.kind
    if group == INSTRUMENT:
        return [Suggestion(group, unit, unit, unit)]
    if group[0] in ("flow_path", "conditions"):
        number = change.number or subject.evidence.text_of(group)
        return [Suggestion(group, number, unit, unit, kind)]
    groups = (EXPECTED_HIGH, EXPECTED_LOW) if group == EXPECTED else (group,)
    return [_number_meant(subject, path, change) for path in groups]


def _number_meant(subject: Subject, path: KeyPath, change: MeantNumber) -> Suggestion:
    """The number that belongs in a field: in the field's own unit, to its step."""
    into = subject.evidence.unit_of(path)
    if change.kind == "typing":
        return Suggestion(path, change.number, into, change.unit, "typing")
    value = Pressure.of(subject.evidence.text_of(path), change.unit).to(into)
    step = subject.profile.instrument.step
    if path not in (HIGH, LOW):  # these need not be storable
        nearest = round(value / step) * step
        even = abs(nearest - value) <= _EVEN * value
        enter = plain(nearest) if even else plain_or_rounded(value, 4)
        return Suggestion(path, enter, into, change.unit, change.kind)
    stored = round_safely(value, step, str(path[-1]))
    exact = abs(stored - value) <= _MOVED * value
    enter = plain_or_rounded(stored)
    return Suggestion(path, enter, into, change.unit, change.kind, exact)


def _advice(subject: Subject, change: MeantNumber, judgement: Judgement) -> str:
    text, best, rivals = origin(change.group), judgement.best, judgement.rivals
    if rivals:
        shares: dict[str, float] = {}  # several digits of one number read the same in words
        for rival in rivals:
            words = _text(subject.profile, rival)
            shares[words] = shares.get(words, 0.0) + rival.probability
        odds = (f"{words} (odds {_odds(best, share)})" for words, share in shares.items())
        text += f" It may also be: {'; '.join(odds)}. {settles(change.group)}"
    return text


def _odds(best: Explanation, share: float) -> str:
    """Of a rival's probability; several together may be as probable as the best, or more."""
    ratio = best.probability / share
    return f"1 to {round(ratio)}" if ratio >= 1 else f"{round(1 / ratio)} to 1"


def _text(profile: Profile, explanation: Explanation) -> str:
    return " and ".join(change_text(profile, change) for change in explanation.changes)


def places(changes: Iterable[MeantNumber]) -> Iterator[KeyPath]:
    """Where the numbers stand that an explanation changes."""
    return (_path(change.group) for change in changes)


def rival_data(
    changes: tuple[MeantNumber, ...], probability: float | None = None
) -> dict[str, object]:
    """Another explanation as data: the numbers in doubt, the unit meant, how probable it is."""
    data: dict[str, object] = {
        "paths": [path_text(place) for place in places(changes)],
        "kind": changes[0].kind,
        "meant_unit": changes[0].unit,
    }
    return data if probability is None else data | {"probability": round(probability, 4)}


def _path(group: Group) -> KeyPath:
    return EXPECTED_HIGH if group == EXPECTED else group


def _outside(subject: Subject, item: Implausible) -> str:
    value = value_at(subject.profile, item.paths[0])
    if len(item.paths) > 1:
        flow = value_at(subject.profile, item.paths[1])
        return f"A flow of {flow} does not go with a bore of {value}."
    least, most = (_written(amount, value) for amount in (item.least, item.most))
    name = name_of(subject.profile, item.paths[0])
    return f"The {name}, {value}, is outside what is made: {least} to {most}."


def _written(amount: float, like: Length | Flow) -> str:
    """An amount in SI as people write it: in the largest unit that makes it one or more."""
    units = ("L/min", "mL/min", "uL/min") if isinstance(like, Flow) else ("mm", "um")
    for unit in units:
        number = amount / float(like.UNITS[unit].factor)
        if number >= 0.999 or unit == units[-1]:
            break
    return f"{number:g} {unit}"


def _related(subject: Subject, group: Group) -> tuple[Related, ...]:
    if group[0] in ("flow_path", "conditions") and group[-1] != "rating":
        return ()
    related = []
    expected, weakest = subject.profile.expected, subject.weakest
    if expected is not None and group[:1] != EXPECTED:
        band = f"expected {expected.low} to {expected.high}"
        related.append(Related(EXPECTED_HIGH, band))
    if weakest is not None and weakest.path != group:
        related.append(Related(weakest.path, f"weakest: {weakest.name}, {weakest.pressure}"))
    return tuple(related)

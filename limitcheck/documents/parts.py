"""Blocks that several documents share."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction

from ..checking.results import weight
from ..findings import Finding, KeyPath, Recommendation, path_text
from ..profile.load import ProfileFile
from ..profile.measured import Resistance
from ..profile.model import Profile
from ..units import COMMON_UNITS, Pressure, plain_or_rounded, show
from .blocks import Blanks, Block, Bullets, Chapter, Document, Section, Table, Text
from .cautions import IN_A_RECORD, texts

FACTORS = "The factors are exact; figures of more than nine digits are rounded."
SIGNED = ("Reviewed by", "Date", "Signature")


_NOT_USED = "It is not used here: correct it first."
"""Said after what speaks against a profile's band, of an answer that does not rest on it."""


def band_not_used(doubt: str) -> str:
    """What speaks against the expected band, of an answer that does not rest on it."""
    return f"{doubt} {_NOT_USED}"


def answer(
    title: str,
    summary: Iterable[Block],
    sections: Iterable[Section],
    files: Sequence[ProfileFile],
    day: date,
    *,
    others: Sequence[tuple[str, str]] = (),
    chapters: Sequence[Chapter] = (),
    cautions: tuple[str, ...] = IN_A_RECORD,
    signed: bool = False,
) -> Document:
    """A document of some chapters and a last one, which ends with the files it rests on."""
    last = [*sections, Section("Inputs", (inputs(files, others),), in_record=True)]
    if signed:
        last.append(signature())
    all_chapters = (*chapters, Chapter("Record", tuple(last)))
    return Document(title, tuple(summary), all_chapters, tuple(texts(cautions)), day.isoformat())


def correct_first(mistaken: Iterable[str], numbers: str) -> Iterator[Block]:
    """Which cutoffs of profiles were mistaken, and where the numbers stand that come after it."""
    if told := tuple(mistaken):
        yield Text(f"Correct this first; {numbers} those that are proposed after it:")
        yield Bullets(told)


def stated_temperatures(profile: Profile, *others: Resistance) -> list[Fraction]:
    """The temperatures [degC] that a profile states for its runs, and measured drops for theirs."""
    stated = [other.temperature for other in others]
    if profile.conditions is not None:
        stated += [profile.conditions.temperature, profile.conditions.ambient]
    return [one.to("degC") for one in stated if one is not None]


def capital(text: str) -> str:
    """The text with a capital first letter."""
    return text[:1].upper() + text[1:]


def on_its_display(pressure: Pressure, profile: Profile) -> str:
    """A pressure of any unit as the profile's instrument shows it, at the step of its display."""
    unit, step = profile.instrument.pressure_unit, profile.instrument.step
    shown = Pressure.of(round(pressure.to(unit) / step) * step, unit)
    about = "" if shown.value == pressure.value else "about "
    return f"{about}{plain_or_rounded(shown.to(unit))} {unit} on its display"


def named(profile: Profile) -> str:
    """Method, revision and instrument in a few words."""
    revision = f" revision {profile.method.revision}" if profile.method.revision else ""
    return f"{profile.method.id}{revision} on {profile.instrument.id}"


def inputs(files: Sequence[ProfileFile], others: Sequence[tuple[str, str]] = ()) -> Table:
    """Every file that was read, with its SHA-256; `others` are no profiles."""
    rows = [*others, *((file.path, file.sha256) for file in files)]
    rows += [(used.path, used.sha256) for file in files for used in file.uses]
    return Table("Files read", ("File", "SHA-256"), tuple(dict.fromkeys(rows)))


def pressure_table(
    pressures: Sequence[tuple[KeyPath, Pressure]],
    profile: Profile,
    caption: str,
    units: tuple[str, ...] = COMMON_UNITS,
    wrong: Mapping[KeyPath, str] | None = None,
) -> Table:
    """Each pressure as typed and in these units, and what is `wrong` with it, by place."""
    wrong = wrong or {}
    rows = [
        (where(path, profile), str(pressure), *(_bare(pressure, unit) for unit in units))
        for path, pressure in pressures
    ]
    figures = tuple(range(2, 2 + len(units)))
    columns = ("Where", "As typed", *units)
    told = [wrong.get(path, "") for path, _ in pressures]
    if not any(told):
        return Table(f"{caption}. {FACTORS}", columns, tuple(rows), figures)
    marked = tuple((n, at) for n, text in enumerate(told) if text for at in (1, len(columns)))
    return Table(
        f"{caption}. {FACTORS}",
        (*columns, "What is wrong"),
        tuple((*row, text) for row, text in zip(rows, told, strict=True)),
        figures,
        marked,
    )


def wrong_at(findings: Iterable[Finding]) -> dict[KeyPath, str]:
    """By place: what a number is over, or under, and which check says so; the worst first."""
    found: dict[KeyPath, list[str]] = {}
    for finding in sorted(findings, key=weight):
        if finding.accepted is None:
            found.setdefault(finding.path, []).append(_against(finding))
    return {path: "; ".join(dict.fromkeys(told)) for path, told in found.items()}


def _against(finding: Finding) -> str:
    """As in "error: high-cutoff-above-rating, over 400 bar (pump) and 2 more"."""
    compared, told = finding.compared, f"{finding.severity.value}: {finding.check}"
    word = {"above": "over", "below": "under"}.get(compared.worse)
    limits = compared.limit
    if word is None or not limits:
        return told
    if isinstance(limits, str):
        return f"{told}, {word} {limits}"
    (name, limit), *others = limits.items()
    more = f" and {len(others)} more" if others else ""
    return f"{told}, {word} {limit} ({name}){more}"


def _bare(pressure: Pressure, unit: str) -> str:
    return show(pressure, unit, digits=9).removesuffix(f" {unit}")


def where(path: KeyPath, profile: Profile) -> str:
    """A key path in words: a part by its name, with the key."""
    if path[:1] in (("cutoffs",), ("expected",)) and len(path) == 2:
        return f"{path[1]} cutoff" if path[0] == "cutoffs" else f"expected {path[1]}"
    if path[:1] == ("flow_path",) and len(path) > 1 and isinstance(path[1], int):
        rest = path_text(path[2:])
        return f"{profile.flow_path[path[1]].name}{f': {rest}' if rest else ''}"
    return path_text(path)


def signature() -> Section:
    """Blank places for the reviewer."""
    return Section("Review", (Blanks(SIGNED),), in_record=True)


def cutoffs_to_type(recommended: Iterable[Recommendation], profile: Profile) -> dict[str, Pressure]:
    """The cutoffs that are recommended, by name, where they are in the unit of the profile."""
    unit = profile.instrument.pressure_unit
    return {
        str(item.path[-1]): Pressure.of(Fraction(item.enter), unit)
        for item in recommended
        if item.path[0] == "cutoffs" and item.unit == unit
    }

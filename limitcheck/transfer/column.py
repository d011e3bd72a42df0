"""The column: its chemistry and kind of particle stay, its size may change within L/dp."""

from __future__ import annotations

from collections.abc import Iterator

from .adjustment import allowed, column_sizes, monoliths, percent, source_of
from .ruling import EQUAL, Field, Ruling, for_information, must_be_same

SIZE_GIVES = "give length, bore and particle_size of one column on both sides"


def rule_chemistry(field: Field) -> Iterator[Ruling]:
    """The bonded phase: another one is another separation."""
    if missing := field.missing:
        yield missing
    elif _plain(field.sending) == _plain(field.receiving):
        yield field.ruled("same", EQUAL)
    else:
        yield _another(field, "another column chemistry is another method")


def rule_particle(field: Field) -> Iterator[Ruling]:
    """The kind of particle, which nobody states by leaving it out."""
    kinds = {field.sending, field.receiving}
    if missing := field.missing:
        yield missing
    elif len(kinds) == 1:
        yield field.ruled("same", EQUAL)
    elif "monolith" in kinds:
        yield _another(field, "no rule leads between a monolith and particles: validate it")
    else:
        told = (
            "allowed only where the plate number stays within -25 to +50 % and the selectivity is "
            "shown to be the same, which no profile states: validate it"
        )
        yield _another(field, told)


def rule_size(field: Field) -> Iterator[Ruling]:
    """Length or particle size: ruled together, as L/dp; a monolith has only a length."""
    if not monoliths(field.pair):
        yield from _sized(field, by_ratio=True)
    elif field.key == "particle_size":
        yield from for_information(field)
    else:
        yield from must_be_same(field)


def rule_bore(field: Field) -> Iterator[Ruling]:
    """The bore: it may change, where flow and injection volume follow it."""
    yield from _sized(field, by_ratio=False)


def _sized(field: Field, *, by_ratio: bool) -> Iterator[Ruling]:
    guard = field.name.startswith("guard column")
    limits, sizes = field.pair.policy.adjustments, column_sizes(field.pair)
    if missing := field.missing:
        yield missing
    elif field.sending == field.receiving:
        yield field.ruled("same", EQUAL)
    elif guard:
        told = "no rule for a guard column: show that it changes neither separation nor band"
        yield field.ruled("cannot decide", told)
    elif sizes is None:
        yield field.ruled("cannot decide", SIZE_GIVES)
    elif not by_ratio:
        told = "it may change where flow and injection volume follow it"
        yield allowed(field, told)
    else:
        less, more = limits.length_over_particle_less, limits.length_over_particle_more
        was, now = sizes.old.length_over_particle, sizes.new.length_over_particle
        least, most = was * (1 - less), was * (1 + more)
        span = f"{round(least)} to {round(most)} (-{percent(less)} to +{percent(more)})"
        told = f"L/dp {round(now)} for {round(was)}; allowed {span}"
        kept = least <= now <= most
        yield allowed(field, told) if kept else field.ruled("not allowed", told, source_of(limits))


def _another(field: Field, told: str) -> Ruling:
    return field.ruled("not allowed", told, source_of(field.pair.policy.adjustments))


def _plain(text: str) -> str:
    """A name without case, spaces and hyphens: "C 18" and "c18" are one."""
    return "".join(text.casefold().split()).replace("-", "")

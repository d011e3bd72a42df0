"""What the two instruments show and take: their unit, step and largest value."""

from __future__ import annotations

from collections.abc import Iterator

from ..units import plain_or_rounded
from .ruling import NOT_GIVEN, Field, Ruling, is_given

FACTORS = "NIST SP 811 (2008), App. B"


def rule_unit(field: Field) -> Iterator[Ruling]:
    """The unit of the panel: another one is no obstacle, two on one instrument are."""
    sent, got = field.pair.sending.instrument, field.pair.receiving.instrument
    if field.sending == field.receiving:
        yield field.ruled("same", "both panels show it")
    elif sent.id == got.id:
        yield field.ruled("cannot decide", f"{sent.id} shows one unit: read it from the panel")
    else:
        told = "every number is compared as a pressure, by exact factors"
        yield field.ruled("allowed", told, FACTORS)


def rule_entry(field: Field) -> Iterator[Ruling]:
    """Step and largest value of the entry field, which are in the panel's unit."""
    if not is_given(field.sending) and not is_given(field.receiving):
        return
    units = (side.instrument.pressure_unit for side in (field.pair.sending, field.pair.receiving))
    sent, got = (
        f"{plain_or_rounded(value)} {unit}" if value is not None else NOT_GIVEN
        for value, unit in zip((field.sending, field.receiving), units, strict=True)
    )
    row = Ruling(field.name, sent, got, "same", "the same entry field")
    if sent != got:
        told = "the receiving cutoffs are compared with the receiving entry field"
        row = row._replace(ruling="information", rule=told)
    yield row

"""`[transfer]` of a policy: a site's own edition and limits for what a moved method may adjust."""

from __future__ import annotations

from fractions import Fraction
from typing import Self

from pydantic import model_validator

from ..policy import AdjustmentLimits
from ..profile.fields import refuse
from ..profile.table import FormatTable, Number, Percent, RatioQuantity, Text

_CHAPTER = AdjustmentLimits()


class TransferTable(FormatTable):
    """`[transfer]`: what is absent is the chapter's; wider limits need the edition they stand in.

    Keys ending in `_kelvin`, `_percent` and `_minutes` are bare numbers of that, `ph` is one of
    pH units, the others are shares as in "50 %".
    """

    edition: Text | None = None
    length_over_particle_less: RatioQuantity | None = None
    length_over_particle_more: RatioQuantity | None = None
    plate_number_less: RatioQuantity | None = None
    plate_number_more: RatioQuantity | None = None
    isocratic_flow: RatioQuantity | None = None
    isocratic_kelvin: Number | None = None
    gradient_kelvin: Number | None = None
    minor_component: RatioQuantity | None = None
    minor_component_percent: Percent | None = None
    component_percent: Percent | None = None
    ph: Number | None = None
    buffer_salts: RatioQuantity | None = None
    gradient_flow: RatioQuantity | None = None
    gradient_step: RatioQuantity | None = None
    gradient_minutes: Number | None = None
    dwell_minutes: Number | None = None
    injection_volume: RatioQuantity | None = None

    @model_validator(mode="after")
    def _something_is_left(self) -> Self:
        for name in ("length_over_particle_less", "plate_number_less", "isocratic_flow"):
            share = getattr(self, name)
            if share is not None and share.value >= 1:
                raise refuse(f"{name} of {share}: nothing would be left", "write less than 100 %")
        return self

    @model_validator(mode="after")
    def _wider_needs_its_edition(self) -> Self:
        wider = [n for n, v in _given(self).items() if v > getattr(_CHAPTER, n)]
        if wider and self.edition is None:
            raise refuse(
                f"{', '.join(wider)}: wider than the limits built in, and no edition is named",
                "name the edition and procedure it stands in: edition = ...",
            )
        return self


def adjustment_limits(table: TransferTable) -> AdjustmentLimits:
    """The limits in force: the site's own where given."""
    given = _given(table)
    return _CHAPTER._replace(**given, edition=table.edition, stated=frozenset(given))


def _given(table: TransferTable) -> dict[str, Fraction]:
    values = {n: getattr(table, n) for n in TransferTable.model_fields if n != "edition"}
    return {
        name: value if isinstance(value, Fraction) else value.value
        for name, value in values.items()
        if value is not None
    }

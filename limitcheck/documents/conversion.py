"""A converted pressure as a document and as plain data."""

from __future__ import annotations

from datetime import date
from typing import Any

from ..units.conversion import Amount, Conversion
from .blocks import Block, Bullets, Chapter, Document, Facts, Section, Text
from .data import exact_text, frame, pressure_data


def conversion_document(found: Conversion, day: date, *, exact: bool = False) -> Document:
    """The pressure in each unit, and where reckoning with a round factor goes wrong."""
    source = exact_text(found.source.value)
    given = f"{source} {found.source.unit}"
    shown = tuple((result.unit, _shown(result, exact)) for result in found.results)
    summary: tuple[Block, ...] = (Text(f"{given} is:", strong=True), Facts(shown))
    if len(shown) == 1:
        summary = (Text(f"{given} = {shown[0][1]} {shown[0][0]}", strong=True),)
    reckoned = tuple(
        f"{cut.rule} would give {cut.gives}: "
        f"{abs(cut.off):.2f} % too {'high' if cut.off > 0 else 'low'}."
        for cut in found.short_cuts
    )
    sections = (Section("Not with a round factor", (Bullets(reckoned),)),) if reckoned else ()
    chapters = (Chapter("Conversion", sections),)
    return Document(f"{given}, exactly", summary, chapters, (), day.isoformat())


def _shown(amount: Amount, exact: bool) -> str:
    return f"{amount.text} (exactly {amount.value})" if exact else amount.text


def conversion_data(found: Conversion) -> dict[str, Any]:
    """The conversion as plain data."""
    return frame(
        pressure=_amount(found.source),
        conversions=[_amount(result) for result in found.results],
        short_cuts=[
            {
                "rule": cut.rule,
                "gives": pressure_data(cut.gives),
                "off_percent": float(f"{cut.off:.6g}"),
            }
            for cut in found.short_cuts
        ],
    )


def _amount(amount: Amount) -> dict[str, str]:
    value, pascal = exact_text(amount.value), exact_text(amount.pascal)
    return {"value": value, "unit": amount.unit, "pascal": pascal}

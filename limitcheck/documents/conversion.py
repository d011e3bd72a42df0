"""A converted pressure as a document and as plain data."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any, Literal, NamedTuple, TypeAlias

from ..units import TRADE_UNITS, exact, percent
from ..units.conversion import Amount, Conversion, Rounded, convert, rounded, step_of
from ..units.numbers import decimals, decimals_for
from .blocks import Block, Bullets, Chapter, Document, Facts, Section, Text, ToType
from .cautions import CAUTIONS
from .data import exact_text, frame, pressure_data

Field: TypeAlias = Literal["high", "low"]


class Cutoff(NamedTuple):
    """What to type for a converted cutoff."""

    field: str
    rounded: tuple[Rounded, ...]


def converted(
    pressure: str, to: Sequence[str], field: Field | None = None, step: str | None = None
) -> tuple[Conversion, Cutoff | None]:
    """A pressure in each unit of `to`, or in every other usual one where that is empty.

    With `field`, what to type there for a high or low cutoff, in steps of `step` (a number of the
    one unit asked for; the usual step of each otherwise). Raises UnitError.
    """
    found = convert(pressure, to or TRADE_UNITS)
    if not to:
        others = tuple(result for result in found.results if result.unit != found.source.unit)
        found = found._replace(results=others)
    if field is None:
        return found, None
    size = None if step is None else step_of(step, found.results[0].unit)
    return found, Cutoff(field, tuple(rounded(result, field, size) for result in found.results))


def conversion_document(
    found: Conversion, day: date, *, fractions: bool = False, cutoff: Cutoff | None = None
) -> Document:
    """The pressure in each unit, and where reckoning with a round factor goes wrong.

    With `cutoff`, what to type for it in each unit, and how far that is from the exact value.
    """
    given = f"{found.number or exact_text(found.source.value)} {found.source.unit}"
    shown = tuple((result.unit, _shown(result, fractions)) for result in found.results)
    summary: tuple[Block, ...] = (Text(f"{given} is:", strong=True), Facts(shown))
    if len(shown) == 1:
        summary = (Text(f"{given} = {shown[0][1]} {shown[0][0]}", strong=True),)
    if cutoff is not None:
        summary = (
            Text(f"{given} as a {cutoff.field} cutoff, rounded {_way(cutoff.field)}:", strong=True),
            *(block for item in cutoff.rounded for block in _to_type(item, cutoff.field)),
            Text("Whether it is a good cutoff says: limitcheck entry"),
        )
    if found.note:
        summary = (*summary, Text(found.note))
    reckoned = tuple(
        f"{cut.rule} would give {cut.gives}: "
        f"{percent(abs(cut.off) / 100, 3)} too {'high' if cut.off > 0 else 'low'}."
        for cut in found.short_cuts
    )
    sections = (Section("Not with a round factor", (Bullets(reckoned),)),) if reckoned else ()
    chapters = (Chapter("Conversion", sections),)
    title = f"{given}, exactly" if cutoff is None else f"{given} as a {cutoff.field} cutoff"
    cautions = () if cutoff is None else (CAUTIONS["who-decides"],)
    return Document(title, summary, chapters, cautions, day.isoformat())


def _to_type(item: Rounded, field: str) -> Iterator[Block]:
    yield ToType(field, exact_text(item.stored.value), item.stored.unit)
    yield Text(rounding_text(item, field))


def rounding_text(item: Rounded, field: str) -> str:
    """The exact value, which way it was rounded, to what step, and by how much."""
    exact, off = item.exact, item.off
    unit = exact.unit
    if not off.value:
        return f"Exactly {exact.text} {unit}: nothing was rounded."
    more = "more" if field == "low" else "less"
    share = float(off.value / exact.value)
    told = percent(share, 2 if share < 1 else 0)
    own = ", the usual one" if item.usual else ""
    return (
        f"The exact value is {_long(exact)}, rounded {_way(field)} to a step of "
        f"{exact_text(item.step)} {unit}{own}: {_long(off)} ({told}) {more}."
    )


def _long(amount: Amount) -> str:
    """Six decimals at most, marked where there are more."""
    text = decimals(amount.value, max(6, decimals_for(amount.value, 3)))
    return f"{'' if exact(text) == amount.value else 'about '}{text} {amount.unit}"


def _way(field: str) -> str:
    return "up" if field == "low" else "down"


def _shown(amount: Amount, fractions: bool) -> str:
    return f"{amount.text} (exactly {amount.value})" if fractions else amount.text


def rounded_data(item: Rounded) -> dict[str, Any]:
    """A number to type, the exact one, the step and the difference, as plain data."""
    return {
        "exact": _amount(item.exact),
        "rounded": _amount(item.stored),
        "step": exact_text(item.step),
        "usual_step": item.usual,
        "difference": _amount(item.off),
    }


def conversion_data(found: Conversion, cutoff: Cutoff | None = None) -> dict[str, Any]:
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
        cutoff=None
        if cutoff is None
        else {"field": cutoff.field, "rounded": [rounded_data(item) for item in cutoff.rounded]},
        note=found.note or None,
    )


def _amount(amount: Amount) -> dict[str, str]:
    value, pascal = exact_text(amount.value), exact_text(amount.pascal)
    return {"value": value, "unit": amount.unit, "pascal": pascal}

"""Cells in a column of names that name nothing: marks of repetition, and words for not knowing."""

from __future__ import annotations

from ..errors import cut
from .numbers import CellError

_SAME_AS_ABOVE = frozenset({
    "ditto", "dto", "do", "idem", "id", "as above", "see above", "same", "same as above", "so",
    "siehe oben", "wie oben", "voir ci-dessus",
})  # fmt: skip
_NOT_ONE = frozenset({
    "tbd", "tba", "tbc", "unknown", "not known", "nk", "to be defined", "to be decided", "various",
    "all", "any", "every", "several", "all methods", "all instruments", "all columns", "alle",
    "diverse", "unbekannt", "tous", "divers", "inconnu", "xxx",
})  # fmt: skip
"""In small letters and without points; common practice, no source."""
_OF_ALL = frozenset({
    "total", "totals", "grand total", "subtotal", "sum", "average", "averages", "avg", "mean",
    "median", "count", "maximum", "minimum", "max", "min", "range", "ø", "sd", "rsd", "n", "n =",
    "std dev", "standard deviation", "summe", "mittelwert", "durchschnitt", "gesamt", "anzahl",
    "moyenne", "somme", "totaux", "médiane",
})  # fmt: skip
"""What a row says of all rows above it; common practice, no source."""
_NAMES = {"method.id": "method", "instrument.id": "instrument", "column.label": "column"}


def must_name(cell: str, key: str) -> None:
    """Raises CellError for a cell of a column of names that names nothing, or not one thing."""
    what = _NAMES.get(key)
    plain = " ".join(cell.casefold().replace(".", "").split())
    if what is None or not plain:
        return
    if plain in _SAME_AS_ABOVE or not any(map(str.isalnum, plain)):
        raise CellError(
            f'"{cut(cell, 30)}" names no {what}; a cell is not filled from above',
            f"answer with the {what}, or write it in each row",
        )
    if plain in _OF_ALL:
        raise CellError(
            f'"{cut(cell, 30)}" may say what all rows have together: is it a {what}?',
            f'take the row out of the table; or answer "as it stands": it is the name of a {what}',
        )
    if plain in _NOT_ONE:
        raise CellError(
            f'"{cut(cell, 30)}" names not one {what}', f"answer with the {what}, one in each row"
        )

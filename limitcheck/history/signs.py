"""What stands before the decimals of a log's pressures, point or comma, by the whole column."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ..units import UnitError
from ..units.text import HIGHEST_SHOWN
from .cells import DecimalSign, number, pascal_factor, signs_of, whole_digits
from .lines import Lines, LogError


class ColumnSigns:
    """What the pressures of the whole column say about the sign before their decimals.

    "2.938" is 2938 with a point between thousands, or 2.938. A number that can only be one of
    both decides for all; so does a number of four digits without a sign (nothing stands between
    thousands then), and a pressure that no pump makes. Else the scale of the profile decides, or
    it is asked.
    """

    def __init__(
        self,
        columns: Mapping[str, int],
        delimiter: str,
        unit: str | None,
        given: DecimalSign | None,
        scale: tuple[float, float] | None,
    ) -> None:
        self._pressure, self._unit_column = columns["pressure"], columns.get("unit")
        self._delimiter, self._unit = delimiter, unit
        self._given, self._scale = given, scale
        self._sure: DecimalSign | None = None
        self._either: DecimalSign | None = None
        self._ungrouped = False
        self._first: LogError | None = None
        self._largest = 0.0  # of those that can be read both ways, with decimals [Pa]

    @property
    def settled(self) -> bool:
        """Whether no later row can change what is decided."""
        return self._given is not None or self._sure is not None or self._either is None

    def see(self, cells: Sequence[str], lines: Lines) -> None:
        """Take in a row."""
        text = cells[self._pressure].strip()
        sure, either = signs_of(text)
        self._sure = self._sure or sure
        self._ungrouped |= whole_digits(text) > 3
        if either is None:
            return
        column = lines.column(self._delimiter, self._pressure)
        if self._either not in (None, either) and self._sure is None:
            raise lines.error(
                f'"{text}" has a {either} where another row has a {self._either}: which of them '
                "stands between thousands?",
                "add --decimal point or --decimal comma",
                column=column,
            )
        self._either = either
        if self._first is None:
            whole = text.replace(",", "").replace(".", "")
            self._first = lines.error(
                f'"{text}" has a {either}: between thousands, or decimal?',
                f'write "{whole}" or "{text.replace(",", ".")}", or add --decimal comma or '
                "--decimal point",
                column=column,
            )
        self._largest = max(self._largest, self._pascal(text, either, cells))

    def _pascal(self, text: str, decimal: DecimalSign, cells: Sequence[str]) -> float:
        value, spelling = number(text, decimal)
        named = cells[self._unit_column].strip() if self._unit_column is not None else ""
        try:
            return value * pascal_factor(spelling or named or self._unit or "bar")
        except UnitError:
            return 0.0  # told where it stands, when it is read

    def decided(self) -> tuple[DecimalSign, str | None]:
        """The sign before decimals, and what decided where no number did; raises LogError."""
        if self._given is not None:
            return self._given, None
        if self._sure is not None or self._either is None or self._first is None:
            return self._sure or "point", None
        if self._ungrouped or self._largest * 1000 > HIGHEST_SHOWN:
            return self._either, None
        if self._scale is None:
            raise self._first
        low, high = (bound * factor for bound, factor in zip(self._scale, (1 / 3, 3), strict=True))
        fits = [low <= largest <= high for largest in (self._largest, 1000 * self._largest)]
        if fits[0] == fits[1]:
            raise self._first
        other: DecimalSign = "comma" if self._either == "point" else "point"
        return (self._either if fits[0] else other), "by the pressures of the profile"

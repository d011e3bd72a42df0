"""What a pharmacopoeia lets a laboratory adjust when the column changes, exactly.

USP <621> and Ph. Eur. 2.2.46, harmonised: the isocratic rules were read in a secondary
summary; the gradient rules (temperature, times, and that the others hold as well) are from
memory. Check the edition in force. The rules for isocratic and gradient elution are kept apart.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from ..profile.model import Column
from ..units import Flow, Length, Volume

SOURCE = "USP <621> and Ph. Eur. 2.2.46 (harmonised): check the edition in force"
FROM_MEMORY = "the rules for gradients are from memory"
LENGTH_OVER_PARTICLE = (Fraction(-25, 100), Fraction(50, 100))
ISOCRATIC_FLOW = Fraction(50, 100)
ISOCRATIC_KELVIN, GRADIENT_KELVIN = 10, 5
TIME_TOLERANCE = Fraction(2, 100)
"""Of the gradient's length: times are typed to a tenth of a minute (common practice)."""


class ColumnSize(NamedTuple):
    """Length, bore and particle size of a column."""

    length: Length
    bore: Length
    particle_size: Length

    @classmethod
    def of(cls, column: Column) -> ColumnSize | None:
        """The size of a column; None where a dimension is not given."""
        if column.length is None or column.bore is None or column.particle_size is None:
            return None
        return cls(column.length, column.bore, column.particle_size)

    def __str__(self) -> str:
        return f"{self.length} x {self.bore}, {self.particle_size}"

    @property
    def length_over_particle(self) -> Fraction:
        """L/dp, without unit: 150 mm and 5 um give 30 000."""
        return self.length.value / self.particle_size.value

    @property
    def volume(self) -> Fraction:
        """L dc^2 [m^3], to which the empty volume is proportional."""
        return self.length.value * self.bore.value**2


def scaled_flow(flow: Flow, old: ColumnSize, new: ColumnSize) -> Flow:
    """F2 = F1 (dc2^2 dp1) / (dc1^2 dp2).

    >>> mm, um = Length.parse, Length.parse
    >>> old = ColumnSize(mm("150 mm"), mm("4.6 mm"), um("5 um"))
    >>> new = ColumnSize(mm("100 mm"), mm("2.1 mm"), um("3 um"))
    >>> show(scaled_flow(Flow.parse("2.0 mL/min"), old, new), "mL/min", digits=3)
    '0.695 mL/min'
    """
    bore = new.bore.value**2 / old.bore.value**2
    return flow.times(bore * old.particle_size.value / new.particle_size.value)


def scaled_injection(volume: Volume, old: ColumnSize, new: ColumnSize) -> Volume:
    """V2 = V1 (L2 dc2^2) / (L1 dc1^2)."""
    return volume.times(new.volume / old.volume)


def scaled_minute(
    minute: Fraction, flow: Flow, new_flow: Flow, old: ColumnSize, new: ColumnSize
) -> Fraction:
    """tG2 = tG1 (F1 / F2) (L2 dc2^2) / (L1 dc1^2), in minutes."""
    return minute * (flow.value / new_flow.value) * new.volume / old.volume

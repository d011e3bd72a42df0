"""What a half-width means in the physics: two standard deviations.

Expanded uncertainty with a coverage factor of 2: JCGM 100:2008 (GUM), 6.2 and 6.3. Held by
``python -m tests.physics.coverage_study``.
"""

from __future__ import annotations

from math import sqrt

_OF_BOUND = 2.0 / sqrt(3.0)

LEAST_SHARE = 0.01
"""Share of the variance of an interval (its half-width squared) from which on what contributes to
it is named [-]. Without the rest the half-width would be 0.5 % of itself smaller, which no figure
shown tells; common practice, no source."""


def tells(width: float, whole: float) -> bool:
    """Whether a contribution is worth naming: its half-width against that of the whole [-].

    The same holds for a shift; sqrt(0.01) is a tenth of the half-width.

    >>> tells(0.02, 0.1), tells(0.009, 0.1)
    (True, False)
    """
    return width * width >= LEAST_SHARE * whole * whole and width > 0.0


def of_bound(half_width: float) -> float:
    """Two standard deviations of what lies anywhere between two bounds [-].

    2 a / sqrt(3), with half the distance of the bounds a, half_width [-]

    Range: bounds with nothing between them more likely than the rest. Lopsided bounds about a
    central value: each side by its own. What is known by this alone has no value beyond its bounds,
    yet two standard deviations reach 15 % beyond them.

    >>> round(of_bound(0.20), 3)
    0.231

    Source: JCGM 100:2008, 4.3.7.
    """
    return _OF_BOUND * half_width

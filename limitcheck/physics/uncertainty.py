"""What a half-width means in the physics: two standard deviations.

Expanded uncertainty with a coverage factor of 2, JCGM 100:2008 (GUM), 6.2: about 95 %.
"""

from __future__ import annotations

from math import sqrt


def of_bound(half_width: float) -> float:
    """Two standard deviations of what lies between two bounds, no value of them more likely [any].

    2 a / sqrt(3), a half of the distance of the bounds, half_width

    Range: for a lopsided bound, each side by its own (JCGM 100:2008 has no central value then).

    >>> round(of_bound(0.20), 3)
    0.231

    Source: JCGM 100:2008, 4.3.7.
    """
    return 2.0 / sqrt(3.0) * half_width

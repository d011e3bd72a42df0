"""What a liquid is mixed of: solvents and their volume fractions before mixing."""

from __future__ import annotations

from collections.abc import Iterable

Blend = tuple[tuple[str, float], ...]
"""Each solvent with its volume fraction [-] above 0, by name; water is the last."""


def blend(shares: Iterable[tuple[str, float]]) -> Blend:
    """Solvents with their volume fractions [-]: one named twice adds up, one without a share goes.

    >>> blend([("water", 0.5), ("methanol", 0.2), ("water", 0.3), ("ethanol", 0.0)])
    (('methanol', 0.2), ('water', 0.8))
    """
    found: dict[str, float] = {}
    for name, share in shares:
        if share:
            found[name] = found.get(name, 0.0) + share
    return tuple(sorted(found.items()))


def with_water(organic: str, fraction: float) -> Blend:
    """An organic solvent (or "water") of a volume fraction [-], the rest water.

    Raises ValueError for a fraction outside 0 to 1.

    >>> with_water("methanol", 1.0), with_water("methanol", 0.0)
    ((('methanol', 1.0),), (('water', 1.0),))
    """
    if not 0.0 <= fraction <= 1.0:
        raise ValueError(f"volume fraction must be from 0 to 1, got {fraction}")
    return blend([(organic, fraction), ("water", 1.0 - fraction)])


def apart(one: Blend, other: Blend) -> float:
    """How much of the volume is another solvent [-]: half the sum of the differences.

    >>> round(apart(with_water("methanol", 0.5), with_water("methanol", 0.4)), 2)
    0.1
    """
    if one == other:
        return 0.0
    first, second = dict(one), dict(other)
    return 0.5 * sum(abs(first.get(n, 0.0) - second.get(n, 0.0)) for n in {*first, *second})

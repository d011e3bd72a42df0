"""The column's own frits."""

from __future__ import annotations

from collections.abc import Iterator

from ..findings import Finding, Related, Severity
from ..profile.model import Column
from .identity import above
from .subject import Skip, Subject


def frit_not_finer_than_particles(subject: Subject) -> Iterator[Finding]:
    """A frit is not finer than the column's particles.

    At the bench: packing passes through an outlet frit that is not finer than the particles,
    and blocks what follows. An inlet frit that coarse lets the bed out when the column is
    reversed.
    Do: replace it by one finer than the packing: 2 µm for 5 µm particles, 0.5 µm for 3 µm,
    0.2 µm under 2 µm.
    Source: LCGC troubleshooting column (frit porosity by packing).
    """
    columns = [(i, p) for i, p in enumerate(subject.profile.flow_path) if isinstance(p, Column)]
    for index, column in columns:
        size = column.particle_size
        ends = (("outlet_frit", column.outlet_frit), ("inlet_frit", column.inlet_frit))
        for key, frit in ends:
            if size is None or frit is None or frit < size:
                continue
            end = key.removesuffix("_frit")
            result = (
                "packing passes through it and blocks what follows"
                if end == "outlet"
                else "the bed is lost when the column is reversed"
            )
            yield Finding(
                Severity.ERROR if end == "outlet" else Severity.WARNING,
                f"The {end} frit of the {column.name}, {frit}, is not finer than its particles, "
                f"{size}: {result}.",
                "Fit one finer than the packing: usually 2 um for 5 um particles, 0.5 um for "
                "3 um, 0.2 um under 2 um.",
                ("flow_path", index, key),
                compared=above(frit, size),
                related=(Related(("flow_path", index, "particle_size"), f"particles of {size}"),),
            )
    for index, column in columns:
        packed = () if column.particle == "monolith" else ("particle_size",)
        for key in (*packed, "outlet_frit", "inlet_frit"):
            if packed and getattr(column, key) is None:
                what = f"{key} of the {column.name}"
                raise Skip(f"no {what}", what, ("flow_path", index))

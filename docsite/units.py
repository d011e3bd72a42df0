"""The tables of units, from the closed table of the program."""

from __future__ import annotations

from limitcheck.units.quantities import Pressure
from limitcheck.units.rules_of_thumb import FACTORS, RuleOfThumb
from limitcheck.units.tables import KINDS, TRADE_UNITS, USUAL_STEP

from .text import code, plain, table


def units() -> str:
    """Every unit by what is measured: spellings, definition, exact factor, source."""
    pieces = []
    for kind, known in KINDS.items():
        rows = [
            (
                code(unit.name),
                ", ".join(map(code, unit.spellings)),
                plain(unit.definition),
                plain(str(unit.factor)),
                plain(unit.source),
            )
            for unit in known.values()
        ]
        head = ("Unit", "Also", "Definition", "SI value, exact", "Source")
        pieces.append(f"### {kind.capitalize()}\n\n{table(head, rows)}")
        if kind == "pressure":
            shown = ", ".join(f"{unit} {float(USUAL_STEP[unit]):g}" for unit in TRADE_UNITS)
            pieces.append(
                f"Instruments show {plain(', '.join(TRADE_UNITS))}. Smallest step of an entry "
                f"field where the profile gives none (common practice, no source): {plain(shown)}."
            )
    return "\n\n".join(pieces)


def rules_of_thumb() -> str:
    """Factors that people use in their heads, and how far off they are."""
    rows = []
    for (source, unit), factors in FACTORS.items():
        for factor in factors:
            rule = RuleOfThumb(Pressure.of(1, source), factor, unit)
            rows.append((plain(f"{source} to {unit}"), plain(rule.rule), f"{rule.off:+.2f} %"))
    return table(("From and to", "Rule of thumb (common practice, no source)", "Off by"), rows)

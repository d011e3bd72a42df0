"""Print how often `limitcheck isolate` names the blocked part: part by blockage size.

Run: python tests/diagnosis/print_isolation_table.py [RUNS]
"""

from __future__ import annotations

import sys
from collections import Counter
from itertools import product
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from isolation_simulation import KNOWLEDGE, SIZES, shares, simulate


def main(runs: int) -> None:
    """A table for each state of knowledge, twice: as uncertain as assumed, and more so."""
    for knowledge, worse in product(KNOWLEDGE, (1.0, 1.6)):
        table = shares(simulate(knowledge, runs, 1, SIZES, worse))
        print(f"\nKnown: {knowledge}; systems {worse:g} x as uncertain. {2 * runs} paths a cell.")
        print("Named right (alone or in its group) / named wrong, %. The rest: undecided,")
        print("named beside another, or not seen.")
        good = Counter[str]()
        for seen in shares(simulate(knowledge, runs, 2, (0.0,), worse)).values():
            good += seen
        print(f"Nothing blocked: a part named in {1 - good['missed'] / good.total():.1%}.")
        print(f"{'blocked part':<26}" + "".join(f"{f'+{size:.0%}':>9}" for size in SIZES))
        for part in dict.fromkeys(part for part, _ in table):
            cells = []
            for size in SIZES:
                seen = table.get((part, size))
                n = sum(seen.values()) if seen else 0
                cells.append(
                    f"{seen['right'] / n:.0%}/{seen['wrong'] / n:.0%}".replace("%", "")
                    if seen
                    else ""
                )
            print(f"{part:<26}" + "".join(f"{cell:>9}" for cell in cells))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)

"""`python -m tests.mutation`: how many small faults in the core the tests notice.

mutmut (its settings stand in pyproject.toml) puts one fault at a time into a copy of units,
meant, limits and checks, and runs the tests that reach it. All of them take over an hour,
so a seeded share is tried: a second a fault on one processor.
"""

from __future__ import annotations

import argparse
import random
import subprocess
import sys
from collections import Counter

PACKAGES = ("units", "meant", "limits", "checks")
MAKE_ALL = "limitcheck.units.numbers.x_round_up*"
"""Any run makes all mutants; this one tries hardly any."""


def main() -> int:
    """Try a share of the mutants, print the score of each package and what survived."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    parser.add_argument("--share", type=float, default=0.1, help="of each package (default 0.1)")
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    mutmut("run", MAKE_ALL)
    chosen = sample(list(verdicts()), arguments.share, random.Random(arguments.seed))
    mutmut("run", *chosen)
    print(report({name: verdict for name, verdict in verdicts().items() if name in set(chosen)}))
    return 0


def mutmut(*arguments: str) -> str:
    """Run mutmut; its output, or the end of this program where it cannot work."""
    command = [sys.executable, "-m", "mutmut", *arguments]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        sys.exit(f"{done.stdout[-2000:]}{done.stderr[-2000:]}mutmut failed; see above")
    return done.stdout


def verdicts() -> dict[str, str]:
    """Every mutant and what became of it: killed, survived, timeout, no tests, not checked."""
    lines = (
        line.strip().partition(": ") for line in mutmut("results", "--all", "true").split("\n")
    )
    return {name: verdict for name, colon, verdict in lines if colon}


def package(name: str) -> str:
    """The package that a mutant is in."""
    return name.split(".")[1]


def sample(names: list[str], share: float, rng: random.Random) -> list[str]:
    """That share of the mutants of each package."""
    chosen = []
    for wanted in PACKAGES:
        inside = [name for name in sorted(names) if package(name) == wanted]
        chosen += rng.sample(inside, round(share * len(inside)))
    return chosen


def report(found: dict[str, str]) -> str:
    """The score of each package (a fault that hangs is noticed), then the survivors by name."""
    lines = []
    for wanted in PACKAGES:
        counts = Counter(v for name, v in found.items() if package(name) == wanted)
        noticed, tried = counts["killed"] + counts["timeout"], sum(counts.values())
        share = noticed / tried if tried else 0
        lines.append(f"{wanted:10} {noticed} of {tried} noticed ({share:.0%})")
    survivors = sorted(name for name, v in found.items() if v not in ("killed", "timeout"))
    return "\n".join([*lines, "", "Not noticed (mutmut show NAME prints the fault):", *survivors])


if __name__ == "__main__":
    sys.exit(main())

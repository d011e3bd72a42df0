"""How often `limitcheck isolate` names the blocked part, or a wrong one: tables.

python -m tests.diagnosis.isolation_study --runs 40
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Iterator, Sequence

from tests.diagnosis.isolation_simulation import KNOWLEDGE, SIZES, Outcome, shares, simulate

PLAIN = 0.2
"""A misread pressure that is off by more than this share of the pressure can be seen."""
_SEEN = ("contradiction", "repeat")


def recognised(outcomes: Sequence[Outcome]) -> tuple[int, int]:
    """Of the sets with a plainly misread reading, how many are answered with what to repeat."""
    plain = [outcome for outcome in outcomes if outcome.misread > PLAIN]
    return sum(outcome.first in _SEEN for outcome in plain), len(plain)


def lines(runs: int, sizes: Sequence[float], one_in: float, worse: float) -> Iterator[str]:
    """The table for each state of knowledge."""
    everything: list[Outcome] = []
    yield f"One reading in {1 / one_in:g} misread" if one_in else "No reading misread"
    yield f"Systems {worse:g} x as uncertain as assumed; readings +-5 %"
    yield "known            size  named  right  wrong  beside  undecided  repeat  not seen  asked"
    for knowledge in KNOWLEDGE:
        for size in sizes:
            found = list(simulate(knowledge, runs, 1, (size,), worse, one_in))
            everything += found
            said: Counter[str] = sum(shares(found).values(), Counter())
            n, share = len(found), said.total() / 100
            asked = sum(outcome.asked for outcome in found) / n
            named = said["right"] + said["wrong"] + said["shared"]
            yield (
                f"{knowledge:15} {size:5.0%} {named / share:6.1f} {said['right'] / share:6.1f} "
                f"{said['wrong'] / share:6.1f} {said['shared'] / share:7.1f} "
                f"{said['undecided'] / share:10.1f} {said['contradiction'] / share:7.1f} "
                f"{said['missed'] / share:9.1f} {asked:6.1f}"
            )
    wrong = sum(outcome.said == "wrong" for outcome in everything)
    yield f"A wrong part named in {wrong} of {len(everything)} ({wrong / len(everything):.2%})."
    seen, plain = recognised(everything)
    if plain:
        yield f"A plainly misread reading: what to repeat is said in {seen} of {plain}."
        yield f"  ({seen / plain:.1%})"
    yield ""


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=40)
    runs = parser.parse_args().runs
    for one_in, worse in ((0.1, 1.0), (0.0, 1.0), (0.1, 1.6)):
        for line in lines(runs, (0.0, *SIZES), one_in, worse):
            print(line, flush=True)

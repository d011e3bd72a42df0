"""`python -m tests.detection`: how often a wrong number is seen and named, and rightly."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from functools import partial

from .generator import generate
from .measure import KINDS, Case, checked, measure, slip_of
from .tables import report

CHUNK = 50


def main() -> None:
    """Run, print; --show prints one profile and what is found in it."""
    options = argparse.ArgumentParser(prog="python -m tests.detection", description=__doc__)
    options.add_argument("--profiles", type=int, default=1000, help="with slips (default 1000)")
    options.add_argument("--clean", type=int, default=0, help="clean ones, at least")
    options.add_argument("--seed", type=int, default=1, help="of the generator (default 1)")
    options.add_argument("--processes", type=int, default=1, help="to share the work (default 1)")
    options.add_argument("--kinds", nargs="*", default=list(KINDS), help="of slips (default all)")
    options.add_argument("--wrong", action="store_true", help="list wrong claims but possible ones")
    options.add_argument(
        "--show", nargs=2, metavar=("KIND", "INDEX"), help="print a slip (or clean) and findings"
    )
    given = options.parse_args()
    if given.show:
        _show(given.seed, given.show[0], int(given.show[1]))
        return
    cases = list(_cases(given.seed, given.profiles, given.clean, given.processes, given.kinds))
    print(f"seed {given.seed}, {sum(case.kind != 'clean' for case in cases)} slips")
    for line in report(cases):
        print(line)
    if given.wrong:
        for case in cases:
            for claim in case.claims:
                if not claim.right and claim.confidence != "possible":
                    print(f"{claim.confidence} {claim.check} on {case.kind} {case.index}")


def _show(seed: int, kind: str, index: int) -> None:
    """Print the document of a kind ("clean" for that before a slip) and the findings."""
    import tomli_w

    clean = generate(seed, index)
    slip = None if kind == "clean" else slip_of(kind, seed, clean)
    document = clean.document if slip is None else slip.document
    print(tomli_w.dumps(document))
    print(f"# {dict(clean.tags)}")
    if slip is not None:
        print(f"# truth { ({path: str(value) for path, value in slip.truth.items()}) }")
    print(f"# clean: {clean.document['cutoffs']} {clean.document.get('expected')}")
    for finding in checked(document)[1].findings:
        print(f"# {finding.severity} {finding.confidence} {finding.check} {finding.path}:")
        print(f"#   {finding.message}\n#   {finding.advice}")
        print(f"#   {finding.suggestion} {finding.also} {dict(finding.data)}")


def _cases(
    seed: int, profiles: int, clean: int, processes: int, kinds: list[str]
) -> Iterator[Case]:
    count = max(profiles, clean)
    chunks = [range(start, min(start + CHUNK, count)) for start in range(0, count, CHUNK)]
    work = partial(_measured, seed, profiles, kinds)
    if processes == 1:
        for chunk in chunks:
            yield from work(chunk)
        return
    from multiprocessing import Pool

    with Pool(processes) as pool:
        for cases in pool.imap(work, chunks):
            yield from cases


def _measured(seed: int, profiles: int, kinds: list[str], indices: range) -> list[Case]:
    slipped, clean = ([i for i in indices if i < profiles], [i for i in indices if i >= profiles])
    return [*measure(seed, slipped, kinds), *measure(seed, clean, ())]


if __name__ == "__main__":
    main()

"""`python -m tests.detection`: measure how often a wrong unit is seen and named."""

from __future__ import annotations

import argparse
import csv
from collections.abc import Iterable, Iterator
from dataclasses import asdict
from functools import partial

from .generator import Clean, generate
from .measure import UNIT_PAIRS, Case, CleanCase, RuleCase, SlipCase, checked, measure, slips_of
from .slips import Slip
from .tables import report

CHUNK = 50


def main() -> None:
    """Run, print, and with --csv write one line for every slip."""
    options = argparse.ArgumentParser(prog="python -m tests.detection", description=__doc__)
    options.add_argument("--profiles", type=int, default=1000, help="how many (default 1000)")
    options.add_argument("--seed", type=int, default=1, help="of the generator (default 1)")
    options.add_argument("--processes", type=int, default=1, help="to share the work (default 1)")
    options.add_argument("--csv", metavar="FILE", help="write every slip there")
    options.add_argument(
        "--show",
        nargs=2,
        metavar=("KIND", "INDEX"),
        help="print a slip (or clean) and its findings",
    )
    given = options.parse_args()
    if given.profiles < 1 or given.processes < 1:
        options.error("--profiles and --processes take 1 or more")
    if given.show:
        _show(given.seed, given.show[0], int(given.show[1]))
        return
    cases = list(_cases(given.seed, given.profiles, given.processes))
    slips = [case for case in cases if isinstance(case, SlipCase)]
    print(f"seed {given.seed}, {given.profiles} profiles, {len(slips)} slips")
    clean = [case for case in cases if isinstance(case, CleanCase)]
    for line in report(clean, slips, [case for case in cases if isinstance(case, RuleCase)]):
        print(line)
    if given.csv:
        _write(given.csv, slips)


def _show(seed: int, kind: str, index: int) -> None:
    """Print the documents of a kind ("clean" for the profiles before a slip) and the findings."""
    import tomli_w

    for clean, slip in _chosen(seed, kind, index):
        document = clean.document if slip is None else slip.document
        print(tomli_w.dumps(document))
        print(f"# {dict(clean.tags)}")
        if slip is not None:
            print(f"# meant {slip.meant}, read {slip.read}")
            print(f"# clean: {clean.document['cutoffs']} {clean.document['expected']}")
        for finding in checked(document):
            print(f"# {finding.severity} {finding.check} {finding.path}: {finding.message}")
            print(f"#   {finding.suggestion} {dict(finding.data)}")


def _chosen(seed: int, kind: str, index: int) -> Iterator[tuple[Clean, Slip | None]]:
    if kind == "clean":
        for display in (None, *UNIT_PAIRS[index % len(UNIT_PAIRS)]):
            yield generate(seed, index, display=display), None
    for found, clean, slip in slips_of(seed, index):
        if found == kind:
            yield clean, slip


def _cases(seed: int, profiles: int, processes: int) -> Iterator[Case]:
    chunks = [range(start, min(start + CHUNK, profiles)) for start in range(0, profiles, CHUNK)]
    if processes == 1:
        for chunk in chunks:
            yield from measure(seed, chunk)
        return
    from multiprocessing import Pool

    with Pool(processes) as pool:
        for cases in pool.imap(partial(_measured, seed), chunks):
            yield from cases


def _measured(seed: int, indices: range) -> list[Case]:
    return list(measure(seed, indices))


def _write(path: str, slips: Iterable[SlipCase]) -> None:
    with open(path, "w", newline="", encoding="utf-8") as file:
        rows = [_row(case) for case in slips]
        writer = csv.DictWriter(file, rows[0] if rows else ())
        writer.writeheader()
        writer.writerows(rows)


def _row(case: SlipCase) -> dict[str, object]:
    fields = asdict(case)
    tags = fields.pop("tags")
    return fields | {"fitting": " ".join(case.fitting)} | {f"tag {k}": v for k, v in tags.items()}


if __name__ == "__main__":
    main()

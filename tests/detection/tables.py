"""What was measured, as text of 96 columns."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import chain, pairwise

from limitcheck.findings import Confidence, Severity

from .measure import FAMILIES, KINDS, Case, Claim, Written
from .stats import Share

_BINS = (0.0, 0.2, 0.4, 0.6, 0.8, 0.9, 0.95, 0.98, 0.995, 0.999, 1.1)
FAR = 6.0
"""Slips between units nearer than this (bar and kgf/cm2) are reported by themselves."""


def report(cases: Sequence[Case]) -> Iterator[str]:
    """The whole report, line by line."""
    yield from _clean([case for case in cases if case.kind == "clean"])
    slips = [case for case in cases if case.kind in KINDS]
    yield f"profiles on which a check crashed: {sum(case.crashed for case in cases)}"
    yield from _kinds([case for case in slips if not near_pair(case)])
    yield from _confidence(slips)
    yield from _written(cases)
    yield from _causes(slips)


def near_pair(case: Case) -> bool:
    """Whether the slip is between bar and kgf/cm2: plausibility cannot see it."""
    return 0 < case.apart < FAR


def claims_of(cases: Iterable[Case], confidence: Confidence) -> list[Claim]:
    """Every claim of one confidence."""
    return [claim for case in cases for claim in case.claims if claim.confidence == confidence]


def total(written: Iterable[Written]) -> Share:
    """The wrong ones of the values written."""
    each = list(written)
    return Share(sum(w.wrong for w in each), sum(w.values for w in each))


def _title(text: str) -> Iterator[str]:
    yield ""
    yield text
    yield "-" * len(text)


def _clean(cases: Sequence[Case]) -> Iterator[str]:
    yield from _title(f"Clean profiles: {len(cases)}")
    wrong = [str(case.index) for case in cases if case.as_slip or case.claims]
    yield f"a number called wrong on {len(wrong)}: {' '.join(wrong[:12])}"
    for severity in Severity:
        sets = [{check for check, s in case.findings if s is severity} for case in cases]
        yield f"any {severity.value}, %: {Share.of(map(bool, sets))}"
        for check, count in Counter(chain.from_iterable(sets)).most_common():
            yield f"  {check:<34} {count:>6} {100 * count / len(cases):6.2f} %"


def _kinds(cases: Sequence[Case]) -> Iterator[str]:
    yield from _title("Slips by kind (%, 95 % intervals)")
    yield (
        f"{'kind':<17}{'cases':>6} {'flagged':<18}{'named':<19}{'wrongly':<18}"
        f"{'in order':>9}{'flagged':>8}"
    )
    for kind in KINDS:
        chosen = [case for case in cases if case.kind == kind]
        if not chosen:
            continue
        silent = [case for case in chosen if case.in_order]
        yield (
            f"{kind:<17}{len(chosen):>6} {Share.of(c.flagged for c in chosen)!s:<18}"
            f"{Share.of(c.named for c in chosen)!s:<19}"
            f"{Share.of(c.wrongly for c in chosen)!s:<18}"
            f"{Share(len(silent), len(chosen)).percent:>9.1f}"
            f"{Share.of(c.flagged for c in silent).percent:>8.1f}"
        )
    yield "named: the number that was meant (bar and kgf/cm2 as one). wrongly: another."
    yield "in order: nothing exact contradicts the number as typed (flagged: of those)."
    yield "bar for kgf/cm2 and the reverse, 2 % apart, are left out here."


def _confidence(cases: Sequence[Case]) -> Iterator[str]:
    yield from _title("How often each confidence was right (%, 95 % intervals)")
    yield f"{'kind':<18}" + "".join(f"{word.value + ', cases':>17} right" for word in Confidence)
    groups = [(family, [c for c in cases if c.family == family]) for family in FAMILIES]
    for name, chosen in (*groups, ("all", cases)):
        cells = ""
        for word in Confidence:
            claims = claims_of(chosen, word)
            share = Share.of(claim.right for claim in claims)
            cells += f"{len(claims):>6} {share!s:<18}"
        yield f"{name:<14}{cells}"
    for word in Confidence:
        claims = claims_of(cases, word)
        near, cause = Share.of(c.near for c in claims), Share.of(c.cause for c in claims)
        yield f"{word.value}: with bar and kgf/cm2 as one {near}, number and cause {cause}"
    yield "by the probability given:"
    every = [claim for case in cases for claim in case.claims]
    for low, high in pairwise(_BINS):
        own = [c for c in every if low <= c.probability < high]
        yield f"  {low:.3f} to {min(high, 1):.3f}  {Share.of(c.right for c in own)} of {len(own)}"
    for check in dict.fromkeys(claim.check for case in cases for claim in case.claims):
        own = [c for case in cases for c in case.claims if c.check == check]
        yield f"{check}: {Share.of(c.right for c in own)} of {len(own)}"


def _written(cases: Sequence[Case]) -> Iterator[str]:
    yield from _title("Wrong of the values written")
    yield f"{'kind':<18}{'--fix':<26}{'--fix-likely':<26}"
    for family in ("clean", *FAMILIES, "all slips"):
        chosen = [
            c for c in cases if c.family == family or (family == "all slips" and c.kind in KINDS)
        ]
        fixed, likely = total(c.fixed for c in chosen), total(c.fixed_likely for c in chosen)
        cells = "".join(
            f"{f'{s.hits} of {s.cases}':<14}{s.percent:<12.2f}" for s in (fixed, likely)
        )
        yield f"{family:<18}{cells}"


def _causes(cases: Sequence[Case]) -> Iterator[str]:
    kinds = ("high", "low", "expected", "rating", "instrument", "one end of band")
    yield from _title("Not flagged / not named, % of slips of units, by")
    yield f"{'profile':<24}" + "".join(f"{kind[:10]:>11}" for kind in kinds)
    tags = sorted({(tag, value) for case in cases for tag, value in case.tags.items()})
    for tag, value in tags:
        cells = ""
        for kind in kinds:
            chosen = [c for c in cases if c.kind == kind and c.tags[tag] == value]
            chosen = [c for c in chosen if not near_pair(c)]
            quiet = Share.of(not c.flagged for c in chosen)
            unnamed = Share.of(not c.named for c in chosen)
            cells += f"{f'{quiet.percent:.1f}/{unnamed.percent:.1f}' if chosen else '-':>11}"
        yield f"{f'{tag}: {value}'[:24]:<24}{cells}"

"""What was measured, as text of 80 columns."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from itertools import chain

from limitcheck.findings import Severity
from limitcheck.units import TRADE_UNITS

from .measure import KINDS, CleanCase, RuleCase, SlipCase
from .order import alike
from .slips import FIELDS, RULES
from .stats import Share

FAR = 6.0
"""Slips between units at least this factor apart are reported by themselves."""
COMMON = frozenset(("bar", "psi", "MPa"))
_MATRICES = (*FIELDS, "instrument")


def named_right(case: SlipCase, *, near_pair_as_one: bool = False) -> bool:
    """Whether the first suggestion names the meant unit."""
    if case.named is None or not near_pair_as_one:
        return case.named == case.meant
    return alike(case.named) == alike(case.meant)


def of_kind(cases: Sequence[SlipCase], kind: str, *, far: bool = True) -> list[SlipCase]:
    """The cases of one kind, a factor 6 or more apart or nearer."""
    return [case for case in cases if case.kind == kind and (case.apart >= FAR) == far]


def report(
    clean: Sequence[CleanCase], slips: Sequence[SlipCase], rules: Sequence[RuleCase]
) -> Iterator[str]:
    """The whole report, line by line."""
    yield from _clean(clean)
    yield f"slips on which a check crashed: {sum(case.crashed for case in slips)}"
    yield from _rates(slips, "Slips a factor 6 or more apart, all ordered unit pairs alike", True)
    common = [case for case in slips if {case.meant, case.read} <= COMMON]
    yield from _rates(common, "The same among bar, psi and MPa only", True)
    yield from _rates(slips, "bar and kgf/cm2, 2 % apart", False)
    yield from _ambiguity(slips)
    yield from _matrices(slips)
    yield from _causes(slips)
    yield from _rules(rules)


def _title(text: str) -> Iterator[str]:
    yield ""
    yield text
    yield "-" * len(text)


def _clean(cases: Sequence[CleanCase]) -> Iterator[str]:
    for title, occurring in (("as they occur", True), ("all alike", False)):
        yield from _title(f"Clean profiles, display units {title}")
        chosen = [case for case in cases if case.as_they_occur == occurring]
        share = Share.of(case.unit_confusion for case in chosen)
        yield f"unit-confusion on {share.hits} of {share.cases}, % (95 % interval): {share}"
        if share.hits:
            wrong = [str(case.index) for case in chosen if case.unit_confusion]
            yield f"  indices: {' '.join(wrong[:10])}{' ...' if len(wrong) > 10 else ''}"
        for severity in Severity if occurring else ():
            sets = [{check for check, s in case.findings if s is severity} for case in chosen]
            yield f"any {severity.value}, %: {Share.of(map(bool, sets))}"
            for check, count in Counter(chain.from_iterable(sets)).most_common():
                yield f"  {check:<34} {count:>6} {100 * count / len(chosen):6.2f} %"


def _rates(cases: Sequence[SlipCase], title: str, far: bool) -> Iterator[str]:
    yield from _title(f"{title} (%, 95 % intervals)")
    yield f"{'slip':<18}{'cases':>6} {'flagged':<19}{'named':<19}{'bar=kgf':>7}{'on all':>8}"
    for kind in KINDS:
        chosen = of_kind(cases, kind, far=far)
        if chosen:
            flagged = Share.of(case.flagged for case in chosen)
            named = Share.of(named_right(case) for case in chosen)
            alike_named = Share.of(named_right(case, near_pair_as_one=True) for case in chosen)
            on_all = Share.of(case.flagged_all for case in chosen)
            yield (
                f"{kind:<18}{len(chosen):>6} {flagged!s:<19}{named!s:<19}"
                f"{alike_named.percent:>7.1f}{on_all.percent:>8.1f}"
            )
    yield "bar=kgf: named, those two taken as one. on all: every slipped field flagged,"
    yield "or unit-confusion points at the instrument's unit and not at its numbers."


def _ambiguity(slips: Sequence[SlipCase]) -> Iterator[str]:
    yield from _title("What the order low < expected < high <= ratings alone can tell (%)")
    yield (
        f"{'slip':<18}{'cases':>6}{'in order':>9}{'flagged':>9}{'one unit':>10}"
        f"{'named':>8}{'more':>7}{'named':>8}"
    )
    for kind in KINDS:
        cases = of_kind(slips, kind)
        if not cases or kind == "instrument":
            continue
        silent = [case for case in cases if case.in_order]
        broken = [case for case in cases if not case.in_order]
        one = [case for case in broken if len(case.fitting) == 1]
        more = [case for case in broken if len(case.fitting) > 1]
        yield (
            f"{kind:<18}{len(cases):>6}{_part(silent, cases):>9}{_flagged(silent):>9}"
            f"{_part(one, cases):>10}{_named(one):>8}{_part(more, cases):>7}{_named(more):>8}"
        )
    yield "in order: nothing exact contradicts the number as typed (flagged: of those)."
    yield "one unit: the order is broken and one unit mends it; more: several units do"
    yield "(bar and kgf/cm2 count as one unit; named: of those, the meant unit first)."
    yield f"{'slip':<18}{'tie reported':<24}by unit-confusion itself"
    for kind in KINDS:
        cases = of_kind(slips, kind)
        if cases:
            ties, own = Share.of(c.tie for c in cases), Share.of(c.confusion for c in cases)
            yield f"{kind:<18}{ties!s:<24}{own}"


def _part(some: Sequence[SlipCase], cases: Sequence[SlipCase]) -> str:
    return f"{Share(len(some), len(cases)).percent:.1f}"


def _flagged(cases: Sequence[SlipCase]) -> str:
    return f"{Share.of(c.flagged for c in cases).percent:.1f}" if cases else "-"


def _named(cases: Sequence[SlipCase]) -> str:
    named = [named_right(case, near_pair_as_one=True) for case in cases]
    return f"{Share.of(named).percent:.1f}" if cases else "-"


def _matrices(slips: Sequence[SlipCase]) -> Iterator[str]:
    yield from _title("Confusion matrices: meant unit (rows), unit named first (columns)")
    for kind in _MATRICES:
        counts = Counter((c.meant, c.named) for c in slips if c.kind == kind)
        yield f"{kind:<12}" + "".join(f"{unit:>10}" for unit in (*TRADE_UNITS, "none"))
        for meant in TRADE_UNITS:
            row = "".join(f"{counts[meant, named]:>10}" for named in (*TRADE_UNITS, None))
            yield f"  {meant:<10}{row}"
    yield from _title("Flagged, %: meant unit (rows), unit it was read in (columns)")
    for kind in _MATRICES:
        yield f"{kind:<12}" + "".join(f"{unit:>10}" for unit in TRADE_UNITS)
        for meant in TRADE_UNITS:
            row = ""
            for read in TRADE_UNITS:
                share = Share.of(
                    c.flagged for c in slips if (c.kind, c.meant, c.read) == (kind, meant, read)
                )
                row += f"{share.percent:>10.1f}" if share.cases else f"{'-':>10}"
            yield f"  {meant:<10}{row}"


def _causes(slips: Sequence[SlipCase]) -> Iterator[str]:
    yield from _title("Not flagged / not named, % of slips a factor 6 or more apart, by")
    yield f"{'profile':<24}" + "".join(f"{kind:>11}" for kind in _MATRICES)
    tags = sorted({(tag, value) for case in slips for tag, value in case.tags.items()})
    for tag, value in tags:
        cells = ""
        for kind in _MATRICES:
            cases = [c for c in of_kind(slips, kind) if c.tags[tag] == value]
            quiet = Share.of(not c.flagged for c in cases)
            wrong = Share.of(not named_right(c, near_pair_as_one=True) for c in cases)
            cell = f"{quiet.percent:.1f}/{wrong.percent:.1f}" if cases else "-"
            cells += f"{cell:>11}"
        yield f"{f'{tag}: {value}'[:24]:<24}{cells}"


def _rules(rules: Sequence[RuleCase]) -> Iterator[str]:
    yield from _title("High cutoff = a rating converted from memory")
    yield (
        f"{'factor':<8}{'from':<8}{'to':<9}{'off, %':>7}{'cases':>7}{'flagged %':>11}"
        f"{'as rule %':>11}{'over':>7}{'flagged %':>11}"
    )
    for factor, given, read in RULES:
        cases = [r for r in rules if (r.factor, r.given, r.read) == (factor, given, read)]
        if not cases:
            continue
        over = [case for case in cases if case.over_rating]
        error = sum(case.error for case in cases) / len(cases)
        yield (
            f"{factor:<8}{given:<8}{read:<9}{100 * error:>7.2f}{len(cases):>7}"
            f"{_of(cases, lambda c: c.flagged):>11}{_of(cases, lambda c: c.named_rule):>11}"
            f"{len(over):>7}{_of(over, lambda c: c.flagged):>11}"
        )
    yield "over: above the weakest rating. A factor that is exact (10, 0.1) is no slip."


def _of(cases: Sequence[RuleCase], outcome: Callable[[RuleCase], bool]) -> str:
    return f"{Share.of(outcome(case) for case in cases).percent:.1f}" if cases else "-"

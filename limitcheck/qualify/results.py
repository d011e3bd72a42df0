"""What a known-answer run says. Plain records."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Verdict(StrEnum):
    """How a run ended; `not run` is neither pass nor failure and always comes with a reason."""

    PASS = "pass"
    FAIL = "fail"
    NOT_RUN = "not run"


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    """The verdict on several runs: one failure fails all, one not run leaves all not run.

    >>> worst([Verdict.PASS, Verdict.NOT_RUN])
    <Verdict.NOT_RUN: 'not run'>
    """
    found = set(verdicts)
    return next((v for v in (Verdict.FAIL, Verdict.NOT_RUN) if v in found), Verdict.PASS)


@dataclass(frozen=True, slots=True)
class Result:
    """One run: what was asked, the published answer, the computed one."""

    subject: str
    published: str
    computed: str
    verdict: Verdict

    @classmethod
    def of(cls, subject: str, published: str, computed: str, *, passed: bool) -> Result:
        """A run that was made."""
        return cls(subject, published, computed, Verdict.PASS if passed else Verdict.FAIL)


@dataclass(frozen=True, slots=True)
class Group:
    """Runs with one source of the published values and one tolerance."""

    title: str
    source: str
    tolerance: str
    results: tuple[Result, ...]

    @property
    def verdict(self) -> Verdict:
        """The verdict on the group."""
        return worst(result.verdict for result in self.results)

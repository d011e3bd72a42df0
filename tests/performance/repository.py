"""A repository of many profiles, for measurements of scale. Every file differs from the others.

Two methods of three have been reviewed: cutoffs as `limitcheck propose` gives them, pump and
columns rated, a normal band, nothing rated under the cutoff behind the column. The others are as
found, one in twenty with a cutoff in psi typed for bar. Methods share instruments, as in a
laboratory.
"""

from __future__ import annotations

from copy import deepcopy
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import Any

from limitcheck.limits import propose
from limitcheck.policy import Margins
from limitcheck.profile.hardware import column_index
from limitcheck.profile.unrated import MUST_BE_RATED
from limitcheck.profile.write import dump_profile
from limitcheck.units import Pressure
from tests.detection.generator import generate

SEED = 6
KINDS = 400
"""Instruments, each with a method; further files are further methods on them."""
MISTAKE_EVERY = 20
PER_FOLDER = 100
_PSI_TO_THE_BAR = Decimal("14.5")


@lru_cache(maxsize=KINDS)
def _document(kind: int) -> dict[str, Any]:
    clean = generate(SEED, kind)
    document: dict[str, Any] = deepcopy(dict(clean.document))
    document["instrument"]["id"] = f"KB-LC-{kind:03}"
    proposal = propose(clean.profile, Margins())
    if kind % 3 and proposal.high is not None and proposal.low is not None:
        document["cutoffs"] = {
            "high": Decimal(proposal.high.enter),
            "low": Decimal(proposal.low.enter),
        }
        del document["flow_path"][column_index(clean.profile) + 1 :]
        _complete(document, proposal.high.pressure, proposal.low.pressure)
    return document


def _complete(document: dict[str, Any], high: Pressure, low: Pressure) -> None:
    """With a rating of every pump and column and a normal band, as the cutoffs have them."""
    unit = document["instrument"]["pressure_unit"]
    for part in document["flow_path"]:
        rated = {"rating", "rating_at_flow", "rating_at_temperature"} & part.keys()
        if part["part"] in MUST_BE_RATED and not rated:
            part["rating"] = f"{round(high.to('bar') * 2)} bar"
    top, bottom = high.to(unit) / Fraction(5, 4), low.to(unit) * 2
    if bottom < top:
        band = {"low": Decimal(f"{float(bottom):.4g}"), "high": Decimal(f"{float(top):.4g}")}
        document.setdefault("expected", band)


def profile_text(index: int) -> str:
    """The text of the profile number `index`."""
    document = deepcopy(_document(index % KINDS))
    document["method"]["id"] = f"KB-{index:05}"
    if index % MISTAKE_EVERY == MISTAKE_EVERY - 1:
        document["cutoffs"]["high"] = int(document["cutoffs"]["high"] * _PSI_TO_THE_BAR)
    return dump_profile(document)


def write_repository(root: Path, count: int) -> None:
    """Write `count` profiles into folders below `root`, with a policy at the top."""
    root.mkdir(parents=True, exist_ok=True)
    (root / "limitcheck.toml").write_text('fail_on = "error"\n', "utf-8")
    for index in range(count):
        folder = root / f"group-{index // PER_FOLDER:03}"
        folder.mkdir(exist_ok=True)
        (folder / f"method-{index:05}.toml").write_text(profile_text(index), "utf-8")

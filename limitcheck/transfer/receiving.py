"""A profile for the receiving instrument, made from the sender's and the instrument's parts."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

from ..limits import Limit, propose
from ..limits.feasible import Remedies, remedies
from ..policy import Policy, margins_for
from ..profile.instruments import DescribedInstrument, column_stretch, on_instrument
from ..profile.load import ProfileFile
from ..profile.model import Profile
from ..units import Pressure, round_down, round_up
from .expected_pressure import predicted_ratio

AS_BEFORE = 0.10
"""Run-to-run variation of a pressure (common practice, no source): no reason to rescale."""


class NoSafeLimits(Exception):
    """The method has no safe high cutoff on the receiving hardware."""

    def __init__(self, reason: str, helps: Remedies) -> None:
        super().__init__(reason)
        self.reason = reason
        self.helps = helps


def receiving_profile(
    sending: ProfileFile, system: DescribedInstrument, policy: Policy, site: str | None
) -> dict[str, Any]:
    """The tables of the receiving profile; raises NoSafeLimits.

    The method, its conditions, margins and columns are the sender's; instrument and other
    parts are the receiver's. The expected band keeps the sender's numbers and unit, which is
    exact; where the other parts move the predicted pressure by more than 10 %, it is scaled by
    the prediction. The cutoffs are proposed for that band on the receiving hardware.
    Acceptances are not taken over: they were given for other hardware.
    """
    profile, tables = sending.profile, sending.tables
    moved = _expecting(profile, on_instrument(profile, system))
    margins = margins_for(moved, policy)
    proposal = propose(moved, margins)
    if proposal.high is None:
        raise NoSafeLimits(proposal.no_high or "", remedies(moved, margins))
    method = {key: value for key, value in tables["method"].items() if key != "site"}
    result: dict[str, Any] = {
        "format": 1,
        "method": method | ({"site": site} if site is not None else {}),
        "instrument": system.tables["instrument"],
        "cutoffs": {
            name: _number(limit)
            for name, limit in (("high", proposal.high), ("low", proposal.low))
            if limit is not None
        },
    }
    if moved.expected is not None:
        result["expected"] = {
            "low": str(moved.expected.low),
            "high": str(moved.expected.high),
            "basis": moved.expected.basis,
        }
    result |= {key: tables[key] for key in ("conditions",) if key in tables}
    result["flow_path"] = _flow_path(tables["flow_path"], system.tables["flow_path"])
    result |= {key: tables[key] for key in ("margins",) if key in tables}
    return result


def _expecting(profile: Profile, moved: Profile) -> Profile:
    """The moved profile with the band to expect there."""
    if profile.expected is None:
        return moved
    ratio, _ = predicted_ratio(profile, moved)
    band: dict[str, object] = {"basis": "declared"}
    if ratio is not None and abs(ratio - 1) > AS_BEFORE:
        unit, step = moved.instrument.pressure_unit, moved.instrument.step
        by = Fraction(ratio)
        low, high = (p.to(unit) * by for p in (profile.expected.low, profile.expected.high))
        band = {
            "low": Pressure.of(round_down(low, step), unit),
            "high": Pressure.of(round_up(high, step), unit),
            "basis": "predicted",
        }
    expected = profile.expected.model_copy(update=band)
    return moved.model_copy(update={"expected": expected})


def _flow_path(sent: list[dict[str, Any]], own: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The receiver's parts with the sender's columns in place of its own."""
    columns = sent[column_stretch([part["part"] for part in sent])]
    place = column_stretch([part["part"] for part in own])
    plain = [{key: value for key, value in part.items() if key != "use"} for part in columns]
    return [*own[: place.start], *plain, *own[place.stop :]]


def _number(limit: Limit) -> int | Decimal:
    return int(limit.enter) if limit.enter.isdigit() else Decimal(limit.enter)

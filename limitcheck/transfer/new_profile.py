"""A profile for the receiving instrument, made from the sender's and the instrument's parts."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import PurePath
from typing import Any

from ..checking.proposed import NAMES
from ..errors import LimitcheckError
from ..limits.room import ways_to_make_room
from ..policy import Policy, margins_for
from ..profile.instruments import DescribedInstrument, column_stretch, on_instrument
from ..profile.load import ProfileFile
from ..profile.write import dump_profile
from .proposed_there import propose_there


class NoSafeLimits(LimitcheckError):
    """The method has no safe high cutoff on the receiving hardware."""


def new_profile(
    sending: ProfileFile, system: DescribedInstrument, policy: Policy, today: date, site: str | None
) -> bytes:
    """The receiving profile, with the files it was made from; raises NoSafeLimits.

    The method, its conditions, margins and columns are the sender's; instrument and other
    parts are the receiver's. The expected band keeps the sender's numbers and unit, which is
    exact, on the same hardware; else it is scaled by the predicted ratio, and not yet measured. The
    cutoffs are proposed for that band on the receiving hardware.
    Acceptances are not taken over: they were given for other hardware.
    """
    profile, tables = sending.profile, sending.tables
    there = propose_there(profile, on_instrument(profile, system), policy, today)
    moved, cutoffs = there.profile, there.cutoffs
    if there.reason is not None and there.reason != cutoffs.reason("low"):
        room = ways_to_make_room(moved, margins_for(moved, policy)).found
        ways = "; or ".join(way.text for way in room)
        raise NoSafeLimits(
            f"no high cutoff can be proposed for {profile.method.id} on {system.instrument.id}: "
            f"{there.reason}",
            f"this would make room: {ways}" if ways else "correct the sending profile first",
        )
    method = {key: value for key, value in tables["method"].items() if key != "site"}
    result: dict[str, Any] = {
        "format": 1,
        "method": method | ({"site": site} if site is not None else {}),
        "instrument": system.tables["instrument"],
        "cutoffs": {
            name: int(item.enter) if item.enter.isdigit() else Decimal(item.enter)
            for name in NAMES
            if (item := cutoffs.number(name)) is not None
        },
    }
    if moved.expected is not None:
        result["expected"] = {
            "low": str(moved.expected.low),
            "high": str(moved.expected.high),
            "basis": moved.expected.basis,
        }
    if "conditions" in tables:
        result["conditions"] = tables["conditions"]
    result["flow_path"] = _flow_path(tables["flow_path"], system.tables["flow_path"])
    if "margins" in tables:
        result["margins"] = tables["margins"]
    return (_heading(sending, system) + dump_profile(result)).encode()


def _heading(sending: ProfileFile, system: DescribedInstrument) -> str:
    return (
        f"# {sending.profile.method.id} on {system.instrument.id}, made by limitcheck transfer "
        f"from\n# {PurePath(sending.path).name} (sha256 {sending.sha256})\n"
        f"# and {PurePath(system.name).name} (sha256 {system.sha256}).\n"
        "# Cutoffs are proposed for the band below: measure the pressure here, then review both.\n"
        "\n"
    )


def _flow_path(sent: list[dict[str, Any]], own: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The receiver's parts with the sender's columns in place of its own."""
    columns = sent[column_stretch([part["part"] for part in sent])]
    place = column_stretch([part["part"] for part in own])
    plain = [{key: value for key, value in part.items() if key != "use"} for part in columns]
    return [*own[: place.start], *plain, *own[place.stop :]]

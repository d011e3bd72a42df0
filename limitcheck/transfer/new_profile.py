"""A profile for the receiving instrument, made from the sender's and the instrument's parts."""

from __future__ import annotations

import os
from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from textwrap import wrap
from typing import Any

from ..checking.proposed import NAMES, CutoffsToType
from ..errors import LimitcheckError
from ..limits.room import ways_to_make_room
from ..policy import Policy, margins_for
from ..profile.instruments import OF_THE_PIECE, DescribedInstrument, column_stretch, on_instrument
from ..profile.load import ProfileFile
from ..profile.shared import USE, path_from, reference
from ..profile.values import values_sha256
from ..profile.write import dump_profile
from ..version import __version__
from .proposed_there import propose_there

_ROOM = "# The room (ambient) is taken to be as warm as the sender's: correct it where it is not.\n"


class NoSafeLimits(LimitcheckError):
    """The method has no safe high cutoff on the receiving hardware."""


def new_profile(
    sending: ProfileFile,
    system: DescribedInstrument,
    policy: Policy,
    today: date,
    site: str | None,
    path: str,
) -> bytes:
    """The receiving profile for the file `path`, with what it was made from; raises NoSafeLimits.

    The method, its conditions, margins and columns are the sender's; instrument and other
    parts are the receiver's. The expected band keeps the sender's numbers and unit, which is
    exact, on the same hardware; else it is scaled by the predicted ratio, and not yet measured. The
    cutoffs are proposed for that band on the receiving hardware. Not taken over: acceptances,
    which were given for other hardware, and what belongs to the sender's very column: serial
    numbers, certificate, plate number, measured resistance. Shared descriptions stay references
    where the new file may use them.
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
        "instrument": _instrument(system, path),
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
    result["flow_path"] = _flow_path(sending, system, path)
    if "margins" in tables:
        result["margins"] = tables["margins"]
    result["source"] = _sources(sending, system, path, today)
    return (_heading(sending, system, cutoffs, there.may_stop) + dump_profile(result)).encode()


def _heading(
    sending: ProfileFile, system: DescribedInstrument, cutoffs: CutoffsToType, may_stop: str
) -> str:
    conditions = sending.profile.conditions
    room = "" if conditions is None or conditions.ambient is None else _ROOM
    stops = f"{may_stop}." if may_stop else ""
    return (
        f"# {sending.profile.method.id} on {system.instrument.id}, made by limitcheck transfer "
        f"from the\n# files under [[source]], below.\n"
        f"{_of_cutoffs(cutoffs)}"
        f"{_commented(stops)}"
        f"{room}"
        "\n"
    )


def _of_cutoffs(cutoffs: CutoffsToType) -> str:
    """What is said of the cutoffs below, as comments: which are proposed, and why one is not."""
    lacking: dict[str, list[str]] = {}
    for name in NAMES:
        if (reason := cutoffs.reason(name)) is not None:
            lacking.setdefault(reason, []).append(name)
    if not lacking:
        return (
            "# Cutoffs are proposed for the band below: "
            "measure the pressure here, then review both.\n"
        )
    told = "; ".join(
        f"no {' and no '.join(names)} cutoff is proposed: {reason}"
        for reason, names in lacking.items()
    )
    text = f"{told[:1].upper()}{told[1:]}. Measure the pressure here, then set what is missing."
    return _commented(text)


def _commented(text: str) -> str:
    """As comments of a profile, wrapped; nothing of nothing."""
    text = f"{text[:1].upper()}{text[1:]}"
    return "".join(f"# {line}\n" for line in wrap(text, 96, break_on_hyphens=False))


def _sources(
    sending: ProfileFile, system: DescribedInstrument, path: str, today: date
) -> list[dict[str, Any]]:
    """The two files the profile is made from, as they are today."""
    method = sending.profile.method
    revision = {"revision": method.revision} if method.revision is not None else {}
    about = {"tool": f"limitcheck {__version__}", "day": today}
    return [
        {
            "gave": "method",
            "path": path_from(path, sending.path),
            "sha256": sending.sha256,
            "values": values_sha256(sending.tables),
            "method": method.id,
            **revision,
            "instrument": sending.profile.instrument.id,
            **about,
        },
        {
            "gave": "instrument",
            "path": path_from(path, system.name),
            "sha256": system.sha256,
            "values": values_sha256(system.tables),
            "instrument": system.instrument.id,
            **about,
        },
    ]


def _instrument(system: DescribedInstrument, path: str) -> Mapping[str, Any]:
    """[instrument] of the new profile: a reference where the file is a description."""
    own = system.own.data["instrument"]
    if system.is_description:
        used = reference(path, system.name)
        return {"use": used} if used is not None else system.tables["instrument"]
    return _still_using(own, system.name, path) or system.tables["instrument"]


def _flow_path(
    sending: ProfileFile, system: DescribedInstrument, path: str
) -> list[Mapping[str, Any]]:
    """The receiver's parts with the sender's columns in place of its own."""
    whole, sent = system.tables["flow_path"], sending.tables["flow_path"]
    place = column_stretch([part["part"] for part in whole])
    taken = column_stretch([part["part"] for part in sent])
    own = [_receiving_part(index, system, path) for index in range(len(whole))]
    written = sending.merged.own.data["flow_path"]
    columns = [
        _column(written[index], sent[index], sending.path, path)
        for index in range(taken.start, taken.stop)
    ]
    return [*own[: place.start], *columns, *own[place.stop :]]


def _receiving_part(index: int, system: DescribedInstrument, path: str) -> Mapping[str, Any]:
    whole, own = system.tables["flow_path"], system.own.data["flow_path"][index]
    if not system.is_description or USE in own:
        return _still_using(own, system.name, path) or whole[index]
    name = whole[index].get("label", whole[index]["part"])
    called = [part for part in whole if name in (part.get("label"), part["part"])]
    used = reference(path, system.name) if len(called) == 1 else None
    return {"use": f"{used}#{name}"} if used is not None else whole[index]


def _column(
    written: Mapping[str, Any], whole: Mapping[str, Any], holder: str, path: str
) -> Mapping[str, Any]:
    """A part of the sender's column stretch, without what is true of the very piece only."""
    taken = {key: value for key, value in whole.items() if key not in (*OF_THE_PIECE, USE)}
    shared = {key for key in whole if key not in written}
    if shared.isdisjoint(OF_THE_PIECE):
        bare = {key: value for key, value in written.items() if key not in OF_THE_PIECE}
        return _still_using(bare, holder, path) or taken
    return taken


def _still_using(table: Mapping[str, Any], holder: str, path: str) -> Mapping[str, Any] | None:
    """A table of `holder` for the new file; None where what it uses is out of its reach."""
    if USE not in table:
        return None
    file, mark, name = str(table[USE]).partition("#")
    used = reference(path, os.path.join(os.path.dirname(holder), *file.split("/")))
    return {**table, USE: f"{used}{mark}{name}"} if used is not None else None

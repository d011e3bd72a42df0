"""`limitcheck transfer`: one method moved from one instrument to another."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from .options import Format, Output, Verbose

if TYPE_CHECKING:
    from datetime import datetime

    from ..profile.load import ProfileFile
    from .output import Asked


def command(
    sending: Annotated[
        str | None, typer.Argument(metavar="FROM", help="The sending profile.")
    ] = None,
    receiving: Annotated[
        str | None, typer.Argument(metavar="TO", help="The receiving profile.")
    ] = None,
    new: Annotated[
        str | None, typer.Option(metavar="TO", help="Write the receiving profile, a new file.")
    ] = None,
    instrument: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="With --new: the receiving instrument's description."),
    ] = None,
    site: Annotated[
        str | None, typer.Option(metavar="NAME", help="With --new: the receiving site.")
    ] = None,
    qualification: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="The qualification record, of limitcheck qualify -o."),
    ] = None,
    verify: Annotated[
        str | None, typer.Option(metavar="RECORD", help="Say what changed since a record was made.")
    ] = None,
    format: Format = "text",
    output: Output = None,
    verbose: Verbose = False,
) -> int:
    """Rule every field of a method on two instruments: accept or not, with reasons.

    Each field is the same, allowed by a rule, not allowed, cannot be decided, or for
    information; a field that the transfer rests on may not be left out.
    With --new and --instrument the receiving profile is made first: the sender's
    method and columns on the receiving instrument, with limits proposed for it.
    --verbose prints the whole record, --output record.pdf writes it to sign.
    --verify makes a record (.json, .html or .pdf) again from today's files; run it
    in the folder the record was made in.
    Exit code: 0 accept, 1 do not accept or cannot decide, 2 a file or argument that
    cannot be used; with --verify 0 nothing changed, 1 something did.

    \b
    Example: limitcheck transfer kestrel-bay.toml harrow-mill.toml
    """
    from datetime import datetime
    from pathlib import Path

    from ..checking.policy_file import policy_for
    from ..documents.transfer import transfer_data, transfer_document
    from ..errors import Refused
    from ..profile.load import load
    from ..qualify.control import control_of
    from ..transfer import transfer
    from .output import asked, show

    wanted = asked(format, output, verbose)
    made = datetime.now().astimezone()
    if verify is not None:
        if sending is not None or new is not None or qualification is not None:
            raise Refused("--verify stands alone", "limitcheck transfer --verify RECORD.json")
        return _verify(verify, made, wanted)
    if (
        sending is None
        or (receiving is None) == (new is None)
        or (new is None) != (instrument is None)
    ):
        raise Refused(
            "name the receiving profile, or --new TO with --instrument FILE",
            "limitcheck transfer FROM TO, or limitcheck transfer FROM --new TO --instrument FILE",
        )
    first = load(sending)
    if new is not None and instrument is not None:
        _write_new(first, new, instrument, site)
    target = receiving or new or ""
    policies = (policy_for(Path(sending)), policy_for(Path(target)))
    found = transfer(first, load(target), policies, made.date())
    control = control_of(found, made, qualification)
    show(wanted, transfer_document(found, control), transfer_data(found, control))
    return 0 if found.decision == "accept" else 1


def _verify(path: str, made: datetime, wanted: Asked) -> int:
    """What changed since a record was made."""
    from ..documents.control import verification_document
    from ..documents.data import frame
    from .controlled import read_record, verify
    from .output import show

    record = read_record(path)
    found = verify(record, made)
    data = frame(verified=record["record"], day=made.date().isoformat(), changes=list(found))
    show(wanted, verification_document(record, found, made.date().isoformat()), data)
    return 1 if found else 0


def _write_new(sending: ProfileFile, new: str, instrument: str, site: str | None) -> None:
    """Make the receiving profile and write it, never over another file."""
    from datetime import date
    from pathlib import Path

    from ..checking.policy_file import policy_for
    from ..errors import Refused
    from ..profile.atomic import CannotWrite, create_file
    from ..profile.instruments import load_instrument
    from ..profile.load import load_bytes
    from ..transfer.new_profile import new_profile

    policy = policy_for(Path(new))
    content = new_profile(sending, load_instrument(instrument), policy, date.today(), site, new)
    load_bytes(content, new)
    try:
        create_file(new, content)
    except CannotWrite as error:
        raise Refused(str(error), "name another file, or check the folder") from None

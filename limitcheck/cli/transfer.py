"""`limitcheck transfer`: one method moved from one instrument to another."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Annotated

import typer

from .options import Format, Output, Paper, Picture, Verbose

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
    paper: Paper = "a4",
    picture: Picture = None,
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
    from ..profile.load import load, load_bytes
    from ..qualify.control import control_of
    from ..transfer import transfer
    from .output import asked, show

    wanted = asked(format, output, verbose, pictures=picture or (), paper=paper)
    made = datetime.now().astimezone()
    if verify is not None:
        if any(item is not None for item in (sending, new, instrument, site, qualification)):
            raise Refused("--verify stands alone", "limitcheck transfer --verify RECORD.json")
        return _verify(verify, made, wanted)
    if (
        sending is None
        or (receiving is None) == (new is None)
        or (new is None) != (instrument is None)
        or (new is None and site is not None)
    ):
        raise Refused(
            "name the receiving profile, or --new TO with --instrument FILE",
            "limitcheck transfer FROM TO, or limitcheck transfer FROM --new TO --instrument FILE "
            "[--site NAME]",
        )
    first, target = load(sending), receiving or new or ""
    content = None
    if new is not None and instrument is not None:
        content = _new_content(first, new, instrument, site)
    policies = (policy_for(Path(sending)), policy_for(Path(target)))
    second = load(target) if content is None else load_bytes(content, target)
    found = transfer(first, second, policies, made.date())
    control = control_of(found, made, qualification)
    with _written(target, content):
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
    own, day = record.data["record"], made.date().isoformat()
    data = frame(verified=own, day=day, changes=list(found))
    show(wanted, verification_document(record.data, found, day), data)
    return 1 if found else 0


def _new_content(sending: ProfileFile, new: str, instrument: str, site: str | None) -> bytes:
    """The receiving profile for a new file."""
    from datetime import date
    from pathlib import Path

    from ..checking.policy_file import policy_for
    from ..profile.instruments import load_instrument
    from ..transfer.new_profile import new_profile

    policy = policy_for(Path(new))
    return new_profile(sending, load_instrument(instrument), policy, date.today(), site, new)


@contextmanager
def _written(new: str, content: bytes | None) -> Iterator[None]:
    """Writes a new profile, never over another file; gone again where its record was refused."""
    import os

    from ..errors import LimitcheckError, Refused
    from ..profile.atomic import CannotWrite, create_file

    if content is None:
        yield
        return
    try:
        create_file(new, content)
    except CannotWrite as error:
        raise Refused(str(error), "name another file, or check the folder") from None
    try:
        yield
    except LimitcheckError:
        os.unlink(new)
        raise

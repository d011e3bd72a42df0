"""`limitcheck transfer`: one method moved from one instrument to another."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from .options import Format, Pages, check_format

if TYPE_CHECKING:
    from ..profile.load import ProfileFile


def command(
    sending: Annotated[str, typer.Argument(metavar="FROM", help="The sending profile.")],
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
    brief: Annotated[
        bool, typer.Option("--brief", help="Only the decision and its reasons.")
    ] = False,
    format: Format = "text",
    output: Pages = None,
) -> int:
    """Compare a method on two instruments: accept, or do not accept, with reasons.

    With --new and --instrument the receiving profile is made first: the sender's
    method and columns on the receiving instrument, with limits proposed for it.
    Exit code: 0 accept, 1 do not accept, 2 a file or argument that cannot be used.

    \b
    Example: limitcheck transfer kestrel-bay.toml harrow-mill.toml
    """
    import json
    from datetime import date
    from pathlib import Path

    from ..checking.policy_file import policy_for
    from ..documents.as_text.transfer import document, render, render_brief
    from ..documents.transfer import transfer_document
    from ..profile.load import load
    from ..transfer import transfer
    from .output import Refused, emit
    from .pages import page_writers

    check_format(format)
    if (receiving is None) == (new is None) or (new is None) != (instrument is None):
        raise Refused(
            "name the receiving profile, or --new TO with --instrument FILE",
            "limitcheck transfer FROM TO, or limitcheck transfer FROM --new TO --instrument FILE",
        )
    pages = page_writers(output or [])
    first = load(sending)
    if new is not None and instrument is not None:
        _write_new(first, new, instrument, site)
    target = receiving or new or ""
    policies = (policy_for(Path(sending)), policy_for(Path(target)))
    found = transfer(first, load(target), policies, date.today())
    if format == "json":
        emit(json.dumps(document(found), indent=1, ensure_ascii=False) + "\n")
    else:
        emit(render_brief(found) if brief else render(found))
    for write in pages:
        write(transfer_document(found))
    return 0 if found.accepted else 1


def _write_new(sending: ProfileFile, new: str, instrument: str, site: str | None) -> None:
    """Make the receiving profile and write it, never over another file."""
    from pathlib import Path

    from ..checking.policy_file import policy_for
    from ..profile.instruments import load_instrument
    from ..profile.load import load_bytes
    from ..profile.write import CannotWrite, create_file, dump_profile
    from ..transfer.receiving import NoSafeLimits, receiving_profile
    from .output import Refused

    system = load_instrument(instrument)
    try:
        tables = receiving_profile(sending, system, policy_for(Path(new)), site)
    except NoSafeLimits as error:
        helps = "; or ".join(remedy.text for remedy in error.helps.found)
        raise Refused(
            f"no safe limits for {sending.profile.method.id} on {system.instrument.id}: "
            f"{error.reason}",
            f"this would make room: {helps}" if helps else "see propose",
        ) from None
    content = (
        f"# {sending.profile.method.id} on {system.instrument.id}, made by limitcheck transfer from\n"
        f"# {Path(sending.path).name} (sha256 {sending.sha256})\n"
        f"# and {Path(system.name).name} (sha256 {system.sha256}).\n"
        "# Cutoffs are proposed for the band below: measure the pressure here, then review both.\n\n"
        + dump_profile(tables)
    ).encode()
    load_bytes(content, new)
    try:
        create_file(new, content)
    except CannotWrite as error:
        raise Refused(str(error), "name another file, or check the folder") from None

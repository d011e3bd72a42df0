"""`baseline --state`: what is agreed on, kept in a file, and later rows judged against it."""

from __future__ import annotations

from typing import TYPE_CHECKING, BinaryIO

if TYPE_CHECKING:
    from ..history.agreed import State
    from ..history.baseline import Baseline
    from ..history.layout import Options
    from ..history.log import Choice
    from ..profile.load import ProfileFile
    from .output import Asked

_LARGEST_STATE = 10_000_000  # bytes


def refuse_half(
    state: str | None,
    agree: bool,
    by: str | None,
    reason: str | None,
    profile: str | None,
    write: bool,
) -> None:
    """Raises Refused for options that are of use together only."""
    from ..errors import Refused

    if state is None:
        for option, value in (("--agree", agree), ("--by", by), ("--reason", reason)):
            if value:
                raise Refused(f"{option} without --state", "name the file with --state FILE.json")
        return
    if profile is None:
        raise Refused("--state without a profile", "name it with --profile")
    if write:
        raise Refused("--write beside --state", "write the band first, then agree on it")
    if agree and not (by and reason):
        raise Refused("--agree without --by and --reason", "say who agrees, and why")
    if not agree and (by or reason):
        raise Refused("--by and --reason without --agree", "add --agree, or leave them out")


def _kept(path: str) -> tuple[State | None, str | None]:
    """The state in a file and the digest of the file; None where there is no file."""
    import hashlib
    import os

    from ..errors import Refused
    from ..history.agreed import read_state
    from .streams import reason_of

    if not os.path.lexists(path):
        return None, None
    try:
        with open(path, "rb") as file:
            content = file.read(_LARGEST_STATE + 1)
        text = content.decode()
    except OSError as error:
        raise Refused(f"{path}: cannot be read: {reason_of(error)}", "check the name") from None
    except UnicodeDecodeError:
        raise Refused(f"{path}: not the text of a state", "name the file of --agree") from None
    if len(content) > _LARGEST_STATE:
        raise Refused(f"{path}: too large for a state", "name the file of --agree")
    return read_state(text, path), hashlib.sha256(content).hexdigest()


def agreed_rows(
    stream: BinaryIO, name: str, options: Options, choice: Choice, found: Baseline
) -> str:
    """The digest of the rows that are agreed on."""
    from ..history.agreed import digest_of

    return digest_of(stream, name, options, choice, found)


def judged(
    stream: BinaryIO,
    name: str,
    options: Options,
    choice: Choice,
    file: ProfileFile,
    path: str,
    wanted: Asked,
) -> int:
    """Judge the new rows, say so, then keep the state: what is not said is judged again."""
    from datetime import date, timedelta

    from ..documents.agreed import judged_data, judged_document
    from ..errors import Refused
    from ..history.judging import judge
    from .output import show

    state, was = _kept(path)
    if state is None:
        raise Refused(
            f"{path}: nothing is agreed yet",
            "agree on a steady log first: --agree --by NAME --reason TEXT",
        )
    found, after = judge(stream, name, options, choice, file.profile, state)
    if found.last.date() > date.today() + timedelta(days=1):
        raise Refused(
            f"{name}: a row of {found.last:%Y-%m-%d}, which is still to come",
            "correct its date: the state would wait until then",
        )
    document = judged_document(found, file, date.today())
    show(wanted, document, judged_data(found, file))
    _keep(path, after, was)
    return 0 if found.as_agreed else 1


def agree_on(
    file: ProfileFile, found: Baseline, path: str, by: str, reason: str, rows: str
) -> None:
    """Keep that somebody agreed on the normal of a log; raises CannotJudge, Refused."""
    from datetime import date

    from ..history.agreed import agree
    from .output import complain

    before, was = _kept(path)
    state = agree(found, file.profile, by, reason, date.today(), before, rows)
    _keep(path, state, was)
    agreed = state.agreed
    complain(f"{path}: agreed by {agreed.by}: {agreed.low} to {agreed.high} {agreed.unit}.")


def _keep(path: str, state: State, was: str | None) -> None:
    """Write the state whole; refused where another run has written it meanwhile."""
    from ..errors import Refused
    from ..history.agreed import state_text
    from ..profile.atomic import CannotWrite, create_file, replace_file

    content = state_text(state).encode()
    try:
        if was is None:
            create_file(path, content)
        else:
            replace_file(path, content, was=was)
    except (CannotWrite, FileExistsError) as error:
        raise Refused(
            f"{path}: not written: {error}", "nothing is kept of this run; run it again"
        ) from None

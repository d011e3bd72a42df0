"""What the terminal can show: colour, width and signs; asked of the stream and the environment.

`--color` decides first, then NO_COLOR, then FORCE_COLOR, then whether the stream is a terminal
that understands colour. NO_COLOR after no-color.org, from memory: any value but an empty one.
"""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING, Literal, TextIO, TypeAlias

from ..errors import Refused
from ..render.screen import NARROWEST, WIDEST, WIDTH, Screen

if TYPE_CHECKING:
    from typer.core import TyperOption

Wish: TypeAlias = Literal["auto", "always", "never"]
WISHES: tuple[Wish, ...] = ("auto", "always", "never")
SIGNS = "►◄▒─║╱"
"""Signs that are used where the encoding has all of them."""
_wish: list[Wish] = ["auto"]


def color_option() -> TyperOption:
    """The option --color, which every command has."""
    from typer.core import TyperOption

    return TyperOption(
        param_decls=["--color"],
        type=str,
        metavar="WHEN",
        help="Colour on the screen: auto (a terminal only), always or never.",
        expose_value=False,
        is_eager=True,
        callback=lambda _context, _option, value: wish(value),
    )


def wish(value: str | None) -> None:
    """Keep what --color asks for; None: auto. Raises Refused."""
    found = next((known for known in WISHES if known == (value or "auto")), None)
    if found is None:
        raise Refused(f"--color {value}: there is no such choice", "write auto, always or never")
    _wish[0] = found


def forget() -> None:
    """Back to auto, before a command line is read."""
    _wish[0] = "auto"


def screen_of(stream: TextIO | None = None) -> Screen:
    """What a stream shows; standard output if none is given."""
    stream = stream or sys.stdout
    return Screen(width_of(stream), _colours(stream), shows(stream, SIGNS))


def is_terminal(stream: TextIO) -> bool:
    """Whether a person looks at a stream."""
    try:
        return stream.isatty()
    except ValueError:  # it is closed
        return False


def width_of(stream: TextIO) -> int:
    """COLUMNS of the environment, else the terminal's width up to 100, else 80; at least 60."""
    try:
        return max(NARROWEST, int(os.environ["COLUMNS"]))
    except (KeyError, ValueError):
        pass
    if is_terminal(stream):
        try:
            found = os.get_terminal_size(stream.fileno()).columns
        except (OSError, ValueError):
            found = 0
        if found > 0:
            return min(max(NARROWEST, found), WIDEST)
    return WIDTH


def shows(stream: TextIO, signs: str) -> bool:
    """Whether the stream's encoding has these signs."""
    try:
        signs.encode(getattr(stream, "encoding", None) or "utf-8")
    except (UnicodeEncodeError, LookupError):
        return False
    return True


def _colours(stream: TextIO) -> int:
    wanted, environment = _wish[0], os.environ
    if wanted == "never":
        return 0
    if wanted == "auto":
        if environment.get("NO_COLOR"):
            return 0
        forced = environment.get("FORCE_COLOR", "0") not in ("", "0", "false")
        if not forced and (not is_terminal(stream) or not _understands(environment.get("TERM"))):
            return 0
    many = "256" in environment.get("TERM", "") or bool(environment.get("COLORTERM"))
    return 256 if many or os.name == "nt" else 16


def _understands(term: str | None) -> bool:
    """Whether a terminal of that name takes codes; on Windows those that say so, and newer ones."""
    if os.name == "nt":
        return bool(term and term != "dumb") or "WT_SESSION" in os.environ
    return term not in (None, "", "dumb")

"""What text is drawn for: a width, colours or none, and which signs can be shown.

Colour only helps: words say the same. Each colour has a fixed value (the 6 x 6 x 6 cube of
terminals with 256 colours), chosen to be read on black and on white; the names of terminals with
16 colours mean what their owner made of them.
"""

from __future__ import annotations

from typing import Literal, NamedTuple, TypeAlias

WIDTH, NARROWEST, WIDEST = 80, 60, 100
"""Columns of a file or pipe, and the least and the most that a terminal's own width counts for."""
Role: TypeAlias = Literal[
    "error", "warning", "note", "place", "type", "strong", "band", "rating", "plain"
]
LEVELS = (0, 95, 135, 175, 215, 255)
"""Of red, green and blue in the cube of 256 colours (as xterm documents it; from memory)."""


class Ink(NamedTuple):
    """How a role is shown: the number in 256 colours, the number in 16, and whether bold."""

    cube: int | None = None
    basic: int | None = None
    bold: bool = False

    @property
    def rgb(self) -> tuple[int, int, int] | None:
        """Red, green and blue (0 to 255) in 256 colours; None where it has the text's colour."""
        if self.cube is None:
            return None
        number = self.cube - 16
        return LEVELS[number // 36], LEVELS[number // 6 % 6], LEVELS[number % 6]


INKS: dict[Role, Ink] = {
    "error": Ink(161, 1, bold=True),
    "warning": Ink(130, 5, bold=True),
    "note": Ink(27, None, bold=True),
    "place": Ink(30, 6),
    "type": Ink(28, 2, bold=True),
    "strong": Ink(bold=True),
    "band": Ink(28, 2),
    "rating": Ink(161, 1),
    "plain": Ink(),
}


class Screen(NamedTuple):
    """A terminal, or a file: how wide, how many colours (0, 16, 256), signs beyond ASCII or not."""

    width: int = WIDTH
    colours: int = 0
    signs: bool = True

    def paint(self, role: Role, text: str) -> str:
        """The text in the colour of its role; as it is where there is no colour."""
        ink = INKS[role]
        codes = ["1"] if ink.bold else []
        if self.colours >= 256 and ink.cube is not None:
            codes.append(f"38;5;{ink.cube}")
        elif ink.basic is not None:
            codes.append(f"3{ink.basic}")
        if not (self.colours and codes and text):
            return text
        return f"\x1b[{';'.join(codes)}m{text}\x1b[0m"

    def style(self, role: Role) -> str:
        """The same for rich; empty where there is no colour."""
        ink = INKS[role]
        told = ["bold"] if ink.bold else []
        number = ink.cube if self.colours >= 256 and ink.cube is not None else ink.basic
        told += [f"color({number})"] if number is not None else []
        return " ".join(told) if self.colours else ""


PAPER = Screen()
"""A file or a pipe."""


def role_of(grade: str) -> Role:
    """The role of a finding's grade; accepted and known ones have none."""
    if grade in ("error", "unreadable"):
        return "error"
    return "warning" if grade == "warning" else "note" if grade == "note" else "plain"

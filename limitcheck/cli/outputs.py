"""`--format` and `--output FORMAT=FILE`: one run, several renderings, files written whole."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import NamedTuple

from ..checking.run import Run
from ..render import FORMATS, renderer
from .output import Refused


class Output(NamedTuple):
    """One file to write."""

    render: Callable[[Run], Iterator[str]]
    path: str


def render_checked(name: str) -> Callable[[Run], Iterator[str]]:
    """The renderer of a format; raises Refused with what there is."""
    if name not in FORMATS:
        raise Refused(f'there is no format "{name}"', f"write one of: {', '.join(FORMATS)}")
    return renderer(name)


def parse_outputs(texts: Iterable[str]) -> list[Output]:
    """The files asked for; raises Refused before anything runs."""
    outputs = []
    for text in texts:
        name, equals, path = text.partition("=")
        if not equals or not path:
            raise Refused(f"--output {text} names no file", "write as in --output json=out.json")
        outputs.append(Output(render_checked(name), path))
    return outputs


def write_outputs(outputs: Sequence[Output], run: Run) -> None:
    """Write each file whole or not at all."""
    if not outputs:
        return
    from ..profile.write import CannotWrite, replace_file

    for output in outputs:
        pieces = (piece.encode("utf-8", "backslashreplace") for piece in output.render(run))
        try:
            replace_file(output.path, pieces)
        except CannotWrite as error:
            raise Refused(str(error), "check the folder and the permissions") from None

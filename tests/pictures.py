"""The pictures of the documentation, each made by a command, as SVG: the text is compared."""

from __future__ import annotations

import io
import re
from pathlib import Path

from .documentation import ROOT, WIDTH, copied, printed

FOLDER = ROOT / "docs/pictures"
_TERMINAL = "limitcheck check examples/cutoffs/over-rating.toml --color always"
_REPORT = "limitcheck report examples/units/megapascal-on-bar.toml --picture report.svg"


def pictures() -> dict[Path, str]:
    """Every picture as it is now."""
    with copied() as folder:
        printed(_REPORT, folder)
        report = Path(folder, "report.svg").read_text("utf-8")
        terminal = _terminal(_TERMINAL.removesuffix(" --color always"), printed(_TERMINAL, folder))
    return {FOLDER / "terminal.svg": terminal, FOLDER / "report.svg": report}


def _terminal(command: str, text: str) -> str:
    """A terminal with what a command printed: no fonts from a server, no look of a known system."""
    from rich.console import Console
    from rich.text import Text

    console = Console(record=True, width=WIDTH, file=io.StringIO(), force_terminal=True)
    console.print(Text.from_ansi(f"$ {command}\n{text.rstrip()}"))
    svg = console.export_svg(title="limitcheck", unique_id="terminal")
    for part in (
        r"@font-face \{.*?\}\s*",
        r"<!--.*?-->\s*",
        r"<g [^>]*>\s*(<circle[^>]*>\s*)+</g>\s*",
    ):
        svg = re.sub(part, "", svg, flags=re.DOTALL)
    return svg.replace("Fira Code, ", "").rstrip() + "\n"

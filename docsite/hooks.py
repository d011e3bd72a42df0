"""Called by mkdocs: adds pages that are made, and puts what is made into the written ones.

A page asks for a piece by a line `<!-- made: NAME -->`.
"""

from __future__ import annotations

import re
import sys
from html import escape
from itertools import cycle
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[1]
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

from mkdocs.structure.files import File  # noqa: E402

from docsite import checks, made  # noqa: E402
from limitcheck.checks.documentation import DOCUMENTED  # noqa: E402
from limitcheck.render.option_names import kept_whole  # noqa: E402

_EXAMPLES = ("examples/**/*.md", "examples/**/*.toml", "examples/**/*.csv", "profiles/*.toml")
_WIDE = 3
"""Columns from which a table is stacked on a phone."""


def on_files(files: Any, config: Any) -> Any:
    """Add a page for each check, the examples, and the profiles that they name."""
    for path in sorted(path for pattern in _EXAMPLES for path in ROOT.glob(pattern)):
        name = path.relative_to(ROOT).as_posix()
        files.append(File(name, str(ROOT), config.site_dir, config.use_directory_urls))
    files.append(File.generated(config, "checks/index.md", content=checks.index()))
    for name in DOCUMENTED:
        files.append(File.generated(config, f"checks/{name}.md", content=checks.page(name)))
    return files


def on_page_markdown(markdown: str, page: Any, **_: Any) -> str:
    """Put in what the page asks for; links to the examples, which are part of the site here."""
    path = page.file.src_uri
    markdown = made.put_in(markdown, path)
    if not path.startswith("examples/"):
        markdown = markdown.replace("../examples/", "examples/")
    folder, _, name = path.partition("/")
    if name and name != "index.md" and folder in ("commands", "checks"):
        markdown = f"[All {folder}](index.md)\n\n{markdown}"
    return markdown


def on_page_content(html: str, **_: Any) -> str:
    """Code and tables scroll by themselves, by the keyboard, too; wide tables stack on a phone."""
    html = kept_whole(html).replace("<pre>", '<pre tabindex="0">')
    return re.sub(r"<table>.*?</table>", _table, html, flags=re.DOTALL)


def _table(found: re.Match[str]) -> str:
    """A table that scrolls, or one of many columns that may be stacked: cells with their heading.

    Roles are written out, since a browser forgets them where cells are stacked.
    """
    html = found[0]
    heads = re.findall(r"<th>(.*?)</th>", html)
    if len(heads) < _WIDE:
        inner = html.replace("<table>", '<table class="table">')
        return f'<div class="scroll" tabindex="0">{inner}</div>'
    for tag, role in (("thead", "rowgroup"), ("tbody", "rowgroup"), ("tr", "row")):
        html = html.replace(f"<{tag}>", f'<{tag} role="{role}">')
    html = html.replace("<th>", '<th role="columnheader">')
    labels = cycle(escape(re.sub(r"<[^>]+>", "", head), quote=True) for head in heads)
    html = re.sub(r"<td>", lambda _: f'<td role="cell" data-head="{next(labels)}">', html)
    return html.replace("<table>", '<table role="table" class="table stacked">')


_HIGHLIGHT = '<style id="hljs-light"></style><style id="hljs-dark"></style>'
"""What the theme's script turns on and off with the colours; without it that script fails."""


def on_post_page(output: str, **_: Any) -> str:
    """The bar with the pages is navigation, for those who do not see it; no script fails."""
    output = output.replace("</head>", f"{_HIGHLIGHT}</head>", 1)
    return output.replace(
        '<div class="navbar fixed-top',
        '<div role="navigation" aria-label="Site" class="navbar fixed-top',
    )

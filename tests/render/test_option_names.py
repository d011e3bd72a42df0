"""Names of options are never broken at their hyphens in HTML; nothing else of it changes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from limitcheck.documents.blocks import Document, Text
from limitcheck.render.html import render
from limitcheck.render.option_names import kept_whole

WHOLE = '<span class="unbroken">--fix-likely</span>'


@pytest.mark.parametrize(
    ("html", "seen"),
    [
        ("<p>use --fix-likely.</p>", f"<p>use {WHOLE}.</p>"),
        ("<p>a <b>--fix-likely</b>, --write", f"<p>a <b>{WHOLE}</b>, --write"),
        ("<svg><title>--fix-likely</title></svg>--fix-likely", None),
        ('<script>"--fix-likely"</script>', '<script>"--fix-likely"</script>'),
        ("<textarea>--fix-likely</textarea>", "<textarea>--fix-likely</textarea>"),
        ("<pre><b>--fix-likely</b></pre>", "<pre><b>--fix-likely</b></pre>"),
        ('<a title="--fix-likely">x--fix-likely</a>', '<a title="--fix-likely">x--fix-likely</a>'),
        ("<p>a -- b, 5 - 3</p>", "<p>a -- b, 5 - 3</p>"),
    ],
)
def test_only_names_in_text_are_kept_whole(html: str, seen: str | None) -> None:
    seen = seen or f"<svg><title>--fix-likely</title></svg>{WHOLE}"
    assert kept_whole(html) == seen
    assert re.sub("<[^>]*>", "", kept_whole(html)) == re.sub("<[^>]*>", "", html)


def test_a_report_does_not_break_them() -> None:
    page = render(Document("t", (Text("Run it with --fix-likely."),), (), (), "2026-05-01"))
    assert f"<p>Run it with {WHOLE}.</p>" in page
    assert ".unbroken { white-space: nowrap; }" in page


def test_the_class_is_used_for_nothing_else() -> None:
    root = Path(__file__).parents[2] / "limitcheck"
    templates = [*root.glob("*/templates/*.html"), *root.glob("page/templates/*.css")]
    assert len(templates) > 10
    assert not [path for path in templates if "unbroken" in path.read_text("utf-8")]

"""Any document as Markdown, read by an independent parser: markdown-it-py (CommonMark, tables)."""

from __future__ import annotations

import re
from html import unescape

from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from limitcheck.documents.blocks import (
    Bullets,
    Chapter,
    Document,
    Facts,
    Section,
    Table,
    Text,
    ToType,
)
from limitcheck.render.lines import safe
from limitcheck.render.markdown import render

from .strategies import DOCUMENTS, WORDS, tables

PARSER = MarkdownIt("commonmark").enable(["table", "strikethrough"])


def parsed(*blocks: object) -> str:
    section = Section("Why", blocks, in_record=True)  # type: ignore[arg-type]
    document = Document("Title", (), (Chapter("One", (section,)),), (), "2026-11-25")
    return PARSER.render(render(document))


def words(html: str) -> str:
    return unescape(re.sub("<[^>]*>", "", html))


@given(WORDS)
def test_plain_text_stays_plain_text(text: str) -> None:
    html = parsed(Text(text))
    (shown,) = re.findall("<h3>Why</h3>\n<p>(.*)</p>\n<p>Made", html, re.DOTALL)
    assert "<" not in shown
    assert words(shown) == safe(text).strip()


@given(tables())
def test_a_table_keeps_its_cells(table: Table) -> None:
    html = parsed(table)
    cells = [
        words(cell) for cell in re.findall("<(?:th|td)(?: [^>]*)?>(.*?)</t[hd]>", html, re.DOTALL)
    ]
    given = [*table.columns, *(cell for row in table.rows for cell in row)]
    assert cells == [safe(cell).strip() for cell in given]
    right = html.count('<td style="text-align:right">')
    assert right == len(table.figures) * len(table.rows)


@given(DOCUMENTS)
def test_every_document_is_all_there(document: Document) -> None:
    html = PARSER.render(render(document))
    assert html.count("<h1>") == 1
    assert html.count("<h2>") == len(document.chapters) + bool(document.cautions)
    sections = [section for chapter in document.chapters for section in chapter.sections]
    assert html.count("<h3>") == sum(bool(section.heading) for section in sections)


@given(st.lists(WORDS, min_size=1, max_size=4))
def test_lists_side_by_side_stay_apart(items: list[str]) -> None:
    html = parsed(Facts((("Flow", "1.0 mL/min"),)), Bullets(tuple(items)), Bullets(("a",), True))
    assert html.count("<ul>") == 2
    assert html.count("<ol>") == 1
    assert html.count("<li>") == len(items) + 2


def test_what_to_type_stands_alone() -> None:
    html = parsed(Text("Type:"), ToType("high", "5801", "psi"))
    assert "<p>Type:</p>\n<p><strong>high = 5801 (psi)</strong></p>\n" in html

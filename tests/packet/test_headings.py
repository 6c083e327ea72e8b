"""Headings keep what they head."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader
from reportlab.platypus import PageBreak, Spacer
from reportlab.platypus.flowables import Flowable

from scout.packet.blocks import HEADING, Desk
from scout.packet.book import Book, printed
from scout.packet.crew.parts import Abreast
from scout.packet.setting.table import facts
from tests.packet.printed import foot_of

LONG = "Twenty words of what was taken as given, so many times over that a row is cut. " * 12


def _things(desk: Desk) -> dict[str, list[Flowable]]:
    column = [desk.text(LONG)]
    return {
        "text": [desk.text(LONG)],
        "table": [facts(desk.setter, [("On", "short"), ("Sound", LONG)])],
        "torn table": [facts(desk.setter, [("Sound", LONG), ("Light", LONG)])],
        "columns": [Abreast([column, column], [1.0, 1.0])],
        "heading": desk.heading("Second"),
    }


@pytest.mark.parametrize("kind", ["text", "table", "torn table", "columns", "heading"])
def test_no_heading_is_the_last_line_of_a_page(kind: str) -> None:
    """property: wherever on a page it falls, something of what it heads stands below it."""

    def story(desk: Desk) -> list[Flowable]:
        made: list[Flowable] = []
        for free in range(20, 220, 7):
            made += [Spacer(1.0, desk.height - free), *desk.heading("Heading", 20.0)]
            made += [*_things(desk)[kind], desk.text("End of it."), PageBreak()]
        return made

    body, _ = printed(Book(title="T", subject="S", author="A", short="S", revision="1"), story)
    reader = PdfReader(io.BytesIO(body))
    assert len(reader.pages) > 28
    for page in reader.pages:
        text, size = foot_of(page)
        assert size != HEADING.size, text

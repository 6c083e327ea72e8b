"""What a crew can carry and read by torch: pages, words, ink and letters. The
numbers are what was set for the packet after its first readers lost the day in 67 pages.
"""

from __future__ import annotations

import io
from dataclasses import replace
from typing import Any

import pypdfium2
import pytest
from pypdf import PdfReader

from scout.packet.asked import decisive, fewer, untold
from scout.packet.blocks import HEADING
from scout.packet.content import PacketContent
from scout.packet.editions import CONTENTS, print_edition
from scout.packet.names import EditionName, edition_called, edition_for
from scout.values import said
from scout.words import Reader, reading
from tests.packet.conftest import Demo
from tests.packet.printed import foot_of, text_of_pages

SMALLEST_POINTS = 8.0  # common practice: read by torch
MOST_PAGES: dict[EditionName, int] = {
    "whole": 20,
    "day": 8,
    "camera": 10,
    "light": 10,
    "sound": 10,
    "carry": 10,
    "camera+light": 10,
    "light+carry": 10,
    "production": 10,
    "owner": 2,
    "form": 2,
}
MOST_WORDS, USUAL_WORDS = 650, 400  # on the fullest page, and on all of them on average
MOST_INK = 0.22  # of a page, two photos on it


def told(demo: Demo, edition: EditionName) -> tuple[bytes, PdfReader]:
    on = demo.content().days[0].date if CONTENTS[edition].one_day else None
    body = demo.bytes(edition, on=on)
    return body, PdfReader(io.BytesIO(body))


def on_letter(content: PacketContent, edition: EditionName) -> PdfReader:
    """An edition of what the whole one holds, set on Letter; of its first day alone where it is."""
    days = content.days[:1] if CONTENTS[edition].one_day else content.days
    reserves = content.reserves if "reserves" in CONTENTS[edition].parts else ()
    made = replace(content, edition=edition, days=days, reserves=reserves)
    with reading(Reader("metric")):
        return PdfReader(io.BytesIO(print_edition(made, None)[0]))


@pytest.fixture(scope="module")
def letter(demo: Demo) -> PacketContent:
    return demo.content(paper="letter")


@pytest.mark.parametrize(
    "edition", ["whole", "day", "camera", "light", "sound", "carry", "light+carry"]
)
def test_letter_keeps_to_the_same_pages(letter: PacketContent, edition: EditionName) -> None:
    assert len(on_letter(letter, edition).pages) <= MOST_PAGES[edition]


def test_no_warning_goes_where_lines_are_fewer(letter: PacketContent) -> None:
    """property: of the seven lines of a room, each that warns stands as a line or its act below."""
    rooms = [setup for day in letter.days for setup in day.setups]
    gone = 0
    for setup in rooms:
        seven = decisive(setup.found.findings)
        for most in (6, 5, 4, 1):
            few = fewer(seven, most)
            below = {str(act) for act in untold(setup, few)}
            for one in (row for row in seven if row not in few):
                gone += 1
                assert one.level == "good" or {str(act) for act in one.acts[:1]} & below, one
    assert gone


@pytest.mark.parametrize("edition", MOST_PAGES)
def test_an_edition_keeps_to_its_pages_words_ink_and_letters(
    demo: Demo, edition: EditionName
) -> None:
    body, reader = told(demo, edition)
    assert len(reader.pages) <= MOST_PAGES[edition]
    sizes: dict[float, str] = {}

    def seen(text: str, _: object, matrix: list[float], __: object, size: float) -> None:
        if text.strip():
            points = abs(size) * (matrix[0] ** 2 + matrix[1] ** 2) ** 0.5
            sizes.setdefault(round(points, 2), text.strip())

    for page in reader.pages:
        page.extract_text(visitor_text=seen)
        assert foot_of(page)[1] != HEADING.size, foot_of(page)
    assert sizes
    assert min(sizes) >= SMALLEST_POINTS - 0.01, sizes[min(sizes)]
    words = [len(text.split()) for text in text_of_pages(reader)]
    assert max(words) <= MOST_WORDS, words
    assert sum(words) <= USUAL_WORDS * len(words), words
    with pypdfium2.PdfDocument(body) as document:
        for number, drawn in enumerate(document, start=1):
            grey = drawn.render(scale=0.5, grayscale=True).to_pil()
            counts = grey.histogram()
            ink = sum((255 - k) * n for k, n in enumerate(counts)) / 255 / sum(counts)
            assert 0.0 < ink <= MOST_INK, (number, ink)


def test_one_person_with_two_trades_carries_both_sheets(letter: PacketContent) -> None:
    assert edition_called("light+camera") == "camera+light"
    assert edition_called("carry") == "carry"
    assert edition_called("light+loud") == "light+loud"  # and is refused as it was typed
    reader = on_letter(letter, "camera+light")
    titles = _titles(reader.outline)
    assert {"Camera", "Light"} <= set(titles)
    assert not {"Sound", "To pack and carry"} & set(titles)
    days = [str(said("packet.long_day", on=day.date)) for day in letter.days]
    rooms = [one for one in titles if one.endswith(": where things stand")]
    assert set(days) <= set(titles)
    assert len(rooms) == len(letter.every_setup)


def _titles(outline: list[Any]) -> list[str]:
    return [
        title
        for one in outline
        for title in (_titles(one) if isinstance(one, list) else [str(one.title)])
    ]


@pytest.mark.parametrize(
    ("role", "edition"),
    [  # common practice: what crew lists call them
        ("director, camera", "camera"),
        ("DoP", "camera"),
        ("Gaffer and sound recordist", "light+sound"),
        ("sound, camera", "camera+sound"),
        ("camera, lights, boom", "whole"),
        ("director", None),
        ("lighthouse keeper", None),
        (None, None),
    ],
)
def test_a_person_of_the_crew_gets_the_sheets_of_their_trades(
    role: str | None, edition: str | None
) -> None:
    assert edition_for(role) == edition

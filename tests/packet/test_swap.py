"""Which pages to swap: by hand over lists of hashes, and over pages that were set."""

from __future__ import annotations

import io

from pypdf import PdfReader
from reportlab.platypus import PageBreak
from reportlab.platypus.flowables import Flowable

from scout.packet.blocks import Desk
from scout.packet.book import Book, PacketResult, printed
from scout.packet.crew.front import Swaps
from scout.packet.swap import Swap, swap_of, swap_said
from tests.packet.printed import text_of_pages


def test_by_hand_what_to_take_out_and_to_put_in() -> None:
    assert swap_of("abc", "abc") == Swap((), ())
    assert swap_of("abcd", "aXcY") == Swap((2, 4), (2, 4))
    # by hand: a page put in after the first only gives the others another number
    assert swap_of("abc", "aXbc") == Swap((), (2,))
    assert swap_of("abcd", "abd") == Swap((3,), ())
    assert swap_of("aabb", "aab") == Swap((4,), ())


def test_the_words() -> None:
    assert str(swap_said(Swap((1, 2, 3, 7), (1, 2, 3, 7)), 4)) == (
        "Swap 4 pages of revision 4: 1 to 3 and 7."
    )
    assert str(swap_said(Swap((1,), (1,)), 4)) == "Swap one page of revision 4: 1."
    assert str(swap_said(Swap((1, 3), (1,)), 4)) == "Of revision 4 take out 1 and 3; put in 1."
    assert str(swap_said(Swap((), (2,)), 4)) == "Into revision 4 put 2."
    assert str(swap_said(Swap((5, 6), ()), 4)) == "Of revision 4 take out 5 to 6."
    assert str(swap_said(Swap((), ()), 4)) == "No page differs from revision 4."


def set_pages(
    texts: list[str], before: PacketResult | None = None, **rest: str
) -> tuple[bytes, PacketResult]:
    """One page a text, the first with what to swap."""

    def story(desk: Desk) -> list[Flowable]:
        made: list[Flowable] = [Swaps(desk, 1, listed=True)]
        for text in texts:
            made += [desk.text(text), PageBreak()]
        return made[:-1]

    book = Book(
        title="T",
        subject="s",
        author="a",
        short=rest.get("short", "T"),
        revision="rev 1" if before is None else "rev 2",
        known_pages=before.page_hashes if before is not None else (),
    )
    return printed(book, story)


def first_page(body: bytes) -> str:
    return text_of_pages(PdfReader(io.BytesIO(body)))[0]


def test_only_pages_that_say_something_else_are_swapped() -> None:
    _, first = set_pages(["abc", "def", "ghi"])
    assert len(set(first.page_hashes)) == 3
    # the letters of the first page are new to the document: those after it are numbered otherwise
    body, second = set_pages(["zyxw abc", "def", "ghi"], first)
    assert second.swap == Swap((1,), (1,))
    assert "Swap one page of revision 1: 1." in first_page(body)
    body, third = set_pages(["abc", "new", "def", "ghi"], first)
    assert third.swap == Swap((), (2,))
    body, same = set_pages(["abc", "def", "ghi"], first)
    assert same.swap == Swap((), ()), "another revision number alone is no other page"
    assert "No page differs from revision 1." in first_page(body)
    _, renamed = set_pages(["abc", "def", "ghi"], first, short="U")
    assert renamed.swap == Swap((1, 2, 3), (1, 2, 3)), "what stands round every page"

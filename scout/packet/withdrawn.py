"""The one page that takes the place of a print which named somebody who has left."""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from scout.packet.blocks import Desk
from scout.packet.book import Book, printed
from scout.packet.names import Paper
from scout.values import said


def withdrawn(paper: Paper) -> bytes:
    """The page as a PDF."""
    title, why = said("packet.withdrawn"), said("packet.withdrawn_because")

    def story(desk: Desk) -> list[Flowable]:
        return [*desk.heading(title), desk.text(why)]

    book = Book(
        title=str(title), subject=str(title), author="", short=str(title), revision="", paper=paper
    )
    return printed(book, story)[0]

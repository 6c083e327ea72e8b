"""Helpers: set texts as a small PDF and read it again with a library that is not ours (pypdf)."""

from __future__ import annotations

import io
from typing import Any
from weakref import WeakKeyDictionary

import numpy as np
from pypdf import PageObject, PdfReader
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import SimpleDocTemplate

from scout.packet.setting.shape import TypeCase
from scout.packet.setting.text import BODY, TextStyle, Typesetter


def set_texts(*texts: str, style: TextStyle = BODY, case: TypeCase | None = None) -> PdfReader:
    """The texts, one block each, on pages of A4."""
    used = case or TypeCase()

    class WithFonts(Canvas):  # type: ignore[misc]
        def __init__(self, *args: Any, **kwargs: Any) -> None:
            super().__init__(*args, **kwargs)
            self._doc.delayedFonts.append(used)

    setter = Typesetter(used)
    held = io.BytesIO()
    SimpleDocTemplate(held).build(
        [setter.text(text, style) for text in texts], canvasmaker=WithFonts
    )
    held.seek(0)
    return PdfReader(held)


_READ: WeakKeyDictionary[PdfReader, list[str]] = WeakKeyDictionary()


def words_of(reader: PdfReader) -> str:
    """All the text of a PDF, blanks run together."""
    return " ".join(" ".join(text_of_pages(reader)).split())


def text_of_pages(reader: PdfReader) -> list[str]:
    """The text of each page, blanks run together; read once, for that takes longer than printing."""
    if reader not in _READ:
        _READ[reader] = [" ".join(page.extract_text().split()) for page in reader.pages]
    return _READ[reader]


def text_by_title(reader: PdfReader) -> dict[str, str]:
    """The text of each page and of those that go on from it, by the title it has in the outline."""
    entries: list[Any] = []

    def gather(rows: list[Any]) -> None:
        for row in rows:
            if isinstance(row, list):
                gather(row)
            else:
                entries.append((str(row["/Title"]), reader.get_destination_page_number(row)))

    gather(list(reader.outline))
    pages = text_of_pages(reader)
    ends = [page for _, page in entries[1:]] + [len(pages)]
    return {
        title: " ".join(pages[page : max(end, page + 1)])
        for (title, page), end in zip(entries, ends, strict=True)
    }


FOOT_POINTS = 54.0  # what stands lower is the page's foot: 19 mm


def foot_of(page: PageObject) -> tuple[str, float]:
    """The lowest text of a page above its foot, and its size in points; none: an empty text."""
    lowest = (float("inf"), "", 0.0)

    def seen(text: str, outer: list[float], inner: list[float], _font: object, size: float) -> None:
        nonlocal lowest
        y = inner[5] * outer[3] + outer[5]
        if text.strip() and FOOT_POINTS < y < lowest[0]:
            lowest = y, text.strip(), round(abs(size) * float(np.hypot(*inner[:2])), 2)

    page.extract_text(visitor_text=seen)
    return lowest[1:]


def fonts_of(reader: PdfReader) -> dict[str, Any]:
    """Base name -> font dictionary of every font that any page may use."""
    found: dict[str, Any] = {}
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():
            font = font.get_object()
            found[str(font["/BaseFont"]).lstrip("/")] = font
    return found

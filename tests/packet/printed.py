"""Helpers: set texts as a small PDF and read it again with a library that is not ours (pypdf)."""

from __future__ import annotations

import io
from typing import Any

from pypdf import PdfReader
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


def words_of(reader: PdfReader) -> str:
    """All the text of a PDF, blanks run together."""
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def text_of_pages(reader: PdfReader) -> list[str]:
    """The text of each page, blanks run together."""
    return [" ".join(page.extract_text().split()) for page in reader.pages]


def fonts_of(reader: PdfReader) -> dict[str, Any]:
    """Base name -> font dictionary of every font that any page may use."""
    found: dict[str, Any] = {}
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():
            font = font.get_object()
            found[str(font["/BaseFont"]).lstrip("/")] = font
    return found

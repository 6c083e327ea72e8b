"""Pages of a PDF as pictures, for browsers that show none, and as text."""

from __future__ import annotations

import io
from pathlib import Path
from threading import Lock

import pypdfium2

_ONE_AT_A_TIME = Lock()  # PDFium is not made for threads


def page_webp(path: Path, page: int, width_px: int) -> bytes:
    """One page of a PDF, counted from 1, so many pixels wide, as WebP."""
    with _ONE_AT_A_TIME:
        document = pypdfium2.PdfDocument(path)
        try:
            sheet = document[page - 1]
            drawn = sheet.render(scale=width_px / sheet.get_width()).to_pil()
        finally:
            document.close()
    held = io.BytesIO()
    drawn.convert("RGB").save(held, "WEBP", quality=82, method=2)
    return held.getvalue()


def whole_text(path: Path) -> str:
    """What the pages of a PDF say, and what its properties do."""
    with _ONE_AT_A_TIME:
        document = pypdfium2.PdfDocument(path)
        try:
            told = [str(value) for value in document.get_metadata_dict().values()]
            told += [page.get_textpage().get_text_range() for page in document]
        finally:
            document.close()
    return "\n".join(told)

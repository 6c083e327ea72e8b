"""A page as a picture: its size, and that what stands on it is there."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
from PIL import Image
from reportlab.pdfgen.canvas import Canvas

from scout.media.pdf_pages import page_webp


def test_a_page_is_drawn_as_wide_as_asked(tmp_path: Path) -> None:
    path = tmp_path / "a.pdf"
    canvas = Canvas(str(path), pagesize=(200, 400))
    canvas.showPage()
    canvas.rect(0, 200, 100, 200, stroke=0, fill=1)  # the upper left quarter, black
    canvas.showPage()
    canvas.save()
    blank, drawn = (
        np.asarray(Image.open(io.BytesIO(page_webp(path, number, 100)))) for number in (1, 2)
    )
    assert blank.shape == drawn.shape == (200, 100, 3)  # by hand: 200 by 400 points, 100 px wide
    assert blank.min() > 250
    # by hand: the centres of the four quarters
    quarters = [int(drawn[y, x].mean()) for y in (50, 150) for x in (25, 75)]
    assert [value < 10 for value in quarters] == [True, False, False, False]

"""Photos on paper: never more pixels than the print needs, nothing in them but the picture, and one
that fails costs only itself.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass

from PIL import Image
from reportlab.lib.utils import ImageReader
from reportlab.platypus.flowables import Flowable

from scout.packet.content import PacketPhoto
from scout.packet.setting.clean import one_line
from scout.packet.setting.lines import Line
from scout.packet.setting.text import BODY, INK, QUIET, SMALL, TextStyle, Typesetter, draw_lines
from scout.values import Name, said

PRINT_DPI = 220.0
PIXELS_MOST = 80_000_000  # a derivative is far smaller; more than this is not decoded
CAPTION_LINES = 6
GUTTER = 12.0
ABREAST = 3
HEIGHT_MOST = 150.0  # points


@dataclass(frozen=True)
class PrintPhoto:
    """A photo ready for the page, at the size it will have there (points)."""

    jpeg: bytes
    width: float
    height: float


def print_photo(data: bytes, width_most: float, height_most: float) -> PrintPhoto:
    """A JPEG of the picture, as large as fits the box and with at most 220 pixels an inch. Metadata
    (position too) is left out.

    Raises: ValueError for a picture too large to decode, and whatever Pillow raises for one it
        cannot read.
    """
    with Image.open(io.BytesIO(data)) as opened:
        if opened.width * opened.height > PIXELS_MOST:
            size = {"width": opened.width, "height": opened.height}
            raise ValueError(said("packet.too_many_pixels", **size))
        scale = min(width_most / opened.width, height_most / opened.height)
        width, height = opened.width * scale, opened.height * scale
        pixels = (max(1, round(width / 72 * PRINT_DPI)), max(1, round(height / 72 * PRINT_DPI)))
        if opened.format == "JPEG":
            opened.draft(
                "RGB", pixels
            )  # decodes at half, a quarter or an eighth where that is still enough
        picture: Image.Image = opened
        if picture.mode not in ("RGB", "L"):
            alpha = picture.convert("RGBA")
            picture = Image.new("RGB", alpha.size, "white")
            picture.paste(alpha, mask=alpha.getchannel("A"))
        else:
            picture.load()
        if picture.width > pixels[0] or picture.height > pixels[1]:
            picture = picture.resize(pixels, Image.Resampling.LANCZOS)
        held = io.BytesIO()
        clean = Image.new(picture.mode, picture.size)
        clean.paste(picture)
        clean.save(held, "JPEG", quality=82, optimize=True)
        return PrintPhoto(held.getvalue(), max(width, 1.0), max(height, 1.0))


@dataclass(frozen=True)
class _Framed:
    photo: PrintPhoto
    captions: tuple[tuple[TextStyle, Sequence[Line]], ...]

    @property
    def height(self) -> float:
        return (
            self.photo.height
            + 3.0
            + sum(len(lines) * style.leading for style, lines in self.captions)
        )


class PhotoRow(Flowable):  # type: ignore[misc]  # ReportLab carries no types
    """Up to three photos side by side with what is said of them; never taller than part of a page,
    so it never has to split.
    """

    def __init__(self, setter: Typesetter, framed: Sequence[_Framed], cell: float) -> None:
        super().__init__()
        self.setter, self.framed, self.cell = setter, framed, cell

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width, self.height = width, max(one.height for one in self.framed)
        return self.width, self.height

    def getSpaceAfter(self) -> float:  # noqa: N802
        return 8.0

    def draw(self) -> None:
        x = 0.0
        for one in self.framed:
            photo = one.photo
            y = self.height - photo.height
            self.canv.drawImage(
                ImageReader(io.BytesIO(photo.jpeg)), x, y, photo.width, photo.height
            )
            self.canv.saveState()
            self.canv.setStrokeColorRGB(*INK)
            self.canv.setLineWidth(0.35)
            self.canv.rect(x, y, photo.width, photo.height)
            self.canv.restoreState()
            y -= 3.0
            for style, lines in one.captions:
                draw_lines(self.canv, self.setter.case, lines, x, y, self.cell, style)
                y -= len(lines) * style.leading
            x += self.cell + GUTTER


def photo_flowables(
    setter: Typesetter, photos: Sequence[PacketPhoto], width: float
) -> tuple[list[Flowable], list[str]]:
    """The photos three in a row, and a plain sentence for each that could not be set; long captions
    go under their row in full.
    """
    made: list[Flowable] = []
    warnings: list[str] = []
    cell = (width - (ABREAST - 1) * GUTTER) / ABREAST
    waiting: list[_Framed] = []
    below: list[Flowable] = []

    def close() -> None:
        if waiting:
            made.append(PhotoRow(setter, tuple(waiting), cell))
            made.extend(below)
            waiting.clear()
            below.clear()

    for photo in photos:
        shown = one_line(photo.caption or "") or one_line(photo.name)
        try:
            ready = print_photo(photo.read_jpeg(), cell, HEIGHT_MOST)
        except Exception as error:  # noqa: BLE001 - whatever is wrong with one photo, the packet is printed and says so
            reason = one_line(str(error))[:120] or type(error).__name__
            sentence = str(said("packet.no_photo", photo=Name(shown[:120]), why=Name(reason)))
            warnings.append(sentence)
            close()
            made.append(setter.text(sentence, BODY))
            continue
        captions = []
        for text, style in (
            (photo.caption or "", SMALL),
            ("; ".join(map(str, photo.facts)), QUIET),
        ):
            lines = setter.lines(text, style, cell)
            if len(lines) > CAPTION_LINES:
                begins = Name(" ".join(text.split())[:60])
                lines = setter.lines(str(said("packet.rest_below", text=begins)), style, cell)
                below.append(setter.text(text, style))
            captions.append((style, lines))
        waiting.append(_Framed(ready, tuple(captions)))
        if len(waiting) == ABREAST:
            close()
    close()
    return made, warnings

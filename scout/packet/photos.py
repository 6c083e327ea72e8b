"""Photos on paper: never more pixels than the print needs, nothing in them but the picture, and one
that fails costs only itself.
"""

from __future__ import annotations

import io
import math
from dataclasses import dataclass

from PIL import Image
from reportlab.lib.units import mm

from scout.drawing.lettering import Hand
from scout.drawing.overlays import cut_short, overlay_drawing
from scout.drawing.shapes import Drawing
from scout.packet.content import PacketPhoto
from scout.packet.setting.clean import one_line
from scout.packet.setting.text import letter_width
from scout.records.kept import Overlay
from scout.values import Name, said

PRINT_DPI = 220.0
OVERLAY_TEXT_MM = 2.85  # 8.1 points
PIXELS_MOST = 80_000_000  # a derivative is far smaller; more than this is not decoded


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
class Framed:
    """A photo for a frame of the page: its JPEG with its size in pixels, or why there is none."""

    jpeg: bytes | None
    below: str
    why: str = ""
    width: float = 1.0
    height: float = 1.0
    overlays: tuple[Overlay, ...] = ()

    def drawn(self, width: float, height: float) -> Drawing:
        """What people drew on it, at its size in points."""
        return overlay_drawing(self.overlays, width / mm, height / mm, _hand())

    def fitted(self, width: float, height: float) -> tuple[float, float]:
        """Its size in a frame, as large as fits."""
        scale = min(width / self.width, height / self.height)
        return self.width * scale, self.height * scale


def framed(photo: PacketPhoto, width: float, height: float) -> Framed:
    """A photo ready for a frame (points); whatever is wrong with it is said in its place."""
    below = one_line(photo.caption or "")
    shown = below or one_line(photo.name)
    try:
        longest_px = math.ceil(max(width, height) / 72 * PRINT_DPI)
        ready = print_photo(photo.read_jpeg(longest_px), width, height)
    except Exception as error:  # noqa: BLE001 - whatever is wrong with one photo, the packet is printed and says so
        reason = Name(one_line(str(error))[:120] or type(error).__name__)
        why = str(said("packet.no_photo", photo=Name(shown[:120]), why=reason))
        return Framed(None, "", why)
    cut = cut_short(photo.overlays, ready.width / mm, ready.height / mm, _hand())
    whole = ". ".join((*((below,) if below else ()), *map(one_line, cut)))
    return Framed(ready.jpeg, whole, "", ready.width, ready.height, photo.overlays)


def _hand() -> Hand:
    return Hand(OVERLAY_TEXT_MM, letter_width())

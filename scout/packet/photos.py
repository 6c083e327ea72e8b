"""Photos on paper: never more pixels than the print needs, nothing in them but the picture, and one
that fails costs only itself.
"""

from __future__ import annotations

import io
import os
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from contextvars import copy_context
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
MOST_AT_ONCE = 4  # photos drawn side by side: each takes some 10 MB while it is drawn
OVERLAY_TEXT_MM = 2.85  # 8.1 points


@dataclass(frozen=True)
class PrintPhoto:
    """A photo ready for the page, at the size it will have there (points)."""

    jpeg: bytes
    width: float
    height: float


def print_photo(photo: PacketPhoto, width_most: float, height_most: float) -> PrintPhoto:
    """A JPEG of the picture, as large as fits the box and with at most 220 pixels an inch. Metadata
    (position too) is left out.

    Raises: whatever drawing it raises
    """
    most = (round(width_most / 72 * PRINT_DPI), round(height_most / 72 * PRINT_DPI))
    picture = photo.draw(most)
    scale = min(width_most / picture.width, height_most / picture.height)
    width, height = picture.width * scale, picture.height * scale
    clean = Image.new(picture.mode, picture.size)
    clean.paste(picture)
    clean.thumbnail(most, Image.Resampling.LANCZOS)  # what came larger than it was asked for
    held = io.BytesIO()
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


def framed_all(photos: Sequence[PacketPhoto], width: float, height: float) -> list[Framed]:
    """Photos ready for frames of one size (points), in their order. They are drawn side by side, for
    decoding, scaling and encoding let other threads on; what is said in each is the caller's
    reader's.
    """
    at_once = max(1, min(len(photos), MOST_AT_ONCE, os.cpu_count() or 1))
    with ThreadPoolExecutor(at_once) as pool:
        drawn = [pool.submit(copy_context().run, framed, photo, width, height) for photo in photos]
        return [one.result() for one in drawn]


def framed(photo: PacketPhoto, width: float, height: float) -> Framed:
    """A photo ready for a frame (points); whatever is wrong with it is said in its place."""
    below = one_line(photo.caption or "")
    shown = below or one_line(photo.name)
    try:
        ready = print_photo(photo, width, height)
    except Exception as error:  # noqa: BLE001 - whatever is wrong with one photo, the packet is printed and says so
        reason = Name(one_line(str(error))[:120] or type(error).__name__)
        why = str(said("packet.no_photo", photo=Name(shown[:120]), why=reason))
        return Framed(None, "", why)
    cut = cut_short(photo.overlays, ready.width / mm, ready.height / mm, _hand())
    whole = ". ".join((*((below,) if below else ()), *map(one_line, cut)))
    return Framed(ready.jpeg, whole, "", ready.width, ready.height, photo.overlays)


def _hand() -> Hand:
    return Hand(OVERLAY_TEXT_MM, letter_width())

"""What every container gives up when it is taken apart: size, metadata blocks, and its pixels
alone.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Callable
from dataclasses import dataclass

from scout.errors import Refused
from scout.media.photos.limits import PhotoLimits
from scout.values import Figure, Name, Said, Word, said

# What the decoders raise on damaged input; anything else is a fault of ours and must be seen.
DECODER_ERRORS = (
    OSError,
    SyntaxError,
    ValueError,
    TypeError,
    EOFError,
    IndexError,
    KeyError,
    AttributeError,
    ArithmeticError,
    MemoryError,
    RuntimeError,
    struct.error,
    zlib.error,
)


@dataclass(frozen=True)
class Parts:
    """One photo file taken apart, nothing decoded.

    format:       "JPEG", "HEIC", "PNG", "TIFF" or "WebP", by content
    width_px, height_px: as stored, before any turning
    exif:         the TIFF-structured block, without the six bytes some containers put before it
    turned:       the container turns the picture itself, so the EXIF orientation is stale
    complete:     everything the container promises is there
    rows_present: of an incomplete picture drawn from the top, how many stored rows are there;
        None where not known
    notes:         plain sentences about what was not read
    pixels:       the same picture in the same container with everything but the pixels left
        out, for a decoder;
                  raises Refused where nothing can be drawn
    """

    format: str
    width_px: int
    height_px: int
    exif: bytes | None
    xmp: bytes | None
    icc: bytes | None
    complete: bool
    pixels: Callable[[], bytes]
    turned: bool = False
    rows_present: int | None = None
    notes: tuple[Said, ...] = ()


def check_size(
    name: str, width_px: int, height_px: int, limits: PhotoLimits, *, webp: bool = False
) -> None:
    """Raises Refused for an empty picture or one of more pixels than the limit."""
    most = min(limits.max_pixels, limits.max_webp_pixels) if webp else limits.max_pixels
    if width_px < 1 or height_px < 1:
        raise Refused(
            "photo", name, said("photo.no_size", width=Figure(width_px), height=Figure(height_px))
        )
    if width_px * height_px > most:
        because = said(
            "photo.too_many_pixels",
            width=Figure(width_px),
            height=Figure(height_px),
            pixels=Figure(width_px * height_px / 1e6),
            limit=Figure(most / 1e6),
            format=Name("WebP") if most < limits.max_pixels else None,
        )
        raise Refused("photo", name, because)


def inflate(packed: bytes, most: int) -> bytes | None:
    """zlib data unpacked, or None when it is damaged, unfinished, or longer than `most` bytes."""
    unpacker = zlib.decompressobj()
    try:
        out = unpacker.decompress(packed, most + 1)
    except zlib.error:
        return None
    return out if len(out) <= most and unpacker.eof else None


def within(part: str, block: bytes | None, most: int, notes: list[Said]) -> bytes | None:
    """The block; None where there is none, and with a sentence when it is larger than we read."""
    if not block or len(block) <= most:
        return block or None
    size, limit = Figure(len(block) / 1e6), Figure(most / 1e6)
    notes.append(said("photo.part_large", part=Word("photo_part", part), size=size, limit=limit))
    return None

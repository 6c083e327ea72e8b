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

INCOMPLETE = "The file is incomplete: it stops before its picture does"


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
    said:         plain sentences about what was not read
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
    said: tuple[str, ...] = ()


def check_size(
    name: str, width_px: int, height_px: int, limits: PhotoLimits, *, webp: bool = False
) -> None:
    """Raises Refused for an empty picture or one of more pixels than the limit."""
    most, of = limits.max_pixels, "; the limit is"
    if webp and limits.max_webp_pixels < most:
        most, of = limits.max_webp_pixels, "; the limit for a WebP is"
    if width_px < 1 or height_px < 1:
        raise Refused(
            "photo", name, f"holds no picture: its size is given as {width_px} x {height_px} pixels"
        )
    if width_px * height_px > most:
        given = f"{width_px} x {height_px} pixels, {width_px * height_px / 1e6:.4g} million"
        raise Refused("photo", name, f"is {given}{of} {most / 1e6:g} million pixels")


def inflate(packed: bytes, most: int) -> bytes | None:
    """zlib data unpacked, or None when it is damaged, unfinished, or longer than `most` bytes."""
    unpacker = zlib.decompressobj()
    try:
        out = unpacker.decompress(packed, most + 1)
    except zlib.error:
        return None
    return out if len(out) <= most and unpacker.eof else None


def within(what: str, block: bytes, most: int, said: list[str]) -> bytes | None:
    """The block, or None with a sentence when it is larger than we read."""
    if len(block) <= most:
        return block
    said.append(
        f"The {what} was not read: it is {len(block) / 1e6:.1f} MB, above the limit of {most / 1e6:g} MB."
    )
    return None

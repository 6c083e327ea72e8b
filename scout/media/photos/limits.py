"""How large a photo may be before it is refused; every limit is checked before the cost it guards
against is paid.
"""

from __future__ import annotations

from dataclasses import dataclass

ACCEPTED = "JPEG, HEIC, PNG, TIFF or WebP"


@dataclass(frozen=True)
class PhotoLimits:
    """max_bytes:         the whole file
    max_pixels:        width times height; 100 million take about 400 MB while they are drawn
    max_webp_pixels:   of a WebP, whose decoder holds four copies of the picture while it draws
    max_exif_bytes:    one EXIF block (TIFF files excepted: there the file itself is the block)
    max_xmp_bytes:     one XMP packet
    max_profile_bytes: one colour profile, unpacked (printing profiles reach 3 MB)
    max_scans:         passes of a progressive JPEG; ordinary files have about ten
    max_pass_pixels:   passes times pixels, since each pass is a walk over every pixel: 2000
        million take some ten seconds
    max_chunks:        pieces of a PNG or WebP
    """

    max_bytes: int = 100_000_000
    max_pixels: int = 100_000_000
    max_webp_pixels: int = 30_000_000
    max_exif_bytes: int = 16_000_000
    max_xmp_bytes: int = 1_000_000
    max_profile_bytes: int = 4_000_000
    max_scans: int = 100
    max_pass_pixels: int = 2_000_000_000
    max_chunks: int = 200_000


DEFAULT = PhotoLimits()

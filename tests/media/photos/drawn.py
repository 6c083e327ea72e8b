"""Photos drawn for the tests: four coloured corners, so that which way is up can be read from four
pixels.

EXIF blocks are put together from bytes here, since ordinary writers refuse to make the faults we
must survive.
"""

from __future__ import annotations

import io
import struct
import zlib
from collections.abc import Sequence
from typing import Any

import pillow_heif
from PIL import Image, ImageDraw
from PIL.Image import Transpose

CORNERS = {
    "top left": (220, 30, 30),
    "top right": (30, 170, 60),
    "bottom left": (40, 70, 210),
    "bottom right": (235, 205, 40),
}

# Exif 2.32, 4.6.4 A, tag Orientation: what is stored so that undoing tag n shows the picture
# upright
STORED = {
    1: None,
    2: Transpose.FLIP_LEFT_RIGHT,
    3: Transpose.ROTATE_180,
    4: Transpose.FLIP_TOP_BOTTOM,
    5: Transpose.TRANSPOSE,
    6: Transpose.ROTATE_90,
    7: Transpose.TRANSVERSE,
    8: Transpose.ROTATE_270,
}

Field = tuple[int, int, int, bytes]  # tag, type, count, bytes (little-endian)


def text(tag: int, words: str) -> Field:
    raw = words.encode() + b"\0"
    return tag, 2, len(raw), raw


def short(tag: int, *values: int) -> Field:
    return tag, 3, len(values), struct.pack(f"<{len(values)}H", *values)


def long(tag: int, *values: int) -> Field:
    return tag, 4, len(values), struct.pack(f"<{len(values)}L", *values)


def byte(tag: int, *values: int) -> Field:
    return tag, 1, len(values), bytes(values)


def ratio(tag: int, *pairs: tuple[int, int]) -> Field:
    return tag, 5, len(pairs), b"".join(struct.pack("<LL", *pair) for pair in pairs)


def signed_ratio(tag: int, *pairs: tuple[int, int]) -> Field:
    return tag, 10, len(pairs), b"".join(struct.pack("<ll", *pair) for pair in pairs)


def raw(tag: int, kind: int, count: int, data: bytes) -> Field:
    return tag, kind, count, data


def degrees(tag: int, whole: int, minutes: int, hundredths: int) -> Field:
    return ratio(tag, (whole, 1), (minutes, 1), (hundredths, 100))


def _directory(fields: Sequence[Field], at: int, following: int) -> bytes:
    table, heap = struct.pack("<H", len(fields)), b""
    heap_at = at + 2 + 12 * len(fields) + 4
    for tag, kind, count, data in sorted(fields, key=lambda f: f[0]):
        table += struct.pack("<HHL", tag, kind, count)
        if len(data) <= 4:
            table += data.ljust(4, b"\0")
        else:
            table += struct.pack("<L", heap_at + len(heap))
            heap += data + b"\0" * (len(data) % 2)
    return table + struct.pack("<L", following) + heap


def exif(
    main: Sequence[Field] = (),
    camera: Sequence[Field] | None = None,
    gps: Sequence[Field] | None = None,
    *,
    following: int = 0,
) -> bytes:
    """A little-endian EXIF block without the "Exif" mark before it."""
    pointers = [
        (tag, below) for tag, below in ((0x8769, camera), (0x8825, gps)) if below is not None
    ]
    main = list(main)
    size = len(_directory([*main, *(long(tag, 0) for tag, _ in pointers)], 8, 0))
    at, bodies = 8 + size, b""
    for tag, below in pointers:
        main.append(long(tag, at + len(bodies)))
        bodies += _directory(below, at + len(bodies), 0)
    return b"II*\0" + struct.pack("<L", 8) + _directory(main, 8, following) + bodies


def taken(at: str, *more: Field) -> list[Field]:
    return [text(0x9003, at), text(0x9004, at), *more]


def corners(width: int = 640, height: int = 480) -> Image.Image:
    image = Image.new("RGB", (width, height), (200, 200, 200))
    pen = ImageDraw.Draw(image)
    w, h = width // 4, height // 4
    for (x, y), colour in zip(
        ((0, 0), (width - w, 0), (0, height - h), (width - w, height - h)),
        CORNERS.values(),
        strict=True,
    ):
        pen.rectangle((x, y, x + w, y + h), fill=colour)
    return image


def stored(orientation: int, image: Image.Image | None = None) -> Image.Image:
    upright = image or corners()
    how = STORED[orientation]
    return upright if how is None else upright.transpose(how)


def jpeg(image: Image.Image | None = None, block: bytes | None = None, **options: Any) -> bytes:
    out = io.BytesIO()
    if block is not None:
        options["exif"] = b"Exif\0\0" + block
    (image or corners()).save(out, "JPEG", quality=85, **options)
    return out.getvalue()


def saved(kind: str, image: Image.Image | None = None, **options: Any) -> bytes:
    out = io.BytesIO()
    (image or corners()).save(out, kind, **options)
    return out.getvalue()


def heic(image: Image.Image, block: bytes | None = None, **options: Any) -> bytes:
    """A HEIC; where the block gives an orientation the writer turns it into the container's own
    rotation.
    """
    file, out = pillow_heif.from_pillow(image), io.BytesIO()
    file.save(out, quality=70, exif=b"Exif\0\0" + block if block is not None else None, **options)
    return out.getvalue()


def tiff(
    image: Image.Image,
    main: Sequence[Field] = (),
    camera: Sequence[Field] | None = None,
    gps: Sequence[Field] | None = None,
) -> bytes:
    """An uncompressed RGB TIFF of one strip, its pixels at the end."""
    pixels = image.tobytes()

    def head(at: int) -> bytes:
        strip = [
            long(256, image.width),
            long(257, image.height),
            short(258, 8, 8, 8),
            short(259, 1),
            short(262, 2),
            long(273, at),
        ]
        return exif(
            [*main, *strip, short(277, 3), long(278, image.height), long(279, len(pixels))],
            camera,
            gps,
        )

    return head(len(head(0))) + pixels


def chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">L", len(body)) + kind + body + struct.pack(">L", zlib.crc32(kind + body))


def png_chunks(
    width: int, height: int, depth: int, colour: int, rows: bytes, *more: bytes
) -> bytes:
    head = chunk(b"IHDR", struct.pack(">LLBBBBB", width, height, depth, colour, 0, 0, 0))
    return (
        b"\x89PNG\r\n\x1a\n"
        + head
        + b"".join(more)
        + chunk(b"IDAT", zlib.compress(rows, 9))
        + chunk(b"IEND", b"")
    )


def xmp(properties: str, inner: str = "") -> bytes:
    return (
        '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
        '<rdf:Description xmlns:exif="http://ns.adobe.com/exif/1.0/" xmlns:tiff="http://ns.adobe.com/tiff/1.0/" '
        f'xmlns:photoshop="http://ns.adobe.com/photoshop/1.0/" {properties}>{inner}</rdf:Description></rdf:RDF></x:xmpmeta>'
    ).encode()


def assert_upright(image: Image.Image, tolerance: int = 12, inset: int = 20) -> None:
    """The corners of an upright picture, within the tolerance a JPEG needs."""
    right, bottom = image.width - 1 - inset, image.height - 1 - inset
    for (where, colour), at in zip(
        CORNERS.items(),
        ((inset, inset), (right, inset), (inset, bottom), (right, bottom)),
        strict=True,
    ):
        seen = image.getpixel(at)
        assert isinstance(seen, tuple)
        assert all(abs(a - b) <= tolerance for a, b in zip(seen, colour, strict=True)), (
            where,
            seen,
            colour,
        )

"""A WebP taken apart chunk by chunk (RFC 9649), without decoding it."""

from __future__ import annotations

from scout.errors import Refused
from scout.media.photos.containers.parts import Parts, check_size, within
from scout.media.photos.limits import PhotoLimits
from scout.values import Name, Said, said


def take_webp(data: bytes, name: str, limits: PhotoLimits) -> Parts:
    """The size of the canvas and the blocks; a moving picture is drawn by its first frame."""
    chunks, whole = _chunks(data, name, limits)
    size = _size(chunks)
    if size is None:
        raise Refused("photo", name, said("photo.no_picture", format=Name("WebP")))
    check_size(name, *size, limits, webp=True)
    notes: list[Said] = []
    if not whole:
        notes.append(said("photo.incomplete_hidden"))
    exif, xmp, icc = (chunks.get(kind) for kind in (b"EXIF", b"XMP ", b"ICCP"))
    return Parts(
        format="WebP",
        width_px=size[0],
        height_px=size[1],
        exif=within("exif", exif and exif.removeprefix(b"Exif\0\0"), limits.max_exif_bytes, notes),
        xmp=within("xmp", xmp, limits.max_xmp_bytes, notes),
        icc=within("profile", icc, limits.max_profile_bytes, notes),
        complete=whole,
        pixels=lambda: _pixels(data, name, whole),
        notes=tuple(notes),
    )


def _chunks(data: bytes, name: str, limits: PhotoLimits) -> tuple[dict[bytes, bytes], bool]:
    """The first chunk of each kind, and whether all that the file promises is there."""
    promised = int.from_bytes(data[4:8], "little") + 8
    found: dict[bytes, bytes] = {}
    at = 12
    for _ in range(limits.max_chunks):
        if at + 8 > min(promised, len(data)):
            return found, promised <= len(data)
        length = int.from_bytes(data[at + 4 : at + 8], "little")
        found.setdefault(data[at : at + 4], data[at + 8 : at + 8 + length])
        if at + 8 + length > len(data):
            return found, False
        at += 8 + length + length % 2
    raise Refused(
        "photo",
        name,
        said("photo.pieces", format=Name("WebP"), limit=limits.max_chunks),
    )


def _size(chunks: dict[bytes, bytes]) -> tuple[int, int] | None:
    if len(canvas := chunks.get(b"VP8X", b"")) >= 10:
        return int.from_bytes(canvas[4:7], "little") + 1, int.from_bytes(canvas[7:10], "little") + 1
    if len(lossless := chunks.get(b"VP8L", b"")) >= 5 and lossless[0] == 0x2F:
        bits = int.from_bytes(lossless[1:5], "little")
        return (bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1
    if len(lossy := chunks.get(b"VP8 ", b"")) >= 10 and lossy[3:6] == b"\x9d\x01\x2a":
        return int.from_bytes(lossy[6:8], "little") & 0x3FFF, int.from_bytes(
            lossy[8:10], "little"
        ) & 0x3FFF
    return None


def _pixels(data: bytes, name: str, whole: bool) -> bytes:
    if not whole:
        raise Refused("photo", name, said("photo.incomplete"))
    return data

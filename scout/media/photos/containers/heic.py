"""A HEIC taken apart: the boxes by us (ISO/IEC 14496-12), the picture and its blocks by libheif."""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any

import pillow_heif

from scout.errors import Refused
from scout.media.photos.containers.parts import DECODER_ERRORS, Parts, check_size, within
from scout.media.photos.containers.profiles import by_number
from scout.media.photos.limits import PhotoLimits
from scout.values import Said, said

HEIC_BRANDS = {
    b"heic",
    b"heix",
    b"heim",
    b"heis",
    b"hevc",
    b"hevx",
    b"hevm",
    b"hevs",
    b"mif1",
    b"msf1",
}
_MOST_BOXES = 10_000


def brands(data: bytes) -> tuple[bytes, frozenset[bytes]]:
    """The main brand of an ISO base media file and all it claims to be compatible with."""
    length = min(int.from_bytes(data[:4]), 4096)
    return data[8:12], frozenset(data[i : i + 4] for i in range(16, max(length, 16), 4)) | {
        data[8:12]
    }


def open_heic(data: bytes) -> Any:
    """The file opened by libheif with its first ("primary") picture on top, not yet decoded. Raises
    one of DECODER_ERRORS.
    """
    return pillow_heif.open_heif(io.BytesIO(data), convert_hdr_to_8bit=True)


def take_heic(data: bytes, name: str, limits: PhotoLimits) -> Parts:
    """The main picture. Its size is the upright one: the container turns it, and EXIF size and
    orientation are stale.
    """
    complete = _whole(data)
    try:
        opened = open_heic(data)
        (width, height), info = opened.size, dict(opened.info)
    except DECODER_ERRORS as why:
        because = said("photo.heic_unread") if complete else said("photo.heic_incomplete")
        raise Refused("photo", name, because) from why
    check_size(name, width, height, limits)
    notes: list[Said] = []
    if not complete:
        notes.append(said("photo.incomplete_hidden"))
    exif, xmp, icc = info.get("exif"), info.get("xmp"), info.get("icc_profile")
    if not icc and (nclx := info.get("nclx_profile")):
        icc = by_number(
            nclx.get("color_primaries", 2), nclx.get("transfer_characteristics", 2), notes
        )
    return Parts(
        format="HEIC",
        width_px=int(width),
        height_px=int(height),
        exif=within("exif", exif and exif.removeprefix(b"Exif\0\0"), limits.max_exif_bytes, notes),
        xmp=within("xmp", xmp, limits.max_xmp_bytes, notes),
        icc=within("profile", icc, limits.max_profile_bytes, notes),
        complete=complete,
        pixels=lambda: _pixels(data, name, complete),
        turned=True,
        notes=tuple(notes),
    )


def _boxes(data: bytes) -> Iterator[tuple[bytes, int]]:
    """Kind and end of each box at the top level."""
    at = 0
    for _ in range(_MOST_BOXES):
        if at + 8 > len(data):
            return
        length, kind = int.from_bytes(data[at : at + 4]), data[at + 4 : at + 8]
        if length == 1:
            length = int.from_bytes(data[at + 8 : at + 16])
        elif length == 0:
            length = len(data) - at
        if length < 8:
            return
        at += length
        yield kind, at


def _whole(data: bytes) -> bool:
    found = dict(_boxes(data))
    return b"meta" in found and all(end <= len(data) for end in found.values())


def _pixels(data: bytes, name: str, complete: bool) -> bytes:
    if not complete:  # libheif paints missing tiles green, not grey, and says nothing
        raise Refused("photo", name, said("photo.incomplete"))
    return data

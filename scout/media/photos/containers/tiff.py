"""A TIFF taken apart (TIFF 6.0): its first picture, its metadata, and a copy with the pixels alone."""

from __future__ import annotations

import struct

from scout.errors import Refused
from scout.media.photos.containers.ifd import (
    Directory,
    byte_order,
    first_directory_at,
    read_directory,
)
from scout.media.photos.containers.parts import Parts, check_size, within
from scout.media.photos.limits import ACCEPTED, PhotoLimits
from scout.values import Name, Said, said

_WIDTH, _HEIGHT, _XMP, _ICC, _DNG, _SUBFILE, _SUB_DIRECTORIES = (
    256,
    257,
    700,
    34675,
    50706,
    254,
    330,
)
_PLACES = ((273, 279), (324, 325))  # where strips, or tiles, lie and how long they are
# Size, bits, compression, photometry, fill order, strips, samples, rows, planes, fax options,
# predictor, colour map, tiles,
# extra samples, sample format, JPEG tables, YCbCr: all that a decoder needs, and no orientation, so
# that it turns nothing.
_PIXEL_TAGS = frozenset(
    {
        256,
        257,
        258,
        259,
        262,
        266,
        273,
        277,
        278,
        279,
        284,
        292,
        293,
        317,
        320,
        322,
        323,
        324,
        325,
        338,
        339,
        347,
        529,
        530,
        531,
        532,
    }
)
_SINGLE = _PIXEL_TAGS - {258, 273, 279, 320, 324, 325, 338, 339, 347, 529, 530, 532}
_WANTED = _PIXEL_TAGS | {_XMP, _ICC, _DNG, _SUBFILE, _SUB_DIRECTORIES}


def take_tiff(data: bytes, name: str, limits: PhotoLimits) -> Parts:
    """The first directory of the file; later pages are left alone."""
    order = byte_order(data)
    assert order is not None
    first = read_directory(data, order, first_directory_at(data, order), _WANTED)
    _refuse_raw(data, first, name)
    width, height = (
        entry.whole() if (entry := first.get(tag)) else None for tag in (_WIDTH, _HEIGHT)
    )
    if width is None or height is None:
        raise Refused(
            "photo",
            name,
            said("photo.no_picture", format=Name("TIFF")),
        )
    check_size(name, width, height, limits)
    notes: list[Said] = []
    complete = _pixels_there(first, len(data))
    if not complete:
        notes.append(said("photo.incomplete_hidden"))
    xmp, icc = first.get(_XMP), first.get(_ICC)
    return Parts(
        format="TIFF",
        width_px=width,
        height_px=height,
        exif=data,
        xmp=within("xmp", xmp.raw, limits.max_xmp_bytes, notes) if xmp else None,
        icc=within("profile", icc.raw, limits.max_profile_bytes, notes) if icc else None,
        complete=complete,
        pixels=lambda: _pixels(data, first, name, complete),
        notes=tuple(notes),
    )


def _refuse_raw(data: bytes, first: Directory, name: str) -> None:
    """Camera raw files are TIFF outside: what their first directory shows is a thumbnail, which
    must not pass for the photo.
    """
    subfile = first.get(_SUBFILE)
    reduced = subfile is not None and (subfile.whole() or 0) & 1
    if data[8:10] == b"CR" or first.get(_DNG) or (reduced and first.get(_SUB_DIRECTORIES)):
        raise Refused("photo", name, said("photo.raw", accepted=Name(ACCEPTED)))


def _pixels_there(first: Directory, length: int) -> bool:
    for starts_tag, lengths_tag in _PLACES:
        starts, lengths = first.get(starts_tag), first.get(lengths_tag)
        if starts is None or lengths is None:
            continue
        ends = zip(starts.numbers() or (), lengths.numbers() or (), strict=False)
        return all(a is not None and b is not None and a + b <= length for a, b in ends)
    return False


def _pixels(data: bytes, first: Directory, name: str, complete: bool) -> bytes:
    if not complete:
        raise Refused("photo", name, said("photo.incomplete"))
    if any(entry.count != 1 for tag, entry in first.entries.items() if tag in _SINGLE):
        raise Refused("photo", name, said("photo.damaged", format=Name("TIFF")))
    order = byte_order(data)
    kept = sorted(tag for tag in first.entries if tag in _PIXEL_TAGS)
    padded = data[8:] + b"\0" * (len(data) % 2)
    directory = (
        struct.pack(f"{order}H", len(kept))
        + b"".join(first.entries[tag].field for tag in kept)
        + bytes(4)
    )
    return data[:4] + struct.pack(f"{order}L", 8 + len(padded)) + padded + directory

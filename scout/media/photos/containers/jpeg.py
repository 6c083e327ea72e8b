"""A JPEG taken apart segment by segment (ITU-T T.81, annex B), without decoding it."""

from __future__ import annotations

import re

from scout.errors import Refused
from scout.media.photos.containers.parts import Parts, check_size, within
from scout.media.photos.limits import PhotoLimits
from scout.values import Figure, Name, Said, said

_EXIF, _XMP, _ICC = b"Exif\0", b"http://ns.adobe.com/xap/1.0/\0", b"ICC_PROFILE\0"
_SOF = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}  # start of frame, without DHT, JPG and DAC
_DECODED_SOF = {
    0xC0,
    0xC1,
    0xC2,
    0xC9,
    0xCA,
}  # baseline, extended, progressive; Huffman or arithmetic
_SOI, _EOI, _SOS = 0xD8, 0xD9, 0xDA
# A segment the pixels do not need: all application data but APP0 and APP14, which decide how the
# colours are coded.
_DROPPED = {*range(0xE1, 0xEE), 0xEF, 0xFE}
# In the coded data FF 00 is a byte of value 255, FF D0 to FF D7 are restart marks and FF FF is
# filling.
_NEXT_MARKER = re.compile(rb"\xff[^\x00\x01\xd0-\xd7\xff]")


class _Walk:
    def __init__(self) -> None:
        self.size: tuple[int, int] | None = None
        self.exif: bytes | None = None
        self.xmp: bytes | None = None
        self.icc: dict[int, bytes] = {}
        self.icc_count = 0
        self.keep: list[tuple[int, int]] = []
        self.scans = 0
        self.ended = False


def take_jpeg(data: bytes, name: str, limits: PhotoLimits) -> Parts:
    """The first picture of the file; whatever follows its end mark (a second picture, a film) is
    left alone.
    """
    walk = _walk(data, name, limits)
    if walk.size is None or not walk.scans:
        raise Refused(
            "photo",
            name,
            said("photo.no_picture", format=Name("JPEG")),
        )
    check_size(name, *walk.size, limits)
    if walk.scans * walk.size[0] * walk.size[1] > limits.max_pass_pixels:
        raise Refused(
            "photo",
            name,
            said(
                "photo.too_many_passes",
                passes=walk.scans,
                pixels=Figure(walk.size[0] * walk.size[1] / 1e6),
                limit=Figure(limits.max_pass_pixels / 1e6),
            ),
        )
    notes: list[Said] = []
    if not walk.ended:
        notes.append(said("photo.incomplete_grey"))
    exif = within("exif", walk.exif, limits.max_exif_bytes, notes)
    xmp = within("xmp", walk.xmp, limits.max_xmp_bytes, notes)
    return Parts(
        format="JPEG",
        width_px=walk.size[0],
        height_px=walk.size[1],
        exif=exif,
        xmp=xmp,
        icc=_profile(walk, limits, notes),
        complete=walk.ended,
        pixels=lambda: _pixels(data, walk),
        notes=tuple(notes),
    )


def _walk(data: bytes, name: str, limits: PhotoLimits) -> _Walk:
    walk = _Walk()
    walk.keep.append((0, 2))
    at = 2
    while True:
        found = _NEXT_MARKER.search(data, at)
        if found is None:
            return walk
        start, marker = found.start(), data[found.start() + 1]
        if marker == _EOI:
            walk.ended = True
            return walk
        if marker == _SOI:
            at = start + 2
            continue
        length = int.from_bytes(data[start + 2 : start + 4])
        end = start + 2 + length
        if length < 2 or end > len(data):
            return walk
        body = data[start + 4 : end]
        if marker in _SOF:
            _frame(walk, marker, body, name)
        elif marker == _SOS:
            walk.scans += 1
            if walk.scans > limits.max_scans:
                because = said("photo.passes", limit=limits.max_scans)
                raise Refused("photo", name, because)
            following = _NEXT_MARKER.search(data, end)
            end = following.start() if following else len(data)
        else:
            _metadata(walk, marker, body)
        if marker not in _DROPPED:
            if walk.keep[-1][1] == start:
                walk.keep[-1] = (walk.keep[-1][0], end)
            else:
                walk.keep.append((start, end))
        at = end


def _frame(walk: _Walk, marker: int, body: bytes, name: str) -> None:
    if len(body) < 6:
        return
    if marker not in _DECODED_SOF or body[0] != 8:
        because = said("photo.odd_jpeg", bits=body[0])
        raise Refused("photo", name, because)
    if walk.size is None:
        walk.size = int.from_bytes(body[3:5]), int.from_bytes(body[1:3])


def _metadata(walk: _Walk, marker: int, body: bytes) -> None:
    if marker == 0xE1 and body.startswith(_EXIF) and walk.exif is None:
        walk.exif = body[6:]
    elif marker == 0xE1 and body.startswith(_XMP) and walk.xmp is None:
        walk.xmp = body[len(_XMP) :]
    elif marker == 0xE2 and body.startswith(_ICC) and len(body) > 14:
        walk.icc.setdefault(body[12], body[14:])
        walk.icc_count = body[13]


def _profile(walk: _Walk, limits: PhotoLimits, notes: list[Said]) -> bytes | None:
    if not walk.icc:
        return None
    if sorted(walk.icc) != list(range(1, walk.icc_count + 1)):
        notes.append(said("photo.profile_piece"))
        return None
    return within(
        "profile",
        b"".join(walk.icc[i] for i in sorted(walk.icc)),
        limits.max_profile_bytes,
        notes,
    )


def _pixels(data: bytes, walk: _Walk) -> bytes:
    pieces = [data[start:end] for start, end in walk.keep]
    if not walk.ended:
        # A copy that stopped often ends in zeros; without them and with an end mark the decoder
        # fills the rest with grey.
        pieces[-1] = pieces[-1].rstrip(b"\0")
        if pieces[-1].endswith(b"\xff"):
            pieces[-1] = pieces[-1][:-1]
    return b"".join([*pieces, b"\xff\xd9"])

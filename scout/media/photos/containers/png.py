"""A PNG taken apart chunk by chunk (ISO/IEC 15948), without decoding it."""

from __future__ import annotations

import binascii
import re
import struct
import zlib

from scout.errors import Refused
from scout.media.photos.containers.parts import Parts, check_size, inflate, within
from scout.media.photos.containers.profiles import by_number
from scout.media.photos.limits import PhotoLimits
from scout.values import Name, Said, said

SIGNATURE = b"\x89PNG\r\n\x1a\n"
_SAMPLES = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}  # by colour type
_KEPT = (b"IHDR", b"PLTE", b"tRNS", b"IDAT")
_XMP_KEYWORD = b"XML:com.adobe.xmp"
_OLD_EXIF = (b"Raw profile type exif", b"Raw profile type APP1")
_END = struct.pack(">L", 0) + b"IEND" + struct.pack(">L", zlib.crc32(b"IEND"))


class _Walk:
    def __init__(self) -> None:
        self.header: bytes | None = None
        self.exif: bytes | None = None
        self.old_exif: bytes | None = None
        self.xmp: bytes | None = None
        self.icc: bytes | None = None
        self.numbers: bytes | None = None  # cICP: the colour space as code points
        self.keep: list[tuple[int, int]] = []
        self.data: list[
            tuple[int, int]
        ] = []  # the bodies of the IDAT chunks that are whole, or the part of the last one
        self.ended = False
        self.notes: list[Said] = []


def take_png(data: bytes, name: str, limits: PhotoLimits) -> Parts:
    """The default picture of the file (the first frame of a moving one)."""
    walk = _walk(data, name, limits)
    if walk.header is None or not walk.data:
        raise Refused("photo", name, said("photo.no_picture", format=Name("PNG")))
    width, height, depth, colour, _, _, interlaced = struct.unpack(">LLBBBBB", walk.header)
    check_size(name, width, height, limits)
    if colour not in _SAMPLES:
        raise Refused(
            "photo",
            name,
            said("photo.odd_png", way=colour),
        )
    rows: int | None = None
    if not walk.ended:
        stride = (width * _SAMPLES[colour] * depth + 7) // 8 + 1
        if not interlaced:
            rows = min(_unpacked_bytes(data, walk, stride * height) // stride, height)
            walk.notes.append(said("photo.rows_missing", rows=rows, of=height))
        else:
            walk.notes.append(said("photo.interlaced_hidden"))
    return Parts(
        format="PNG",
        width_px=width,
        height_px=height,
        exif=walk.exif or walk.old_exif,
        xmp=walk.xmp,
        icc=by_number(walk.numbers[0], walk.numbers[1], walk.notes) if walk.numbers else walk.icc,
        complete=walk.ended,
        pixels=lambda: _pixels(data, walk, name, rows),
        rows_present=rows,
        notes=tuple(walk.notes),
    )


def _walk(data: bytes, name: str, limits: PhotoLimits) -> _Walk:
    walk = _Walk()
    at = len(SIGNATURE)
    for _ in range(limits.max_chunks):
        if at + 8 > len(data):
            return walk
        length = int.from_bytes(data[at : at + 4])
        kind = data[at + 4 : at + 8]
        body, end = at + 8, at + 12 + length
        if kind == b"IEND":
            walk.ended = True
            return walk
        whole = end <= len(data)
        if kind in _KEPT and (
            not whole
            or zlib.crc32(data[at + 4 : body + length]) != int.from_bytes(data[end - 4 : end])
        ):
            if kind == b"IDAT" and body < len(data):
                walk.data.append((body, min(body + length, len(data))))
            return walk
        if not whole:
            return walk
        if kind == b"IHDR" and length == 13:
            walk.header = data[body : body + 13]
        if kind == b"IDAT":
            walk.data.append((body, body + length))
        if kind in _KEPT:
            walk.keep.append((at, end))
        else:
            _metadata(walk, kind, data[body : body + length], limits)
        at = end
    raise Refused(
        "photo",
        name,
        said("photo.pieces", format=Name("PNG"), limit=limits.max_chunks),
    )


def _metadata(walk: _Walk, kind: bytes, body: bytes, limits: PhotoLimits) -> None:
    if kind == b"eXIf" and walk.exif is None:
        walk.exif = within(
            "exif", body.removeprefix(b"Exif\0\0"), limits.max_exif_bytes, walk.notes
        )
    elif kind == b"iCCP" and walk.icc is None:
        walk.icc = inflate(body.partition(b"\0")[2][1:], limits.max_profile_bytes)
        if walk.icc is None:
            walk.notes.append(said("photo.profile_damaged"))
    elif kind == b"cICP" and len(body) == 4:
        walk.numbers = body
    elif kind == b"iTXt" and walk.xmp is None and body.startswith(_XMP_KEYWORD + b"\0"):
        _xmp(walk, body[len(_XMP_KEYWORD) + 1 :], limits)
    elif kind == b"zTXt" and walk.old_exif is None and body.partition(b"\0")[0] in _OLD_EXIF:
        text = inflate(body.partition(b"\0")[2][1:], limits.max_exif_bytes)
        walk.old_exif = _from_hex(text) if text else None
        if walk.old_exif is None:
            walk.notes.append(said("photo.old_exif"))


def _xmp(walk: _Walk, rest: bytes, limits: PhotoLimits) -> None:
    pieces = rest[2:].split(
        b"\0", 2
    )  # language, translated keyword, text; the two bytes before say whether the text is packed
    if len(rest) < 2 or len(pieces) < 3:
        return
    text = inflate(pieces[2], limits.max_xmp_bytes) if rest[0] == 1 else pieces[2]
    if text is None:
        walk.notes.append(said("photo.xmp_large"))
    else:
        walk.xmp = within("xmp", text, limits.max_xmp_bytes, walk.notes)


def _from_hex(text: bytes) -> bytes | None:
    # "\nexif\n     268\n" and then hexadecimal in lines, as image converters wrote it before the
    # eXIf chunk existed.
    found = re.match(rb"\s*\w+\s+\d+\s+([0-9a-fA-F\s]+)\Z", text)
    if found is None:
        return None
    try:
        return binascii.unhexlify(b"".join(found[1].split())).removeprefix(b"Exif\0\0")
    except binascii.Error:
        return None


def _unpacked(data: bytes, walk: _Walk, most: int) -> bytearray:
    """As many unpacked bytes of the picture as can be had, never more than `most`."""
    unpacker, out = zlib.decompressobj(), bytearray()
    try:
        for start, end in walk.data:
            out += unpacker.decompress(data[start:end], max(most - len(out), 1))
            if len(out) >= most:
                break
    except zlib.error:
        pass  # damaged from here on: what came before is what there is
    return out[:most]


def _unpacked_bytes(data: bytes, walk: _Walk, most: int) -> int:
    return len(_unpacked(data, walk, most))


def _chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">L", len(body)) + kind + body + struct.pack(">L", zlib.crc32(kind + body))


def _pixels(data: bytes, walk: _Walk, name: str, rows: int | None) -> bytes:
    if walk.ended:
        return b"".join([SIGNATURE, *(data[start:end] for start, end in walk.keep), _END])
    if rows is None:
        raise Refused(
            "photo",
            name,
            said("photo.interlaced"),
        )
    assert walk.header is not None
    width, height, depth, colour, *_ = struct.unpack(">LLBBBBB", walk.header)
    stride = (width * _SAMPLES[colour] * depth + 7) // 8 + 1
    unpacked = _unpacked(data, walk, stride * rows)
    unpacked += bytes(stride * height - len(unpacked))
    ahead = [data[start:end] for start, end in walk.keep if data[start + 4 : start + 8] != b"IDAT"]
    return b"".join([SIGNATURE, *ahead, _chunk(b"IDAT", zlib.compress(bytes(unpacked), 1)), _END])

"""Whether a sound file ends where its own structure says it ends: FFmpeg decodes what is there and
keeps quiet about the rest.

Looked at are the frame of the file and its last 64 kB, never all of it, so that a recording of
hours costs no more than a short one.
"""

from __future__ import annotations

import struct
from collections.abc import Callable
from typing import BinaryIO

TAIL = 1 << 16
MOST_PARTS = 100_000
CHAIN = 3  # headers that must follow each other before bytes count as a row of frames
SEGMENT, CLUSTER = 0x18538067, 0x1F43B675  # names of EBML elements (RFC 9559)
MP3_KBPS = {  # ISO 11172-3 and 13818-3, by (version 1, layer)
    (True, 1): (0, 32, 64, 96, 128, 160, 192, 224, 256, 288, 320, 352, 384, 416, 448),
    (True, 2): (0, 32, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320, 384),
    (True, 3): (0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320),
    (False, 1): (0, 32, 48, 56, 64, 80, 96, 112, 128, 144, 160, 176, 192, 224, 256),
    (False, 2): (0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160),
    (False, 3): (0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160),
}
MP3_HZ = {3: (44100, 48000, 32000), 2: (22050, 24000, 16000), 0: (11025, 12000, 8000)}
AMR_NARROW = (
    12,
    13,
    15,
    17,
    19,
    20,
    26,
    31,
    5,
    0,
    0,
    0,
    0,
    0,
    0,
    0,
)  # bytes after the first, by mode (RFC 4867)
AMR_WIDE = (17, 23, 32, 36, 40, 46, 50, 58, 60, 5, 0, 0, 0, 0, 0, 0)
MOST_AMR = 1 << 24  # three hours
NO_LENGTH = "its header gives no length"


def missing_end(file: BinaryIO, kind: str, size: int) -> str | None:
    """Why the file cannot be whole, as a phrase (`its last page is not marked as the last`); None
    where nothing says so.

    kind: as `recordings.sniff` says; kinds not known here are judged by what decoding them shows.
    """
    look = _LOOKS.get(kind)
    return None if look is None else look(file, size)


def length_is_told(file: BinaryIO, kind: str) -> bool:
    """Whether the length that FFmpeg gives stands in the file; else it is guessed from the size and
    the first frames' rate.
    """
    if kind in ("aac", "amr", "mpegts"):
        return False
    if kind != "mp3":
        return True
    start = _after_id3(file)
    file.seek(start)
    head = file.read(256)
    return b"Xing" in head or b"Info" in head or b"VBRI" in head


def _promised(bytes_promised: int, size: int) -> str | None:
    if bytes_promised <= size:
        return None
    return f"it promises {bytes_promised / 1e6:.1f} MB and {size / 1e6:.1f} MB are there"


def _aiff(file: BinaryIO, size: int) -> str | None:
    file.seek(4)
    return _promised(8 + int.from_bytes(file.read(4), "big"), size)


def _caf(file: BinaryIO, size: int) -> str | None:
    at = 8
    for _ in range(MOST_PARTS):
        file.seek(at)
        head = file.read(12)
        if len(head) < 12:
            break
        length = int.from_bytes(head[4:], "big", signed=True)
        if length < 0:  # -1: the samples go on to the end
            break
        at += 12 + length
        if at > size:
            return _promised(at, size)
    return None


def _au(file: BinaryIO, size: int) -> str | None:
    file.seek(4)
    head = file.read(8)
    if len(head) < 8:
        return None
    starts, length = struct.unpack(">II", head)
    return None if length == 0xFFFFFFFF else _promised(starts + length, size)


def _w64(file: BinaryIO, size: int) -> str | None:
    file.seek(16)  # after the first identifier, which its length counts
    length = int.from_bytes(file.read(8), "little")
    return None if length >= 1 << 62 else _promised(length, size)


def _mpegts(file: BinaryIO, size: int) -> str | None:
    file.seek(0)
    step = (
        188 if file.read(1) == b"\x47" else 192
    )  # ISO 13818-1; four bytes of time before each in camcorders' files
    return "it ends inside a packet" if size % step else None


def _boxes(file: BinaryIO, size: int) -> str | None:
    """MP4 and MOV: a row of boxes, each with its length; 0 goes on to the end."""
    at = 0
    for _ in range(MOST_PARTS):
        if at >= size:
            return None
        file.seek(at)
        head = file.read(16)
        if len(head) < 8:
            return "it ends inside a part of it"
        length, kind = struct.unpack(">I4s", head[:8])
        if length == 0 or not all(32 <= byte < 127 or byte == 0xA9 for byte in kind):
            return None  # to the end, or padding that is no box
        if length == 1:
            if len(head) < 16:
                return "it ends inside a part of it"
            length = struct.unpack(">Q", head[8:16])[0]
        if length < 8:
            return None
        at += length
        if at > size:
            return _promised(at, size) if kind == b"mdat" else "it ends inside a part of it"
    return None


def _ogg(file: BinaryIO, size: int) -> str | None:
    """RFC 3533: pages of 65,307 bytes at most, the last of a stream marked as its end."""
    file.seek(max(0, size - TAIL - 300))
    tail = file.read()
    at = tail.rfind(b"OggS")
    while at >= 0:
        head = tail[at : at + 27]
        if len(head) == 27 and head[4] == 0:
            table = tail[at + 27 : at + 27 + head[26]]
            if len(table) < head[26] or at + 27 + len(table) + sum(table) > len(tail):
                return "it ends inside a page"
            return None if head[5] & 4 else "its last page is not marked as the last"
        if len(head) < 27:
            return "it ends inside a page"
        at = tail.rfind(b"OggS", 0, at)
    return "it ends inside a page"


def _ebml(file: BinaryIO, at: int) -> tuple[int, int | None, int] | None:
    """Element at a place: its name, its length (None: not known) and where its content starts; None
    at the end.
    """
    file.seek(at)
    head = file.read(12)
    if not head or head[0] == 0:
        return None
    name_n = 9 - head[0].bit_length()
    if name_n > 4 or len(head) <= name_n or head[name_n] == 0:
        return None
    size_n = 9 - head[name_n].bit_length()
    if len(head) < name_n + size_n:
        return None
    value = int.from_bytes(head[name_n : name_n + size_n], "big") & ((1 << 7 * size_n) - 1)
    unknown = value == (1 << 7 * size_n) - 1  # RFC 8794: all ones says "not known"
    return int.from_bytes(head[:name_n], "big"), None if unknown else value, at + name_n + size_n


def _matroska(file: BinaryIO, size: int) -> str | None:
    at, streamed = 0, False
    for _ in range(MOST_PARTS):
        if at >= size:
            break
        found = _ebml(file, at)
        if found is None:
            return "it ends inside a part of it"
        name, length, starts = found
        if name in (SEGMENT, CLUSTER) and length is None:
            at, streamed = starts, True  # streamed: its parts follow
            continue
        if length is None:
            return None
        at = starts + length
        if at > size:
            return _promised(at, size) if name == SEGMENT else "it ends inside a part of it"
    return NO_LENGTH if streamed else None


def _after_id3(file: BinaryIO) -> int:
    at = 0
    for _ in range(8):  # some writers put one tag before another
        file.seek(at)
        head = file.read(10)
        if len(head) < 10 or head[:3] != b"ID3":
            break
        at += (
            10
            + (head[6] << 21 | head[7] << 14 | head[8] << 7 | head[9])
            + (10 if head[5] & 0x10 else 0)
        )
    return at


def _mp3_frame(data: bytes, at: int) -> int:
    """Bytes of the MPEG audio frame whose header stands here; 0: none does, or one of free bit
    rate.
    """
    if at + 4 > len(data) or data[at] != 0xFF or data[at + 1] & 0xE0 != 0xE0:
        return 0
    version, layer = data[at + 1] >> 3 & 3, 4 - (data[at + 1] >> 1 & 3)
    rate, hz = data[at + 2] >> 4, data[at + 2] >> 2 & 3
    if version == 1 or layer == 4 or rate in (0, 15) or hz == 3:
        return 0
    kbps, padded = MP3_KBPS[version == 3, layer][rate], data[at + 2] >> 1 & 1
    if layer == 1:
        return (12000 * kbps // MP3_HZ[version][hz] + padded) * 4
    return (144000 if version == 3 or layer == 2 else 72000) * kbps // MP3_HZ[version][hz] + padded


def _adts_frame(data: bytes, at: int) -> int:
    """Bytes of the AAC frame whose ADTS header stands here (ISO 13818-7); 0: none does."""
    if at + 7 > len(data) or data[at] != 0xFF or data[at + 1] & 0xF6 != 0xF0:
        return 0
    length = (data[at + 3] & 3) << 11 | data[at + 4] << 3 | data[at + 5] >> 5
    return length if length >= 7 else 0


def _amr(file: BinaryIO, size: int) -> str | None:
    """RFC 4867: frames whose first byte gives their mode and so their length; no mark to find them
    by, so they are walked from the start.
    """
    file.seek(0)
    wide = file.read(9) == b"#!AMR-WB\n"
    lengths = AMR_WIDE if wide else AMR_NARROW
    at = 9 if wide else 6
    file.seek(at)
    data = file.read(MOST_AMR)
    place = 0
    while place < len(data):
        place += 1 + lengths[data[place] >> 3 & 15]
    return "it ends inside a frame" if at + place > size else None


def _rest(tail: bytes, frame: Callable[[bytes, int], int]) -> bytes | None:
    """What follows the last whole frame; None where no row of frames is found."""
    for start in range(len(tail)):
        at, steps = start, 0
        while (length := frame(tail, at)) and at + length <= len(tail):
            at, steps = at + length, steps + 1
        if steps >= CHAIN:
            return tail[at:]
    return None


def _frames(frame: Callable[[bytes, int], int]) -> Callable[[BinaryIO, int], str | None]:
    def look(file: BinaryIO, size: int) -> str | None:
        file.seek(max(0, size - TAIL // 4))
        rest = _rest(file.read(), frame)
        # Tags may stand at the end (ID3v1, APE, lyrics), and padding of zeros; a frame's own
        # beginning may not.
        return (
            "it ends inside a frame"
            if rest and (frame(rest + bytes(8), 0) or rest[0] == 0xFF)
            else None
        )

    return look


def _mp3(file: BinaryIO, size: int) -> str | None:
    start = _after_id3(file)
    file.seek(start)
    head = file.read(256)
    for mark in (b"Xing", b"Info"):
        at = head.find(mark)
        if 0 <= at <= len(head) - 16 and head[at + 7] & 2:
            skip = 4 if head[at + 7] & 1 else 0
            told = int.from_bytes(head[at + 8 + skip : at + 12 + skip], "big")
            if told and start + told > size + _mp3_frame(
                head, 0
            ):  # some count the frame of the mark itself, some do not
                return _promised(start + told, size)
    return _frames(_mp3_frame)(file, size)


_LOOKS: dict[str, Callable[[BinaryIO, int], str | None]] = {
    "aiff": _aiff,
    "caf": _caf,
    "au": _au,
    "w64": _w64,
    "mpegts": _mpegts,
    "mov": _boxes,
    "ogg": _ogg,
    "matroska": _matroska,
    "mp3": _mp3,
    "aac": _frames(_adts_frame),
    "amr": _amr,
}
